"""What the options of a command name: a reasoner, a kept case, a report to hand over."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from datetime import datetime
from typing import TYPE_CHECKING

from diagnose.commands import Misuse
from diagnose.folders import program
from diagnose.knowledge.reading.command import base_of
from diagnose.records.experience.command import learned_base
from diagnose.records.store.command import records_read, store_of

if TYPE_CHECKING:
    from diagnose.reasoning.diagnose import Reasoner
    from diagnose.records.case.journal import Case
    from diagnose.records.store.store import Store
    from diagnose.report.content.data import Report
    from diagnose.report.pages.photos import Lost, Shown


def reasoner_of(options: argparse.Namespace, learning: bool = True, without: str = "") -> Reasoner:
    """A reasoner on the rule base, with what closed cases count where there are any and wanted.

    `without`: a case that is to be reasoned without itself.
    """
    from diagnose.reasoning.diagnose import Reasoner

    return Reasoner(learned_base(options, without) if learning else base_of(options.rules))


def records_there(options: argparse.Namespace) -> AbstractContextManager[Store | None]:
    """The records that a command reads beside a file, where there are any: none are made."""
    path = records_read(options.records)
    return store_of(path) if path else nullcontext()


def now() -> datetime:
    """The present moment, with the offset of its time zone."""
    return datetime.now().astimezone()


def hand_over(
    options: argparse.Namespace,
    reasoner: Reasoner,
    report: Report,
    photos: Sequence[Shown | Lost] = (),
    customer: Sequence[tuple[str, str]] = (),
    *,
    piped: bool = False,
) -> None:
    """Print or write a report; `piped` as in `report/handing.py`."""
    from diagnose.report import handing

    handing.hand_over(options, report, reasoner.base, photos, customer, piped=piped)


def hand_over_kept(
    options: argparse.Namespace,
    reasoner: Reasoner,
    store: Store,
    case: Case,
    *,
    piped: bool = False,
) -> None:
    """Print or write the report of a kept case, with its photos and whose vehicle it is."""
    from diagnose.records.store.paths import photo_folder
    from diagnose.report.pages.photos import photos_of

    report = report_of(options, reasoner, case, store)
    found = store.customer(case.id)
    customer = [("Name", found.name), ("Plate", found.plate)] if found else []
    photos = photos_of(store.events(case.id), photo_folder(store.path))
    told = [(k, v) for k, v in customer if v]
    hand_over(options, reasoner, report, photos, told, piped=piped)


def report_of(
    options: argparse.Namespace, reasoner: Reasoner, case: Case, store: Store | None = None
) -> Report:
    """The report of a case, with the plan that the options ask for, and closed cases like it."""
    from diagnose.records.case.complaints import complaints_of, known_part
    from diagnose.records.experience.past import past_of
    from diagnose.report.content.whole import whole
    from diagnose.report.plan_command import terms_of

    known = known_part(reasoner.base, case)
    if case.complaints and not known.complaints:
        named = ", ".join(dict.fromkeys(c.symptom for c in case.complaints))
        raise Misuse(
            f"case {case.id} was kept with other rules, and these do not have {named}: name those"
            " under --rules"
        )
    at = now()
    terms = terms_of(reasoner.base, known, options, at) if options.plan else None
    vehicle = reasoner.car(complaints_of(reasoner.base, known))
    past = past_of(reasoner.base, known, store)
    return whole(reasoner, case, at, program(), terms, vehicle, past)


def is_kept(options: argparse.Namespace) -> bool:
    """Whether no file but a case in the records bears this name.

    Raises Misuse where what looks like the id of a case is the name of neither, or no records are
    where they are said to be.
    """
    name, records = str(options.file), records_read(options.records)
    if name == "-" or options.file.exists():
        return False
    if records:
        with store_of(records) as store:
            if name in store.ids():
                return True
    if not options.file.suffix and len(options.file.parts) == 1:
        raise Misuse(
            f"there is no kept case and no file called '{name}'; diagnose cases list shows the"
            " kept ones"
        )
    return False
