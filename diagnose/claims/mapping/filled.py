"""What a proposed column needs beside its fact: its words, its unit, how days and numbers stand."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

import polars as pl

from diagnose.claims.mapping.facts import Fact
from diagnose.claims.mapping.likeness import (
    NOT_KNOWN,
    Candidate,
    key_of,
    read_as_days,
    texts_of,
    without_brackets,
    words_of,
)
from diagnose.claims.mapping.mapping import DATES, UNKNOWN_WORD, Column
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.table.numbers import pointed, without_currency
from diagnose.claims.table.text import NOTHING
from diagnose.knowledge.words.spelling import consonants

LIKE_VALUE = 85
"""From which likeness (0 to 100) a value is proposed for an answer."""

SHORTEST = 4
"""Letters of a word from which likeness says anything; a code of the clerk's own is not guessed."""


def filled(
    column: Column,
    its: Candidate,
    cells: pl.Series,
    remarks: Remarks,
    short: Mapping[str, str] | None = None,
) -> Column:
    """The column with its own words, unit, and ways of writing days and numbers.

    `short`: what the sheet says that short words stand for.
    """
    if its.fact.kind == "date":
        return replace(column, date=date_forms(texts_of(cells)))
    if its.fact.choices:
        values = _values(cells, its, column.column, remarks)
        explained = _explained(cells, its, column.column, remarks, short or {})
        return replace(column, values={**values, **explained})
    if its.is_number:
        unit = unit_in(column.column, its) or _currency(cells, its)
        return replace(column, unit=unit, decimal=_decimal(cells), values=_unknowns(cells))
    return column


def _values(cells: pl.Series, its: Candidate, header: str, remarks: Remarks) -> dict[str, str]:
    """Words that are near to a choice, but for those that are understood as they stand."""
    strict = understood_anyway(its.fact)
    found = {}
    for word in words_of(cells):
        if word.casefold().replace("_", " ") in strict or word.casefold() in NOTHING:
            continue
        meant = UNKNOWN_WORD if word.casefold() in NOT_KNOWN else its.ways.get(key_of(word), "")
        if not meant and not remarks.meant(its.fact.id, header, word):
            meant = nearest(word, its)
        if meant:
            found[word] = meant
    return found


def _explained(
    cells: pl.Series, its: Candidate, header: str, remarks: Remarks, short: Mapping[str, str]
) -> dict[str, str]:
    """What words mean that the sheet explains."""
    found = {}
    for word in words_of(cells):
        says = short.get(word.casefold(), "")
        meant = says and (
            remarks.meant(its.fact.id, header, says) or its.ways.get(key_of(says), "")
        )
        if meant:
            found[word] = meant
    return found


def understood_anyway(fact: Fact) -> set[str]:
    """What is understood without a mapping."""
    return {
        w.casefold() for id_, says in fact.choices.items() for w in (says, id_.replace("_", " "))
    } | {UNKNOWN_WORD}


def nearest(word: str, its: Candidate) -> str:
    """The choice that a word is near enough to, or ''."""
    from rapidfuzz import fuzz, process

    key = key_of(key_of(word, its.of_panels))
    if key in its.ways:
        return its.ways[key]
    if its.of_panels and len(word) < SHORTEST:
        return _short_panel(word, its)
    if len(key) < SHORTEST:
        return ""
    near = process.extract(key, list(its.ways), scorer=fuzz.ratio, score_cutoff=LIKE_VALUE)
    best = {its.ways[way] for way, score, _ in near if score == near[0][1]}
    if not best:
        words = set(key.split())
        best = {id_ for way, id_ in its.ways.items() if words <= set(way.split())}
    return best.pop() if len(best) == 1 else ""


def _short_panel(word: str, its: Candidate) -> str:
    """The one panel that a few letters stand for: its initials, its consonants, its beginning."""
    said = word.casefold()
    alone = {way: id_ for way, id_ in its.ways.items() if " " not in way}
    several = {way: id_ for way, id_ in its.ways.items() if " " in way}
    ways = (
        {id_ for way, id_ in alone.items() if consonants(way) == said},
        {
            i
            for way, i in several.items()
            if sorted(part[0] for part in way.split()) == sorted(said)
        },
        {id_ for way, id_ in alone.items() if consonants(way).startswith(said)},
        {id_ for way, id_ in alone.items() if way.startswith(said)},
    )
    found = next((ids for ids in ways if ids), set()) if len(said) > 1 else set()
    return found.pop() if len(found) == 1 else ""


def _unknowns(cells: pl.Series) -> dict[str, str]:
    words = {w for w in words_of(cells, 10_000) if w.casefold() in NOT_KNOWN - {UNKNOWN_WORD}}
    return dict.fromkeys(sorted(words), UNKNOWN_WORD)


def date_forms(texts: pl.Series) -> tuple[str, ...]:
    """The way of writing days in which most texts can be read, and what adds to it."""
    count = {form: read_as_days(texts, [form]) for form in DATES}
    first = max(count, key=lambda form: count[form])
    found = [first]
    for form in DATES:
        if {first, form} == {"day/month/year", "month/day/year"} or form == "year-month-day":
            continue
        if read_as_days(texts, [*found, "year-month-day", form]) > read_as_days(
            texts, [*found, "year-month-day"]
        ):
            found.append(form)
    return tuple(found)


def unit_in(header: str, its: Candidate) -> str:
    """A unit that the header ends in or sets in brackets, other than the check's own."""
    return _unit_of(header, its.number.measured_in) if its.number else ""


@lru_cache(maxsize=65_536)
def _unit_of(header: str, own: str) -> str:
    from diagnose.measures.units import SPELLINGS

    known = SPELLINGS.get(own, {})
    for word in reversed(re.findall(r"[^\s()\[\],;:_]+", header)):
        if word.casefold() in known:
            return "" if known[word.casefold()] == (1.0, 0.0) else word
    return ""


def without_unit(header: str, its: Candidate) -> str:
    """The header without brackets and without its unit or currency."""
    bare = without_brackets(header)
    if its.fact.kind == "money":
        return without_currency(bare)
    unit = unit_in(bare, its)
    return re.sub(rf"[\s_]{re.escape(unit)}\s*$", "", bare) if unit else bare


def _currency(cells: pl.Series, its: Candidate) -> str:
    """What stands beside amounts, where it is always the same."""
    if its.fact.kind != "money":
        return ""
    amounts = texts_of(cells).filter(texts_of(cells).str.contains(r"\d")).to_list()
    beside = {re.sub(r"[\d.,'’\s+-]", "", text) for text in amounts}
    signs = {text for text in beside if re.fullmatch(r"[^\W\d_]{1,4}|[$¢£¥€₣₤₹₺₽]", text)}
    return signs.pop() if len(signs) == 1 else ""


def _decimal(cells: pl.Series) -> str:
    """'comma' where cells that can be read in one way show it, and none shows the other."""
    texts = texts_of(cells).to_list()
    marks = {
        next(sign for sign in reversed(text) if sign in ".,")
        for text in texts
        if pointed(text, "comma") == pointed(text, "point") and re.search(r"[.,]\d", text)
    }
    return "comma" if marks == {","} else ""
