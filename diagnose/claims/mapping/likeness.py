"""What a column of the clerk's and a fact of the base look like, so that they can be compared."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import polars as pl

from diagnose.claims.mapping.facts import Fact, facts
from diagnose.claims.mapping.mapping import DATES
from diagnose.claims.table.text import NOTHING
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.kinds import NumberKind
from diagnose.knowledge.words.places import places_called

PROSE = 3
"""Words in a cell, on average, from which a column reads like remarks."""

NOT_KNOWN = frozenset(("unknown", "not known", "dunno", "don't know", "can't tell", "no idea"))
"""What people write where they tried and could not tell."""

UNTOLD = NOTHING | NOT_KNOWN

FIRST_YEAR = 1900
"""Before it no day lies that is meant; a year of two figures was read as one of four."""

MOST = 0.5
"""Share of a column's cells that are days, numbers or words of a fact, from which it may be it."""

SIDES = {
    **{"l": "left", "lh": "left", "lhs": "left", "r": "right", "rh": "right", "rhs": "right"},
    **dict.fromkeys(("lf", "fl"), "front left"),
    **dict.fromkeys(("rf", "fr"), "front right"),
    **dict.fromkeys(("lr", "rl"), "rear left"),
    "rr": "rear right",
}
"""Short for a side, in the name of a panel."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A fact with its number, if it is one, and each way to say one of its choices.

    `said`: the names of each choice, in small letters, as they stand.
    """

    fact: Fact
    number: NumberKind | None
    ways: Mapping[str, str]
    said: Mapping[str, Sequence[str]] = field(default_factory=dict)

    @property
    def of_panels(self) -> bool:
        """Whether its choices are places on a vehicle."""
        return self.fact.id == "panel"

    @property
    def is_number(self) -> bool:
        """Whether it is an amount or a number with a unit."""
        return self.fact.kind == "money" or self.number is not None


@dataclass(frozen=True, slots=True)
class Cells:
    """A column as it looks: what it is called, and what its first cells are made of."""

    name: str
    texts: pl.Series
    words: tuple[str, ...]
    days: float
    digits: float
    length: float

    def can_be(self, its: Candidate) -> bool:
        """Whether the cells are of the fact's kind at all: most of them days, or numbers."""
        if not len(self.texts):
            return True
        if its.fact.kind == "date":
            return self.days >= MOST
        if self.days >= MOST and its.fact.id in ("remark", "found", "customer", "installer"):
            return False
        if its.is_number:
            return self.digits >= MOST and self.length < PROSE and self.days < MOST
        return its.fact.kind == "text" or self.days < MOST


def candidates(base: Base) -> dict[str, Candidate]:
    """Every fact that a column may tell, by its id."""
    found = {}
    for name, fact in facts(base).items():
        check = base.checks.get(name)
        number = check.kind if check and isinstance(check.kind, NumberKind) else None
        said = {id_: tuple(w.casefold() for w in ways) for id_, ways in _said(base, fact)}
        found[name] = Candidate(fact, number, _ways(base, fact), said)
    return found


def looked_at(name: str, column: pl.Series) -> Cells:
    """A column as it looks."""
    texts = texts_of(column)
    many = max(1, len(texts))
    digits = int(texts.str.contains(r"\d").sum()) / many
    # No day is written without a figure, and to look for days takes long.
    days = (read_as_days(texts, [*DATES]) + _loosely(texts)) / many if digits >= MOST else 0.0
    return Cells(name, texts, tuple(words_of(column)), days, digits, _words_in_cell(texts))


_LOOSE = (
    r"(?i)^(?:(?:early|mid|late|end|end of|about|ca\.?) )?[a-z]{3,9}\.? '?(?:\d{2}|\d{4})$"
    r"|^(?:w|wk|week|kw)\.? ?\d{1,2}[ /-]+\d{2,4}$|^\d{1,2}/\d{4}$"
    r"|^\d{4}-\d\d-\d\d (?:to|-|–|until) \d"
)
"""A month, a week, a stretch of days: what a cell for a day may say."""


def _loosely(texts: pl.Series) -> int:
    """How many texts tell a day less exactly, which is read all the same."""
    return int(texts.str.contains(_LOOSE).sum())


def without_brackets(header: str) -> str:
    """A header without what stands in brackets."""
    return re.sub(r"[(\[].*?[)\]]", " ", header)


@lru_cache(maxsize=65_536)
def key_of(text: str, sides: bool = False) -> str:
    """Words of a text in small letters, sorted, without signs."""
    words = re.findall(r"[^\W_]+", text.casefold())
    return " ".join(sorted(SIDES.get(w, w) if sides else w for w in words))


def texts_of(column: pl.Series) -> pl.Series:
    """The first texts of a column that say something."""
    texts = column.cast(pl.String).drop_nulls().str.strip_chars()
    told = ~texts.str.to_lowercase().is_in(list(UNTOLD))
    return texts.filter(told).head(200)


def read_as_days(texts: pl.Series, forms: Sequence[str]) -> int:
    """How many texts are days, written in one of some ways."""
    days = plain_days(texts)
    read = pl.repeat(False, len(days), eager=True)
    for pattern in (p for form in forms for p in DATES[form]):
        read |= _as_days(days, pattern).is_not_null()
    return int(read.sum())


def _as_days(texts: pl.Series, pattern: str) -> pl.Series:
    """Texts as days written in one way; a year has four figures, or two where two are written."""
    found = texts.str.to_date(pattern, strict=False)
    return found.set((found.dt.year() < FIRST_YEAR).fill_null(False), None)


def plain_days(texts: pl.Series) -> pl.Series:
    """Texts without the time of day, without the name of the day, and '3rd' as '3'."""
    return (
        texts.str.strip_chars()
        .str.replace(r"[ T]\d{1,2}:\d\d.*$", "")
        .str.replace(r"(?i)^(mon|tue|wed|thu|fri|sat|sun)[a-z]*[.,]? +", "")
        .str.replace(r"(?i)(\d)(st|nd|rd|th)\b", "$1")
        .str.replace(r"(?i)\bsept\b", "Sep")
    )


def days_in(texts: pl.Series, forms: Sequence[str]) -> pl.Series:
    """The days that texts are, null where one is none."""
    found = pl.repeat(None, len(texts), dtype=pl.Date, eager=True)
    for pattern in (p for form in forms for p in DATES[form]):
        read = _as_days(texts, pattern)
        found = found.zip_with(found.is_not_null(), read)
    return found


def _words_in_cell(texts: pl.Series) -> float:
    found = texts.str.count_matches(r"\s+").mean()
    return 1.0 + float(found) if isinstance(found, float) else 0.0


def words_of(column: pl.Series, most: int = 60) -> list[str]:
    """The distinct texts of a column that looks like one of choices, else none."""
    found = column.drop_nulls().cast(pl.String).unique(maintain_order=True)
    words = [w.strip() for w in found.head(most + 1).to_list() if w.strip()]
    return words if len(words) <= most else []


def _ways(base: Base, fact: Fact) -> Mapping[str, str]:
    """Each way to say a choice that says one choice only, sorted by words, with its id."""
    found: dict[str, set[str]] = {}
    for id_, ways in _said(base, fact):
        for way in ways:
            found.setdefault(key_of(way), set()).add(id_)
    return {way: ids.pop() for way, ids in found.items() if way and len(ids) == 1}


def _said(base: Base, fact: Fact) -> Iterator[tuple[str, Sequence[str]]]:
    places = places_called(base.words) if fact.id == "panel" else {}
    for id_, says in fact.choices.items():
        also = base.symptoms[id_].also_called if fact.id == "symptom" else ()
        also += places.get(id_, ())
        yield id_, (says, re.sub(r"\(.*?\)", "", says), id_, *also)
