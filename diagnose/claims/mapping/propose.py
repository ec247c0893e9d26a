"""A first mapping for the clerk to correct: by the likeness of headers and of values."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence, Set
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.mapping.facts import ALSO, RECORD, SEVERAL
from diagnose.claims.mapping.filled import date_forms, filled, without_unit
from diagnose.claims.mapping.likeness import (
    MOST,
    PROSE,
    UNTOLD,
    Candidate,
    Cells,
    candidates,
    days_in,
    key_of,
    looked_at,
    texts_of,
    without_brackets,
    words_of,
)
from diagnose.claims.mapping.mapping import Column, Mapped, by_name
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.mapping.shortened import shortened
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

NEARLY = 0.85
"""Share of rows in which one day lies behind the other, from which it always does."""

DAYS = frozenset(("laid_on", "handed_on", "seen_on", "claimed_on"))
RECORDED = frozenset(name for name, *_ in RECORD)
NOTED = ("remark", *ALSO["remark"])

_THEIRS = re.compile(r"\b(client|customer|owner|driver|keeper|says|said|told|asked|wants)", re.I)
"""Words of a header over what the customer says, and not the shop."""

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
    _whose_work(base, frame, found, taken)
    _by_order(frame, cells, {**{c.column: c.fact for c in exact.columns}, **found}, found, sure)
    _looked(found, taken, {its.name for its in cells if its.length >= 2 * PROSE})
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


def _by_order(
    frame: pl.DataFrame,
    cells: Sequence[Cells],
    told: Mapping[str, str],
    found: dict[str, str],
    sure: dict[str, str],
) -> None:
    """Columns of days whose headers say nothing: the last day of a row is that of the claim.

    The first one is that of the handover, where no day of laying is told.
    """
    taken = set(told.values())
    days = {c.name: _days(frame[c.name]) for c in cells if c.days >= MOST and c.name not in told}
    others = [_days(frame[n]) for n, f in told.items() if f in DAYS]
    for fact, last in (("claimed_on", True), ("handed_on", False)):
        if fact in taken or (not last and "laid_on" in taken):
            continue
        for name, its in days.items():
            against = [*others, *(d for n, d in days.items() if n != name)]
            if name not in found and against and all(_beyond(its, d, last) for d in against):
                found[name] = fact
                sure[name] = f"{SURE[-1][1]}, by what stands in it"
                break


def _whose_work(base: Base, frame: pl.DataFrame, found: dict[str, str], taken: Set[str]) -> None:
    """'Laid by' names fitters, or tells whether it was this shop: its cells say which."""
    check = base.role("who_laid_it")
    if not check or check in taken or check in found.values():
        return
    for name in [name for name, fact in found.items() if fact == "installer"]:
        words = [w for w in words_of(frame[name]) if w.casefold() not in SAYS_LITTLE]
        remarks = Remarks(base)
        if any(remarks.meant(check, name, word) for word in words):
            found[name] = check


def _days(cells: pl.Series) -> pl.Series:
    texts = cells.cast(pl.String).str.replace(r"[ T]\d{1,2}:\d\d.*$", "")
    return days_in(texts, date_forms(texts_of(cells)))


def _beyond(one: pl.Series, other: pl.Series, last: bool) -> bool:
    """Whether days are nearly always the later ones, or the earlier ones, of two columns."""
    after = (one >= other) if last else (one <= other)
    differ = (one != other).sum()
    share = after.drop_nulls().mean()
    return bool(differ) and isinstance(share, float) and share >= NEARLY


def _looked(found: dict[str, str], taken: Set[str], long: Set[str]) -> None:
    """What a shop writes into the free column of its sheet is what it saw, if no other is that.

    Words that are the customer's are the complaint, or stay a remark.
    """
    if "found" in taken or "found" in found.values():
        return
    for name, fact in found.items():
        named = any(shortened(name, its) or key_of(name) == key_of(its) for its in NOTED)
        if fact == "remark" and (named or name in long) and not _THEIRS.search(name):
            found[name] = "found"


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
