"""The page of any entry: what the base says of it, where it stands, what refers to it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from diagnose.commands import Misuse
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause, Entry, Symptom
from diagnose.near import near
from diagnose.rulebook.pages.evidence import check_page, finding_page, measure_page
from diagnose.rulebook.pages.held import held
from diagnose.rulebook.pages.page import Block, EntryPage, ItemList, full, refs
from diagnose.rulebook.pages.rows import cause_rows, symptom_tables
from diagnose.rulebook.pages.trade import (
    cause_page,
    caution_page,
    payer_page,
    remedy_page,
    source_page,
    symptom_page,
)
from diagnose.rulebook.pages.wording import KINDS, Library

_MAKERS: Mapping[str, Callable[[Library, Any], EntryPage]] = {
    "symptoms": symptom_page,
    "causes": cause_page,
    "checks": check_page,
    "measures": measure_page,
    "findings": finding_page,
    "remedies": remedy_page,
    "payers": payer_page,
    "cautions": caution_page,
    "sources": source_page,
}


class NoEntryError(Misuse):
    """An id that nothing in the base has; the message names the nearest."""


def page(library: Library, entry: str, most: int | None = None) -> EntryPage:
    """The page of an entry with its rows and, in full, what it cites; raises NoEntryError.

    Of a symptom `most` tables are shown, or all.
    """
    section = library.section.get(entry)
    if section is None:
        kinds = ", ".join(KINDS.values())
        raise NoEntryError(
            f"nothing is called '{entry}'{near(entry, set(library.section))}; an id of a {kinds}"
            " is wanted, `diagnose rules show` alone lists them"
        )
    found = getattr(library.base, section)[entry]
    its = _MAKERS[section](library, found)
    cited = full((_cited(library.base, its),))
    more = full((held(library, found),))
    return replace(its, blocks=(*its.blocks, *_rows(library, found, most), *more, *cited))


def found(library: Library, words: str) -> tuple[str, ...]:
    """The ids of the entries that hold all of these words, those named so first."""
    wanted = words.replace("_", " ").casefold().split()
    named, saying = [], []
    for section in KINDS:
        for name, entry in getattr(library.base, section).items():
            title = f"{name.replace('_', ' ')} {library.name(name)}".casefold()
            if all(word in title for word in wanted):
                named.append(name)
            elif all(word in _all_text(entry) for word in wanted):
                saying.append(name)
    return (*named, *saying)


def _all_text(entry: Entry) -> str:
    return str(entry.model_dump(mode="json", by_alias=True)).replace("_", " ").casefold()


def _rows(library: Library, entry: Entry, most: int | None) -> tuple[Block, ...]:
    match entry:
        case Cause():
            return cause_rows(library, entry)
        case Symptom():
            return symptom_tables(library, entry, most)
        case _:
            return ()


def _cited(base: Base, its: EntryPage) -> Block:
    named = sorted({name for name in refs(its) if name in base.sources})
    return Block("Sources", ItemList(tuple((f"{n}: {base.sources[n].citation}",) for n in named)))


def pages(base: Base) -> tuple[EntryPage, ...]:
    """The pages of all entries, section by section, in the order of the files."""
    library = Library(base)
    return tuple(
        make(library, entry)
        for section, make in _MAKERS.items()
        for entry in getattr(base, section).values()
    )


def listing(base: Base, kinds: Sequence[str] = tuple(KINDS)) -> tuple[tuple[str, str, str], ...]:
    """Every entry as (kind, id, name)."""
    library = Library(base)
    return tuple((KINDS[s], e, library.name(e)) for s in kinds for e in getattr(base, s))
