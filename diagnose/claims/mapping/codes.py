"""A shop's own short words: explained in a row of the sheet, or read as what they are short for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

import polars as pl

from diagnose.claims.mapping.likeness import Candidate
from diagnose.claims.table.source import ROW

LONGEST = 3
"""Letters of a code."""

MOSTLY = 0.7
"""Share of a column's words that are codes, from which it is one of codes."""

LOOKED = 40
"""Rows at the end and at the beginning in which an explanation is looked for."""

KEYS = frozenset(
    ("key", "legend", "codes", "code", "abbreviations", "abbr", "abbrev", "short for", "meaning")
)
"""Words with which a row begins that explains others."""

_PAIR = re.compile(r"\s*([^\W_]{1,4}|[^\W_]{1,2}/[^\W_]{1,2})\s*[=:–]\s*([^=:]{3,}?)\s*")
_LOOSE = re.compile(r"\s*([A-Z0-9]{1,4})\s+([^\W\d_].{2,})")


def is_code(word: str) -> bool:
    """Whether a word looks like a code: a few letters, all large."""
    return word.isalpha() and word.isupper() and len(word) <= LONGEST


def of_codes(words: Sequence[str]) -> bool:
    """Whether the words of a column are codes, nearly all of them."""
    return len(words) > 1 and sum(map(is_code, words)) >= MOSTLY * len(words)


def explains(cells: Sequence[str]) -> bool:
    """Whether the filled cells of a row explain short words, and tell no claim."""
    first = cells[0].strip().rstrip(":").casefold() if cells else ""
    return first in KEYS or (bool(cells) and all(_parts(cell) for cell in cells))


def _parts(cell: str) -> bool:
    parts = [part for part in re.split(r"[;,]", cell) if part.strip()]
    return bool(parts) and all(_PAIR.fullmatch(part) for part in parts)


def legend(frame: pl.DataFrame) -> Mapping[str, str]:
    """What short words are explained as, in rows of the sheet or in its headers."""
    found: dict[str, str] = {}
    for name in frame.columns:
        inside = re.search(r"[(\[](.*)[)\]]", name)
        for pair in re.split(r"[;,]", inside[1]) if inside else ():
            its = _PAIR.fullmatch(pair) or _LOOSE.fullmatch(pair)
            if its:
                found[its[1].casefold()] = its[2]
    plain = frame.drop(ROW, strict=False)
    ends = plain if plain.height <= 2 * LOOKED else pl.concat([plain[:LOOKED], plain[-LOOKED:]])
    before = False
    for row in ends.iter_rows():
        cells = [str(cell) for cell in row if cell is not None and str(cell).strip()]
        start = explains(cells)
        follows = before and len(cells) > 1 and all(_LOOSE.fullmatch(cell) for cell in cells)
        before = start or follows
        if before:
            found.update(_pairs(cells))
    return found


def _pairs(cells: Sequence[str]) -> Iterator[tuple[str, str]]:
    for cell in cells:
        for part in re.split(r"[;,]", cell):
            its = _PAIR.fullmatch(part) or _LOOSE.fullmatch(part)
            if its:
                yield its[1].casefold(), its[2]


def short_for(code: str, its: Candidate, told: Mapping[str, int]) -> str:
    """The one choice that a code is short for: by its initials, else by its first letters.

    `told`: how often the rows with this code name each choice in other words; it decides between
    several.
    """
    letters = code.casefold()
    ways = {
        (way, id_)
        for id_, says in its.fact.choices.items()
        for way in (says.casefold(), *its.said.get(id_, ()))
    }
    initials = {
        i for way, i in ways if letters == "".join(w[0] for w in _words(way))[: len(letters)]
    }
    begin = {i for way, i in ways if any(w.startswith(letters) for w in _words(way)[:1])}
    for found in (initials if len(letters) > 1 else set(), begin, initials | begin):
        if len(found) == 1:
            return next(iter(found))
    named = {i: told.get(i, 0) for i in initials | begin}
    most = max(named.values(), default=0)
    best = [i for i, count in named.items() if count == most]
    return best[0] if most and len(best) == 1 else ""


def _words(way: str) -> list[str]:
    return re.findall(r"[^\W\d_]+", way)
