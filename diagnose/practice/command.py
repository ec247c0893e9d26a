"""What `diagnose practice …` takes and what of it needs no face: progress, export, erase."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands import Misuse, Parsers, Run, add_command, add_rules
from diagnose.folders import yaml_files

if TYPE_CHECKING:
    from diagnose.knowledge.base import Base
    from diagnose.practice.items.bank import Bank
    from diagnose.records.case.journal import Case
    from diagnose.records.store.store import Store

FACES = ("case", "signs", "apart", "drawing", "first", "remedy", "week", "exam")
"""Actions that ask something, on screens or line by line."""

ACTIONS = (*FACES, "progress", "trainer", "apprentices", "result", "export", "erase")

ANYONE = "apprentice"
"""The name where none is given."""


def add_parser(commands: Parsers[argparse.ArgumentParser], run: Run) -> argparse.ArgumentParser:
    """Add the command with its options."""
    its = add_command(
        commands,
        "practice",
        "Drills for the apprentice, over worked cases.",
        "diagnose practice --plain --apprentice Ada exam",
        run,
        interrupted="Left. What was begun is kept; start again to go on.",
    )
    its.add_argument(
        "action",
        nargs="?",
        choices=ACTIONS,
        metavar="WHAT",
        help="case, a drill (signs, apart, drawing, first, remedy), exam, result (of the last"
        " exam), week (the first one, planned), progress, trainer (a page of what goes wrong),"
        " apprentices, export, erase; without it, a choice of them",
    )
    its.add_argument("--apprentice", default=ANYONE, metavar="NAME", help="who practises")
    its.add_argument("--grade", choices=("plain", "tricky", "treacherous"), help="of the cases")
    its.add_argument("--seed", type=int, metavar="N", help="draw the same cases again")
    its.add_argument("--plain", action="store_true", help="line by line, without screens")
    add_rules(its)
    its.add_argument("--cases", type=Path, metavar="DIR", help="worked cases of your own")
    its.add_argument("--records", type=Path, metavar="FILE", help="records kept elsewhere")
    its.add_argument("--output", type=Path, metavar="FILE", help="write a result to a file")
    its.add_argument("--format", choices=("text", "html"), help="of a result or the trainer's page")
    its.add_argument("--json", action="store_true", help="progress as JSON")
    its.add_argument("--yes", action="store_true", help="erase without asking back")
    return its


def read_cases(folder: Path, base: Base) -> tuple[tuple[Case, ...], tuple[str, ...]]:
    """Every sound case of a folder, and a sentence for each file that is not."""
    from diagnose.records.case.casefile import read_case

    cases, problems = [], []
    for path in yaml_files(folder, below=False):
        try:
            found, wrong = read_case(path.name, path.read_text(encoding="utf-8-sig"), base)
        except (OSError, UnicodeDecodeError) as error:
            problems.append(f"{path.name} cannot be read: {error}")
            continue
        if found is None:
            problems += [str(problem) for problem in wrong if problem.severity == "error"]
        else:
            cases.append(found.case)
    return tuple(cases), tuple(problems)


def all_cases(worked: tuple[Case, ...], store: Store) -> Iterator[Case]:
    """The worked cases, then the shop's own that have an outcome, none twice."""
    yield from worked
    known = {case.id for case in worked}
    for case_id in store.ids():
        case = store.case(case_id)
        if case_id not in known and any(c.outcome for c in case.complaints):
            yield case


def progress(options: argparse.Namespace, base: Base, store: Store, now: datetime) -> str:
    """How an apprentice stands."""
    from diagnose.practice.progress.apprentice_records import Book
    from diagnose.practice.progress.over_time import by_symptom, streak, weeks
    from diagnose.practice.progress.progress import attempt_data
    from diagnose.practice.progress_words import progress_lines

    found = Book(store, options.apprentice).progress()
    if options.json:
        data = {
            "apprentice": options.apprentice,
            "grade": found.grade(),
            "attempts": [attempt_data(attempt) for attempt in found.attempts],
            "confused": [{"causes": pair, "times": n} for pair, n in found.confused()],
            "weeks": {
                monday.isoformat(): asdict(week)
                for monday, week in weeks(found, now.tzinfo).items()
            },
            "by_symptom": {s: asdict(its) for s, its in by_symptom(found).items()},
            "days_in_a_row": streak(found, now),
            "calibration": [
                {"said": b.said, "right": b.right, "count": b.count} for b in found.calibration()
            ],
            "due": {name: card.due.isoformat() for name, card in found.cards.items()},
        }
        return json.dumps(data, ensure_ascii=False, indent=1)
    return "\n".join(progress_lines(base, found, now))


def apprentices(store: Store) -> str:
    """Everyone who has practised."""
    from diagnose.practice.progress.apprentice_records import Book, names

    lines = [f"{name}: {len(Book(store, name).progress().attempts)}" for name in names(store)]
    return "\n".join(lines) or "Nobody has practised yet."


def export(options: argparse.Namespace, store: Store) -> str:
    """Everything that is kept of an apprentice, as JSON; Misuse where nothing is."""
    from diagnose.practice.progress.apprentice_records import Book

    book = Book(store, options.apprentice)
    if book.is_empty:
        raise nobody(book.name)
    return json.dumps(book.export(), ensure_ascii=False, indent=1)


def erase(options: argparse.Namespace, store: Store) -> str:
    """Forget an apprentice, with --yes; Misuse without, or where there is none of the name."""
    from diagnose.practice.progress.apprentice_records import Book

    book = Book(store, options.apprentice)
    if book.is_empty:
        raise nobody(book.name)
    if not options.yes:
        count = len(book.progress().attempts)
        raise Misuse(f"erasing {book.name} forgets {count} attempts for good: say --yes too")
    book.erase()
    return f"{book.name} is forgotten."


def nobody(name: str) -> Misuse:
    """What is said where none of a name has practised."""
    return Misuse(
        f"nobody of the name {name} has practised: 'diagnose practice apprentices' lists them"
    )


def bank_of(base: Base, worked: tuple[Case, ...], store: Store) -> Bank:
    """The bank of all cases that can be practised."""
    from diagnose.practice.items.bank import Bank

    return Bank.of(base, all_cases(worked, store))
