"""What columns are by what stands in them, whatever their headers say.

A sheet that nobody has seen calls its columns as it likes. Its cells are plainer: numbers that
never come twice are those of claims, plates look like plates, amounts stand alone or beside a
currency, lots mix letters and figures and come again, names begin with capitals.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence

import polars as pl

from diagnose.claims.mapping.likeness import MOST, Cells
from diagnose.claims.table.numbers import amount, currency
from diagnose.measures.quantity import Quantity

NEARLY = 0.85
"""Share of a column's cells that look like a thing, from which all of it does."""

SHORT = 2.6
"""Words of a cell, on average, up to which it is a name or a number and no text."""

FEW = 2
"""Cells from which anything is told by them."""

_PLATE = re.compile(
    r"[A-ZÄÖÜ]{1,3}[ -]?\d{1,3}[ -]?[A-Z]{1,3}|[A-ZÄÖÜ]{1,3}[ -][A-Z]{1,2}[ -]?\d{1,4}"
    r"|[A-Z]{2}\d{2}[ -]?[A-Z]{3}|\d{1,3}[ -]?[A-Z]{2,3}[ -]?\d{1,3}|[A-HJ-NPR-Z0-9]{17}"
)
_NUMBER = re.compile(r"[A-Za-z]{0,5}[ ./#-]{0,2}\d{1,8}([ ./-]\d{1,5})?[A-Za-z]?")
_LOT = re.compile(r"(?=.*\d)[A-Za-z]{1,5}[ ./-]?[A-Za-z]{0,2}\d[\w./ -]{0,10}")
_TITLE = re.compile(r"\b(mr|mrs|ms|miss|dr|sir|messrs|ltd|co|bros|gmbh|taxis?|foods)\b\.?", re.I)
_NAME = re.compile(r"[^\W\d_][\w.'’&-]*([ ,]+[^\W\d_&][\w.'’&-]*){0,3}")
_MONEY = re.compile(r"\d")


def _share(texts: pl.Series, looks: Callable[[str], bool]) -> float:
    its = texts.to_list()
    return sum(looks(text) for text in its) / len(its) if its else 0.0


def _whole(pattern: re.Pattern[str]) -> Callable[[str], bool]:
    return lambda text: bool(pattern.fullmatch(text))


def _is_amount(text: str) -> bool:
    return bool(_MONEY.search(text)) and isinstance(amount(text, "point"), Quantity)


def _is_name(text: str) -> bool:
    return bool(_NAME.fullmatch(text)) and text[:1].isupper()


def _distinct(texts: pl.Series) -> float:
    return texts.n_unique() / len(texts) if len(texts) else 0.0


def _claim(its: Cells, place: int) -> bool:
    numbered = _share(its.texts, _whole(_NUMBER)) >= NEARLY
    return place <= 1 and numbered and _distinct(its.texts) >= NEARLY and its.days < MOST


def _vehicle(its: Cells, place: int) -> bool:
    return _share(its.texts, _whole(_PLATE)) >= NEARLY and _distinct(its.texts) >= MOST


def _lot(its: Cells, place: int) -> bool:
    looks = _share(its.texts, _whole(_LOT)) >= NEARLY
    return looks and its.days < MOST and 1 < its.texts.n_unique() < NEARLY * len(its.texts)


def _claimed(its: Cells, place: int) -> bool:
    amounts = _share(its.texts, _is_amount) >= NEARLY
    signed = _share(its.texts, lambda text: bool(currency(text))) >= MOST
    return amounts and its.days < MOST and (signed or bool(currency(its.name)))


def _customer(its: Cells, place: int) -> bool:
    titled = _share(its.texts, lambda text: bool(_TITLE.search(text)))
    initials = _share(its.texts, lambda text: bool(re.match(r"[A-Z]\.? [A-Z]\w+$", text)))
    names = _share(its.texts, _is_name) >= MOST
    return (titled >= 0.2 or initials >= MOST) and names and _distinct(its.texts) >= MOST


def _installer(its: Cells, place: int) -> bool:
    names = _share(its.texts, lambda text: bool(re.fullmatch(r"[A-Z][a-z]+|[A-Z]{2}", text)))
    again = 1 < its.texts.n_unique() <= 0.4 * len(its.texts)
    return names >= NEARLY and again


def looks_like(fact: str, its: Cells) -> bool:
    """Whether cells can be names of people, or numbers of claims, at all."""
    numbers = _share(its.texts, _whole(_NUMBER))
    if fact == "claim":
        return its.days < MOST and its.length < SHORT and _distinct(its.texts) >= MOST
    return numbers < MOST and its.days < MOST


LOOKS: Mapping[str, Callable[[Cells, int], bool]] = {
    "claim": _claim,
    "vehicle": _vehicle,
    "claimed": _claimed,
    "lot": _lot,
    "customer": _customer,
    "installer": _installer,
}
"""Facts that cells show by their looks, the plainest first."""


def by_cells(
    columns: Sequence[tuple[int, Cells]], taken: Mapping[str, str]
) -> Iterator[tuple[str, str]]:
    """Columns, with the facts that their cells look like; `taken` are columns by fact.

    `columns` come with their place in the sheet.
    """
    used: set[str] = set()
    for fact, looks in LOOKS.items():
        if fact in taken:
            continue
        for place, its in columns:
            if its.name in used or its.length > SHORT or len(its.texts) < FEW:
                continue
            if looks(its, place):
                used.add(its.name)
                yield its.name, fact
                break
