"""A first mapping for the clerk to correct: by the likeness of headers and of values."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.mapping.facts import SEVERAL
from diagnose.claims.mapping.filled import filled, without_unit
from diagnose.claims.mapping.likeness import (
    MOST,
    PROSE,
    UNTOLD,
    Candidate,
    Cells,
    candidates,
    key_of,
    looked_at,
    without_brackets,
)
from diagnose.claims.mapping.mapping import Column, Mapped, by_name
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.table.numbers import currency
from diagnose.claims.table.source import ROW
from diagnose.knowledge.base import Base

Floats = NDArray[np.float64]

LIKE_NAME = 82
"""From which likeness (0 to 100) a header or a value is proposed for a fact."""

SURE = ((97, "sure"), (90, "likely"), (0, "a guess"))
"""From which likeness a proposal is called so."""

TELLING = 2
"""Words of a column from which they say what it is; 'fair' in every row could be anything."""

SAYS_LITTLE = UNTOLD | {"yes", "no", "y", "n", "true", "false", "x", "ok", "done"}
"""Words that answer any question, and do not tell which."""

VALUES, FEW, MANY = 40, 8, 300
"""Words of a column that are compared, and how few in a table of so many columns."""


@dataclass(frozen=True, slots=True)
class Proposed:
    """A mapping to be corrected; `sure` says by column how sure it is and from what, in words."""

    mapping: Mapped
    sure: Mapping[str, str]


def propose(
    base: Base, frame: pl.DataFrame, tell: Callable[[int], None] = lambda columns: None
) -> Proposed:
    """A first mapping by the likeness of headers and of what stands below them."""
    known = candidates(base)
    exact = by_name(base, [n for n in frame.columns if n != ROW])
    taken = {c.fact for c in exact.columns}
    open_ = {name: its for name, its in known.items() if name not in taken}
    cells = [looked_at(name, frame[name]) for name in exact.ignored]
    by_header = _by_header(cells, open_)
    by_value = _by_value(base, cells, open_, by_header, tell)
    scored = [
        (max(header, value), header, its.name, fact)
        for its, headers, values in zip(cells, by_header, by_value, strict=True)
        for fact, header, value in zip(open_, headers, values, strict=True)
        if max(header, value) >= LIKE_NAME and (header or its.can_be(open_[fact]))
    ]
    found: dict[str, str] = {}
    sure = {c.column: SURE[0][1] for c in exact.columns}
    for score, header, name, fact in sorted(scored, key=lambda s: (-s[0], -s[1], s[2], s[3])):
        if name not in found and (fact in SEVERAL or fact not in found.values()):
            found[name] = fact
            how = next(word for least, word in SURE if score >= least)
            sure[name] = f"{how}, by {'its header' if header >= score else 'what stands in it'}"
    columns = [*exact.columns, *(Column(n, f) for n, f in found.items())]
    place = {name: number for number, name in enumerate(frame.columns)}
    remarks = Remarks(base)
    full = tuple(
        filled(c, known[c.fact], frame[c.column], remarks)
        for c in sorted(columns, key=lambda c: place[c.column])
    )
    return Proposed(Mapped(full, tuple(n for n in exact.ignored if n not in found)), sure)


def _by_header(cells: Sequence[Cells], open_: Mapping[str, Candidate]) -> Floats:
    """How like each header is to each fact, 0 to 100: (columns, facts)."""
    from rapidfuzz import fuzz, process

    found = np.zeros((len(cells), len(open_)))
    if not cells:
        return found
    labels: list[str] = []
    ends = [0]
    for its in open_.values():
        names = (its.fact.name, its.fact.id.replace("_", " "), *its.fact.also)
        labels += [key_of(name) for name in names]
        ends.append(len(labels))
    for bare in (False, True):
        heads = [key_of(without_brackets(c.name)) if bare else key_of(c.name) for c in cells]
        likes = process.cdist(heads, labels, scorer=fuzz.ratio, workers=-1)
        found = np.maximum(found, np.maximum.reduceat(likes, ends[:-1], axis=1))
    for number, its in enumerate(open_.values()):
        if its.number is not None or its.fact.kind == "money":
            for row, column in enumerate(cells):
                head = key_of(without_unit(column.name, its))
                near = slice(ends[number], ends[number + 1])
                if head and found[row, number] < SURE[0][0] and head != key_of(column.name):
                    best = max(fuzz.ratio(head, label) for label in labels[near])
                    found[row, number] = max(found[row, number], best)
        if its.fact.id == "remark":
            prose = np.array([c.length >= PROSE for c in cells])
            found[prose, number] = np.maximum(found[prose, number], LIKE_NAME)
    found[found < LIKE_NAME] = 0.0
    facts = [*open_.values()]
    for row, number in np.argwhere(found > 0).tolist():
        if not cells[row].can_be(facts[number]):
            found[row, number] = 0.0
    return found


def _by_value(
    base: Base,
    cells: Sequence[Cells],
    open_: Mapping[str, Candidate],
    by_header: Floats,
    tell: Callable[[int], None],
) -> Floats:
    """How like the words of each column are to each fact's answers, 0 to 100: (columns, facts).

    By letters, and by the phrases of the rule base. Columns whose header says it are passed over.
    """
    from rapidfuzz import fuzz, process

    remarks = Remarks(base)
    said: dict[str, frozenset[str]] = {}
    ways = [(way, place) for place, its in enumerate(open_.values()) for way in its.ways]
    starts = [n for n, (_, place) in enumerate(ways) if not n or ways[n - 1][1] != place]
    with_ways = [ways[n][1] for n in starts]
    places = {name: place for place, name in enumerate(open_)}
    most = FEW if len(cells) > MANY else VALUES
    found = np.zeros((len(cells), len(open_)))
    for number, its in enumerate(cells):
        tell(1)
        words = [w for w in its.words if w.casefold() not in SAYS_LITTLE][:most]
        if "currency" in places and words and all(currency(w.upper()) for w in words):
            found[number, places["currency"]] = 100.0
            continue
        plain = its.days < MOST and its.digits < MOST and its.length < 2 * PROSE
        if len(words) < TELLING or not plain or by_header[number].max(initial=0) >= SURE[0][0]:
            continue
        for sides in (False, True):
            keys = [key_of(word, sides) for word in words]
            likes = process.cdist(keys, [way for way, _ in ways], scorer=fuzz.ratio)
            means = np.maximum.reduceat(likes, starts, axis=1).mean(axis=0)
            if sides:
                panel = [n for n, place in enumerate(with_ways) if place == places.get("panel")]
                found[number, [with_ways[n] for n in panel]] = means[panel]
            else:
                found[number, with_ways] = means
        spoken = _spoken_of(remarks, its.name, words, said) if its.length < PROSE else {}
        for check, share in spoken.items():
            if check in places and share >= MOST:
                like = LIKE_NAME + (SURE[1][0] - LIKE_NAME) * share
                found[number, places[check]] = max(found[number, places[check]], like)
    return found


def _spoken_of(
    remarks: Remarks, header: str, words: Sequence[str], said: dict[str, frozenset[str]]
) -> dict[str, float]:
    """Which checks the words of a column answer, alone or below their header, by share of them.

    What the header says by itself is no answer of a word below it. `said`: what words say alone,
    for the same ones stand in many columns.
    """
    found: dict[str, float] = {}
    of_itself = remarks.read(header).answers
    for word in words:
        if word not in said:
            said[word] = frozenset(remarks.read(word).answers)
        below = remarks.read(f"{header}: {word}").answers.items() - of_itself.items()
        for check in said[word] or {check for check, _ in below}:
            found[check] = found.get(check, 0.0) + 1 / len(words)
    return found
