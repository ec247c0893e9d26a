"""Columns by likeness: of their headers to the names of facts, of their words to answers."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from diagnose.claims.mapping.by_cells import looks_like
from diagnose.claims.mapping.facts import RECORD, SEVERAL
from diagnose.claims.mapping.filled import without_unit
from diagnose.claims.mapping.likeness import (
    MOST,
    PROSE,
    UNTOLD,
    Candidate,
    Cells,
    key_of,
    without_brackets,
)
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.mapping.shortened import shortened
from diagnose.claims.table.numbers import currency
from diagnose.knowledge.base import Base

Floats = NDArray[np.float64]

LIKE_NAME = 82
"""From which likeness (0 to 100) a header or a value is proposed for a fact."""

SURE = ((97, "sure"), (90, "likely"), (0, "a guess"))
"""From which likeness a proposal is called so."""

TELLING = 2
"""Words of a column from which they say what it is; 'fair' in every row could be anything."""

NAMED = ("customer", "installer", "claim")
"""Facts of names and numbers whose cells must look like such, where the header is not sure."""

SAYS_LITTLE = UNTOLD | {"yes", "no", "y", "n", "true", "false", "x", "ok", "done"}
"""Words that answer any question, and do not tell which."""

UNDERSTOOD = 0.34
"""Share of a column's words that a choice must understand, for its header to be believed."""

SHORTEST = 4
"""Letters from which a word of a column says what the column is."""

VALUES, FEW, MANY = 40, 8, 300
"""Words of a column that are compared, and how few in a table of so many columns."""

RECORDED = frozenset(name for name, *_ in RECORD)


class FactsFound:
    """What has been found so far: facts of columns, and how sure that is."""

    def __init__(self, told: Mapping[str, str], sure: dict[str, str]) -> None:
        self._told = dict(told)
        self.own: dict[str, str] = {}
        self.sure = sure

    @property
    def all(self) -> dict[str, str]:
        """The fact of each column."""
        return {**self._told, **self.own}

    @property
    def by_fact(self) -> dict[str, str]:
        """A column of each fact."""
        return {fact: name for name, fact in self.all.items()}

    def add(self, name: str, fact: str, how: str) -> None:
        """Keep what a column tells."""
        self.own[name] = fact
        self.sure[name] = how

    def open(self, cells: Sequence[Cells]) -> list[Cells]:
        """The columns of which nothing is known yet."""
        return [its for its in cells if its.name not in self.own]


def by_likeness(
    base: Base,
    cells: Sequence[Cells],
    open_: Mapping[str, Candidate],
    remarks: Remarks,
    found: FactsFound,
    tell: Callable[[int], None],
) -> None:
    """Columns whose headers, or whose words, are like a fact's; the likest first."""
    by_header = _by_header(cells, open_)
    by_value = _by_value(base, cells, open_, by_header, tell)
    scored = [
        (max(header, value), header, its, fact)
        for its, headers, values in zip(cells, by_header, by_value, strict=True)
        for fact, header, value in zip(open_, headers, values, strict=True)
        if max(header, value) >= LIKE_NAME and (header or its.can_be(open_[fact]))
    ]
    for score, header, its, fact in sorted(scored, key=lambda s: (-s[0], -s[1], s[2].name, s[3])):
        if its.name in found.own or (fact not in SEVERAL and fact in found.by_fact):
            continue
        if header > 0 and score < SURE[0][0] and not _means(its, open_[fact], remarks):
            continue
        if header > 0 and score < SURE[0][0] and fact in NAMED and not looks_like(fact, its):
            continue
        how = next(word for least, word in SURE if score >= least)
        of = "its header" if header >= score else "what stands in it"
        found.add(its.name, fact, f"{how}, by {of}")


def _means(its: Cells, fact: Candidate, remarks: Remarks) -> bool:
    """Whether words of a column are answers of the choice that its header is like.

    Codes, 'yes' and 'no' tell neither way; names of people under 'Lad' are no lie of a surface.
    """
    if not fact.fact.choices or fact.fact.id in ("symptom", "panel"):
        return True
    words = [w for w in its.words if w.casefold() not in SAYS_LITTLE and len(w) >= SHORTEST]
    if not words:
        return True
    some = words[:FEW]
    understood = sum(
        key_of(word) in fact.ways or bool(remarks.meant(fact.fact.id, its.name, word))
        for word in some
    )
    return understood >= UNDERSTOOD * len(some)


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
        short = [_kept_of(c.name, its) for c in cells]
        found[:, number] = np.maximum(found[:, number], short)
        if its.fact.id == "remark":
            prose = np.array([c.length >= PROSE for c in cells])
            found[prose, number] = np.maximum(found[prose, number], LIKE_NAME)
    found[found < LIKE_NAME] = 0.0
    facts = [*open_.values()]
    for row, number in np.argwhere(found > 0).tolist():
        if not cells[row].can_be(facts[number]):
            found[row, number] = 0.0
    return found


def _kept_of(header: str, its: Candidate) -> float:
    """How like a header is to a name of a fact that it may be cut short of."""
    labels = (its.fact.name, *its.fact.also) if its.fact.id in RECORDED else its.fact.also
    kept = max((shortened(header, label) for label in labels), default=0.0)
    return LIKE_NAME + (SURE[1][0] - LIKE_NAME) * kept if kept else 0.0


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
        if (
            "currency" in places
            and words
            and all(currency(w.upper()) and not re.search(r"\d", w) for w in words)
        ):
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
