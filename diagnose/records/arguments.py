"""The arguments of `diagnose cases …`."""

from __future__ import annotations

import argparse
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.commands import Parsers, Run, add_command, add_rules

if TYPE_CHECKING:
    from diagnose.records.actions.job import Arguments
    from diagnose.records.case.journal import Outcome
    from diagnose.records.store.summary import Filter

Build = Callable[[argparse.ArgumentParser], None]


def add_parsers(commands: Parsers[argparse.ArgumentParser], run: Run) -> None:
    """Add `cases` with its actions; `run` gets the namespace with `action` set."""
    says = "List, show, close, export and import the records, and learn from them."
    top = commands.add_parser(
        "cases", help=says, description=says, epilog="example: diagnose cases list --open"
    )
    actions = top.add_subparsers(title="actions", metavar="ACTION", required=True)
    for action, (words, example, build) in _ACTIONS.items():
        its = add_command(actions, action, words, example, run)
        add_rules(its)
        its.add_argument("--records", type=Path, metavar="FILE", help="records kept elsewhere")
        build(its)
        its.set_defaults(action=action)


def _filters(its: argparse.ArgumentParser) -> None:
    for name in ("symptom", "panel", "cause", "film", "lot", "installer", "text"):
        its.add_argument(f"--{name}", default="", help=f"only with this {name}")
    its.add_argument("--month", default="", metavar="YYYY-MM", help="only of this month")
    standing = its.add_mutually_exclusive_group()
    standing.add_argument("--open", dest="closed", action="store_false", default=None)
    standing.add_argument("--closed", dest="closed", action="store_true", default=None)


def _list(its: argparse.ArgumentParser) -> None:
    _filters(its)
    _width(its, 132)
    its.add_argument("--json", action="store_true")


def _width(its: argparse.ArgumentParser, elsewhere: int) -> None:
    """Columns of the page: those of the terminal, or so many in a pipe."""
    columns = shutil.get_terminal_size((elsewhere, 24)).columns
    its.add_argument("--width", type=int, default=columns, metavar="COLUMNS")


def _one(its: argparse.ArgumentParser) -> None:
    its.add_argument("cases", nargs=1, metavar="CASE")
    its.add_argument("--journal", action="store_true", help="what was entered when as well")
    its.add_argument("--json", action="store_true")


def _close(its: argparse.ArgumentParser) -> None:
    its.add_argument("cases", nargs=1, metavar="CASE")
    its.add_argument("--complaint", type=int, metavar="N")
    its.add_argument("--cause", required=True, help="the confirmed cause, or unlisted")
    its.add_argument("--also", action="append", default=[], metavar="CAUSE", help="a second cause")
    its.add_argument("--confirmed-by", required=True, help="what proved it")
    its.add_argument("--remedy", default="", help="what was done")
    held = its.add_mutually_exclusive_group()
    held.add_argument("--held", dest="held", action="store_true", default=None)
    held.add_argument("--not-held", dest="held", action="store_false", default=None)
    its.add_argument("--payer", default="")
    its.add_argument("--cost", type=float)
    its.add_argument("--note", default="")
    its.add_argument("--yes", action="store_true", help="though it does not fit the rules")


def _held(its: argparse.ArgumentParser) -> None:
    its.add_argument("cases", nargs=1, metavar="CASE")
    its.add_argument("--complaint", type=int, metavar="N")
    held = its.add_mutually_exclusive_group(required=True)
    held.add_argument("--held", dest="held", action="store_true", default=None)
    held.add_argument("--not-held", dest="held", action="store_false", default=None)
    its.add_argument("--note", default="")


def _due(its: argparse.ArgumentParser) -> None:
    _filters(its)
    its.add_argument("--days", type=int, default=14, metavar="N", help="closed so long ago or"
                     " longer")  # fmt: skip
    _width(its, 80)
    its.add_argument("--json", action="store_true")


def _experience(its: argparse.ArgumentParser) -> None:
    its.add_argument("--export", dest="export_to", type=Path, metavar="FILE", help="write own"
                     " counts, and no case")  # fmt: skip
    its.add_argument("--name", default="", help="under which name they go out, or whose weight")
    its.add_argument("--import", dest="import_from", type=Path, action="append", default=[],
                     metavar="FILE", help="take in another shop's counts")  # fmt: skip
    its.add_argument("--weight", type=float, metavar="W", help="what a case of that shop counts"
                     " for, 0 to 1; 0 sets it to nothing")  # fmt: skip
    its.add_argument("--overwrite", action="store_true")


def _drift(its: argparse.ArgumentParser) -> None:
    _filters(its)
    its.add_argument("--json", action="store_true")


def _backup(its: argparse.ArgumentParser) -> None:
    its.add_argument("paths", nargs=1, type=Path, metavar="NEWFILE")


def _restore(its: argparse.ArgumentParser) -> None:
    its.add_argument("paths", nargs=1, type=Path, metavar="BACKUP")
    its.add_argument("--check", dest="only_check", action="store_true", help="only tell whether it"
                     " is sound")  # fmt: skip


def _reopen(its: argparse.ArgumentParser) -> None:
    its.add_argument("cases", nargs=1, metavar="CASE")
    its.add_argument("--complaint", type=int, metavar="N")


def _export(its: argparse.ArgumentParser) -> None:
    its.add_argument("paths", nargs=1, type=Path, metavar="FOLDER")
    its.add_argument("cases", nargs="*", metavar="CASE")
    _filters(its)
    its.add_argument("--with-customers", action="store_true", help="names and plates too")
    its.add_argument("--overwrite", action="store_true")


def _import(its: argparse.ArgumentParser) -> None:
    its.add_argument("paths", nargs="+", type=Path, metavar="FILE")


def _delete(its: argparse.ArgumentParser) -> None:
    its.add_argument("cases", nargs=1, metavar="CASE")
    its.add_argument("--yes", action="store_true", help="do it")


def _statistics(its: argparse.ArgumentParser) -> None:
    _filters(its)
    its.add_argument("--seed", type=int, default=1)
    its.add_argument("--strength", type=float, help="how much the rule base's words weigh, in"
                     " cases, if not what scales.yaml says; 0 hides the shares")  # fmt: skip
    its.add_argument("--plots", action="store_true")
    its.add_argument("--output", type=Path, metavar="FILE", help="as pages: .html or .pdf")
    its.add_argument("--paper", choices=("a4", "letter"), default="a4", help="of pages")
    its.add_argument("--overwrite", action="store_true", help="write over an existing file")
    _width(its, 80)
    its.add_argument("--json", action="store_true")


def _words(its: argparse.ArgumentParser) -> None:
    _filters(its)
    _width(its, 80)
    its.add_argument("--json", action="store_true")


def _photo(its: argparse.ArgumentParser) -> None:
    its.add_argument("cases", nargs=1, metavar="CASE")
    its.add_argument("paths", nargs="+", type=Path, metavar="FILE")
    its.add_argument("--complaint", type=int, metavar="N")
    its.add_argument("--caption", default="")
    where = (
        "a place to look at, counted from the upper left corner of the upright photo, as shares of"
        " its width and height such as 0.4,0.25; may be given again"
    )
    its.add_argument("--mark", dest="marks", action="append", default=[], metavar="X,Y", help=where)


def _customer(its: argparse.ArgumentParser) -> None:
    its.add_argument("cases", nargs="*", metavar="CASE")
    its.add_argument("--name", default="")
    its.add_argument("--plate", default="")
    its.add_argument("--erase", action="store_true", help="forget this customer everywhere")
    its.add_argument("--yes", action="store_true", help="do it, having seen what goes")


def _nothing(its: argparse.ArgumentParser) -> None:
    """No arguments of its own."""


def _rescue(its: argparse.ArgumentParser) -> None:
    its.add_argument("paths", nargs=1, type=Path, metavar="NEWFILE")


_ACTIONS: dict[str, tuple[str, str, Build]] = {
    "list": (
        "List cases, the last changed first.",
        "diagnose cases list --symptom edge_lifting",
        _list,
    ),
    "show": (
        "Show a case, with its journal if asked.",
        "diagnose cases show 2026-03-05-0001",
        _one,
    ),
    "close": (
        "Close a complaint with what it turned out to be.",
        "diagnose cases close 2026-03-05-0001 --cause pulled_to_edge --confirmed-by 'relief cut'",
        _close,
    ),
    "held": (
        "Say whether a repair held, when that is known; the case stays closed.",
        "diagnose cases held 2026-03-05-0001 --held",
        _held,
    ),
    "due": (
        "Repairs of which nobody has said yet whether they held, the oldest first.",
        "diagnose cases due",
        _due,
    ),
    "experience": (
        "Give and take counts of closed cases from shop to shop, and no cases.",
        "diagnose cases experience --export counts.json --name 'Mill Yard'",
        _experience,
    ),
    "drift": (
        "Causes that have become more frequent than chance allows, with the cases behind it.",
        "diagnose cases drift",
        _drift,
    ),
    "backup": (
        "Copy all records and photos into one file.",
        "diagnose cases backup 2026-11-30.zip",
        _backup,
    ),
    "restore": (
        "Make records and photos anew from such a copy, or check it.",
        "diagnose cases restore 2026-11-30.zip --records restored/records.sqlite3",
        _restore,
    ),
    "reopen": ("Open a closed complaint again.", "diagnose cases reopen 2026-03-05-0001", _reopen),
    "export": ("Write cases as files.", "diagnose cases export folder/ --closed", _export),
    "import": ("Take in case files.", "diagnose cases import folder/", _import),
    "delete": (
        "Delete a case with all that belongs to it.",
        "diagnose cases delete 2026-03-05-0001 --yes",
        _delete,
    ),
    "statistics": (
        "Causes, recurrences, costs, and how well the stated chances held.",
        "diagnose cases statistics --plots",
        _statistics,
    ),
    "words": (
        "Words of people that found no home in the rule base, by how many cases have them.",
        "diagnose cases words",
        _words,
    ),
    "photo": ("Add photos to a case.", "diagnose cases photo 2026-03-05-0001 edge.jpg", _photo),
    "customer": (
        "Say whose vehicle it is, or forget a customer.",
        "diagnose cases customer --name 'A. Name' --erase --yes",
        _customer,
    ),
    "check": ("Read all records and tell what is damaged.", "diagnose cases check", _nothing),
    "rescue": (
        "Copy what can be read of damaged records.",
        "diagnose cases rescue saved.sqlite3",
        _rescue,
    ),
}


def read(options: argparse.Namespace) -> Arguments:
    """What these options say."""
    from diagnose.records.actions.job import Arguments

    given = vars(options)
    return Arguments(
        action=options.action,
        records=options.records,
        cases=tuple(given.get("cases", ())),
        paths=tuple(given.get("paths", ())),
        wanted=_filter(given),
        complaint=given.get("complaint"),
        outcome=_outcome(given),
        **{name: given[name] for name in _PASSED_ON if name in given},
        as_json=given.get("json", False),
    )


_PASSED_ON = (
    "caption",
    "marks",
    "journal",
    "name",
    "plate",
    "erase",
    "with_customers",
    "overwrite",
    "yes",
    "plots",
    "seed",
    "strength",
    "width",
    "days",
    "only_check",
    "export_to",
    "import_from",
    "weight",
)


def _filter(given: dict[str, Any]) -> Filter:
    from diagnose.records.store.summary import Filter

    names = ("symptom", "panel", "film", "lot", "installer", "month", "text")
    wanted = {name: given.get(name) or "" for name in names}
    cause = given.get("cause") or "" if "confirmed_by" not in given else ""
    return Filter(**wanted, cause=cause, closed=given.get("closed"))


def _outcome(given: dict[str, Any]) -> Outcome:
    from diagnose.records.case.journal import Outcome

    names = ("cause", "confirmed_by", "remedy", "held", "payer", "cost", "note")
    if "confirmed_by" not in given:
        return Outcome("", "", held=given.get("held"), note=given.get("note", ""))
    return Outcome(**{name: given[name] for name in names}, also_causes=tuple(given["also"]))
