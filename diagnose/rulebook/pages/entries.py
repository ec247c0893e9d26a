"""The page of any entry: what the base says of it, where it stands, what refers to it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.near import near
from diagnose.rulebook.pages.evidence import check_page, finding_page, measure_page
from diagnose.rulebook.pages.page import Page
from diagnose.rulebook.pages.trade import (
    cause_page,
    caution_page,
    payer_page,
    remedy_page,
    source_page,
    symptom_page,
)
from diagnose.rulebook.pages.wording import KINDS, Library

_MAKERS: Mapping[str, Callable[[Library, Any], Page]] = {
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


class NoEntryError(LookupError):
    """An id that nothing in the base has; the message names the nearest."""


def page(library: Library, entry: str) -> Page:
    """The page of an entry; raises NoEntryError."""
    section = library.section.get(entry)
    if section is None:
        kinds = ", ".join(KINDS.values())
        raise NoEntryError(
            f"nothing is called '{entry}'{near(entry, set(library.section))}; an id of a {kinds}"
            " is wanted, `diagnose rules show` alone lists them"
        )
    return _MAKERS[section](library, getattr(library.base, section)[entry])


def pages(base: Base) -> tuple[Page, ...]:
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
