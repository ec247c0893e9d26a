"""What `diagnose cases …` does: the action that is asked for, found and carried out.

Exit codes: 0 done, 1 a problem was found, 2 what was asked for cannot be done as asked. The caller
prints the text of the codes above 0 to the standard error.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path

from diagnose.commands import DONE, MISUSE, PROBLEM, CommandResult, Misuse
from diagnose.knowledge.base import Base
from diagnose.records.actions import cases, counted, keeping
from diagnose.records.actions.job import Arguments, CaseAction, Pages
from diagnose.records.store.command import records_read
from diagnose.records.store.database import Damaged, StoreError
from diagnose.records.store.paths import default_path
from diagnose.records.store.store import Store

__all__ = ["DONE", "MISUSE", "PROBLEM", "Arguments", "run"]


def run(args: Arguments, base: Base, at: datetime, pages: Pages | None = None) -> CommandResult:
    """Do what the arguments say, at a time given by the caller; never raises for bad input.

    `pages`: hands over statistics in place of their text; given by the caller, for reports lie
    above records.
    """
    path = args.records or default_path()
    try:
        if args.action in _WITHOUT_STORE:
            return _WITHOUT_STORE[args.action](args, path)
        if args.action != "import":
            records_read(args.records)
        with Store.open(path) as store:
            code, text = _ACTIONS[args.action](CaseAction(args, base, at, store, pages))
            return code, _with_notice(store, text, args.as_json)
    except Damaged as error:
        return PROBLEM, str(error)
    except (StoreError, Misuse) as error:
        return MISUSE, str(error)
    except OSError as error:
        return MISUSE, f"{error.filename}: {error.strerror}" if error.filename else str(error)


def _with_notice(store: Store, text: str, as_json: bool) -> str:
    if not store.torn or as_json:
        return text
    return (
        f"{text}\nThe last session was cut off while it was saving: look whether its last entry is"
        " there."
    )


_WITHOUT_STORE: Mapping[str, Callable[[Arguments, Path], CommandResult]] = {
    "rescue": keeping.rescue_from,
    "restore": keeping.restore_from,
}
"""What is done with a file that is damaged, or not there yet."""

_ACTIONS: Mapping[str, Callable[[CaseAction], CommandResult]] = {
    "list": cases.list_cases,
    "show": cases.show,
    "close": cases.close,
    "held": cases.held,
    "due": cases.due,
    "backup": keeping.back_up,
    "experience": counted.experience,
    "drift": counted.drift_of,
    "reopen": cases.reopen,
    "export": keeping.export,
    "import": keeping.take_in,
    "delete": cases.delete,
    "statistics": counted.statistics_of,
    "words": counted.words_without_home,
    "photo": cases.add_photos,
    "customer": keeping.customer,
    "check": keeping.check,
}
