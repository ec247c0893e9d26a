"""`diagnose rules show` and `diagnose rules atlas`."""

from __future__ import annotations

import argparse
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands import (
    DONE,
    Parsers,
    add_command,
    add_rules,
    print_json,
)
from diagnose.files import cases_folder, hand_over
from diagnose.folders import shipped
from diagnose.records.experience.command import add_experience, learned_base
from diagnose.records.store.command import records_read

if TYPE_CHECKING:
    from diagnose.knowledge.base import Base
    from diagnose.rulebook.pages.atlas import Lessons
    from diagnose.rulebook.pages.wording import Library


WIDEST = 100
"""Characters in a line at most."""

MOST_TABLES = 8
"""Tables of answers that are shown of a symptom."""


def add_show(parts: Parsers[argparse.ArgumentParser]) -> None:
    """Add `rules show`."""
    its = add_command(
        parts,
        "show",
        "Show a cause, symptom, check, remedy, payer, caution, finding, measure or source.",
        "diagnose rules show pulled_to_edge",
        show,
    )
    its.add_argument("id", nargs="*", metavar="ID", help="an id, or words: the page of the only"
                     " entry that holds them, or a list; without it, everything")  # fmt: skip
    its.add_argument("--all", action="store_true", help="of a symptom the answers to all checks"
                     f" (else to the {MOST_TABLES} that tell most)")  # fmt: skip
    add_rules(its)
    its.add_argument("--json", action="store_true", help="the result as JSON")
    add_experience(its)


def show(options: argparse.Namespace) -> int:
    """The page of an entry."""
    from diagnose.rulebook.pages import page as pages_data
    from diagnose.rulebook.pages.entries import listing, page
    from diagnose.rulebook.pages.render import text
    from diagnose.rulebook.pages.wording import Library

    records_read(options.records)
    base = learned_base(options)
    words = " ".join(options.id)
    if not words:
        _listed(listing(base), options.json)
        return DONE
    library = Library(base)
    entry = _meant(library, words, options.json)
    if entry is None:
        return DONE
    found = page(library, entry, None if options.all else MOST_TABLES)
    if options.json:
        print_json(pages_data.data(found))
    else:
        print(text(found, min(shutil.get_terminal_size().columns, WIDEST)), end="")
    return DONE


def _listed(entries: Sequence[tuple[str, str, str]], as_json: bool) -> None:
    """Entries by kind, id and name."""
    if as_json:
        print_json([{"kind": k, "id": i, "name": n} for k, i, n in entries])
    else:
        print("\n".join(f"{kind:8} {entry}: {name}" for kind, entry, name in entries))


def _meant(library: Library, words: str, as_json: bool) -> str | None:
    """The entry of an id, or the only one that holds some words; several are listed, then None."""
    from diagnose.rulebook.pages.entries import found
    from diagnose.rulebook.pages.wording import KINDS

    hits = () if words in library.section else found(library, words)
    if len(hits) < 2:
        return hits[0] if hits else words
    kinds = [(KINDS[library.section[hit]], hit, library.name(hit)) for hit in hits]
    _listed(kinds, as_json)
    return None


def add_atlas(parts: Parsers[argparse.ArgumentParser]) -> None:
    """Add `rules atlas`."""
    its = add_command(
        parts,
        "atlas",
        "Write the whole rule base as one linked HTML document, to read through and to print.",
        "diagnose rules atlas --output atlas.html",
        atlas,
    )
    add_rules(its)
    its.add_argument("--cases", type=Path, metavar="DIR", help="worked cases whose lessons stand"
                     " with their causes (else the shipped ones)")  # fmt: skip
    its.add_argument("--output", type=Path, metavar="FILE", help="a file that does not exist yet")
    add_experience(its)


def atlas(options: argparse.Namespace) -> int:
    """The book."""
    from diagnose.rulebook.pages.atlas import atlas as made

    records_read(options.records)
    base = learned_base(options)
    words = made(base, _lessons(base, cases_folder(options.cases or shipped("cases"))))
    hand_over(words, options.output)
    return DONE


def _lessons(base: Base, folder: Path) -> Lessons:
    """What the readable cases of a folder taught, by cause."""
    from diagnose.rulebook.change.version import read_cases
    from diagnose.rulebook.pages.atlas import Lesson

    found: dict[str, list[Lesson]] = {}
    for case in read_cases(base, folder).cases:
        lesson = case.facts.get("lesson")
        causes = [c.outcome.cause for c in case.complaints if c.outcome]
        for cause in dict.fromkeys(causes) if lesson else ():
            its = Lesson(case.facts.get("title", case.id), lesson or "")
            found.setdefault(cause, []).append(its)
    return found
