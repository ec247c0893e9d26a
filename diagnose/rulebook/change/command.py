"""`diagnose rules impact`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands import (
    DONE,
    Misuse,
    Parsers,
    add_command,
    add_rules,
    print_json,
)
from diagnose.files import cases_folder, hand_over
from diagnose.folders import parsed_cache, results_cache, shipped
from diagnose.garbage import uncollected
from diagnose.knowledge.reading.command import base_of

SHIPPED = "shipped"
"""The word for the shipped rules, where no folder is called so."""

RULE = 100
"""Hyphens between what was shown and what is shown again."""

if TYPE_CHECKING:
    from diagnose.knowledge.base import Base
    from diagnose.knowledge.reading.parsed import ParsedBefore
    from diagnose.rulebook.change.impact import ImpactWanted
    from diagnose.rulebook.change.kept import KeptResults


def add_impact(parts: Parsers[argparse.ArgumentParser]) -> None:
    """Add `rules impact`."""
    its = add_command(
        parts,
        "impact",
        "Say what a change of the rules does to the worked cases: who moved, how far, and why.",
        "diagnose rules impact HEAD rules/ --watch",
        impact,
    )
    its.add_argument("old", metavar="OLD", help="a folder, a git revision of NEW's folder, or the"
                     f" word {SHIPPED}")  # fmt: skip
    its.add_argument("new", type=Path, metavar="NEW", help="a folder of rules")
    its.add_argument("--cases", type=Path, metavar="DIR", action="append", help="worked cases (else"
                     " the shipped ones); may be given several times")  # fmt: skip
    its.add_argument("--band", type=float, default=10, metavar="PERCENT", help="a probability"
                     " that moves by less is left out (10)")  # fmt: skip
    its.add_argument("--asking", action="store_true", help="replay all questions, however many"
                     " cases are touched")  # fmt: skip
    its.add_argument("--watch", action="store_true", help="show it again after each save of a file"
                     " (Ctrl-C ends it)")  # fmt: skip
    its.add_argument("--json", action="store_true", help="the result as JSON")


def impact(options: argparse.Namespace) -> int:
    """Who moved."""
    from diagnose.knowledge.reading.parsed import ParsedBefore
    from diagnose.rulebook.change.impact import ImpactWanted
    from diagnose.rulebook.change.kept import KeptResults
    from diagnose.rulebook.change.watch import watch

    if not 0 <= options.band <= 100:
        raise Misuse(f"--band {options.band:g} is no percent: give 0 to 100")
    cases = tuple(map(cases_folder, options.cases or [shipped("cases")]))
    wanted, kept = ImpactWanted(options.band / 100, options.asking), KeptResults(results_cache())
    parse = ParsedBefore(parsed_cache())
    with _old_folder(options.old, options.new) as folder:
        side = _OldSide(base_of(folder, parse=parse), cases, wanted, kept, parse)
        if options.watch:
            watch((options.new, *cases), lambda: _watched(options, side))
        else:
            _show_impact(options, side)
    return DONE


@dataclass(frozen=True, slots=True)
class _OldSide:
    """What the new rules are held against, and what is known from before."""

    old: Base
    cases: tuple[Path, ...]
    wanted: ImpactWanted
    kept: KeptResults
    parse: ParsedBefore


def _watched(options: argparse.Namespace, side: _OldSide) -> None:
    """The impact of what was saved; of rules that cannot be used, why."""
    print(f"\n{'-' * RULE}")
    try:
        _show_impact(options, side)
    except Misuse as error:
        print(error)
    print("Waiting for the next save; Ctrl-C ends it.", file=sys.stderr, flush=True)


def _show_impact(options: argparse.Namespace, side: _OldSide) -> None:
    from diagnose.rulebook.change import telling
    from diagnose.rulebook.change.impact import compare

    with _progress() as tell, uncollected():
        new = base_of(options.new, keep=False, parse=side.parse)
        found = compare(side.old, new, side.cases, side.wanted, side.kept, tell, side.parse)
    if options.json:
        print_json(telling.data(found))
    else:
        print(telling.text(found), end="", flush=True)


@contextmanager
def _progress() -> Iterator[Callable[[int], None]]:
    """How many questions have been replayed, on a terminal that looks at stderr."""
    asked = 0

    def tell(questions: int) -> None:
        nonlocal asked
        asked += questions
        if sys.stderr.isatty() and asked:
            print(f"\r{asked} questions replayed …", end="", file=sys.stderr, flush=True)

    yield tell
    if sys.stderr.isatty() and asked:
        print("\r\033[K", end="", file=sys.stderr, flush=True)


@contextmanager
def _old_folder(old: str, new: Path) -> Iterator[Path]:
    """The folder of the old rules: as named, the shipped ones, or out of git at a revision."""
    from diagnose.rulebook.change.revision import taken_out

    if Path(old).is_dir():
        yield Path(old)
        return
    if old == SHIPPED:
        yield shipped("rules")
        return
    with taken_out(old, new) as folder:
        yield folder


def add_outcomes(parts: Parsers[argparse.ArgumentParser]) -> None:
    """Add `rules outcomes`."""
    its = add_command(
        parts,
        "outcomes",
        "What closed cases say of the rules, with a change that one can take or leave.",
        "diagnose rules outcomes --patch change.diff",
        outcomes,
    )
    add_rules(its)
    its.add_argument("--records", type=Path, metavar="FILE", help="records kept elsewhere")
    its.add_argument("--patch", type=Path, metavar="FILE", help="write the change to a file")


def outcomes(options: argparse.Namespace) -> int:
    """What outcomes say of the rules."""
    from diagnose.records.experience.counting import experience
    from diagnose.records.experience.sign_worth import sign_records
    from diagnose.records.store.command import records_read, store_of
    from diagnose.records.store.summary import Filter
    from diagnose.rulebook.change.outcomes import (
        OutcomeFinding,
        difference,
        findings,
        for_additions,
        proposals,
        report,
        way_to_take,
    )

    base = base_of(options.rules)
    records_read(options.records)
    with store_of(options.records) as store:
        complaints = store.known_complaints(Filter())
        ends = store.outcomes()
        learned = base.learned(experience(base, store))
    found: dict[str, list[OutcomeFinding]] = {}
    for one in findings(base, sign_records(base, complaints), ends, complaints):
        found.setdefault(one.kind, []).append(one)
    wanted = list(proposals(learned))
    folder = options.rules or shipped("rules")
    change = difference(folder, wanted)
    taking = ""
    if options.patch and change:
        hand_over(change, options.patch)
        taking = way_to_take(folder, options.patch, options.rules is None)
    print(report(found, change, for_additions(wanted), taking))
    return DONE
