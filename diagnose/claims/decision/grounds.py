"""The signs behind the leading cause of each row, in words with their sources, by arrays.

For a symptom, every weight that a cause can get from a check stands once in a list of cells, with
its text; a row's grounds are the cells of its leading cause, the weightiest first. What chain and
weigh would record for the row is the same (tested).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.mapping.remarks import SUFFIX
from diagnose.claims.table.text import worded
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.likelihood import CauseRow
from diagnose.knowledge.model import Observable
from diagnose.reasoning.evidence.columns import Sets, covered, spread
from diagnose.reasoning.evidence.matrix import State
from diagnose.reasoning.evidence.tables import Extra, Tables
from diagnose.reasoning.explanation.silence import silence

Ints = NDArray[np.int64]

MOST_FOR, MOST_AGAINST = 4, 2
"""Signs named for and against."""

_Source = tuple[int, Sets]

CUTS = 64
"""Sets of sources whose cells are kept at hand."""


@dataclass(frozen=True, slots=True)
class Signs:
    """The signs named of each row, as numbers of `texts`, the weightiest first; 0 is none.

    `speaks_for`: (MOST_FOR, rows); `against`: (MOST_AGAINST, rows); both of the leading cause.
    """

    speaks_for: Ints
    against: Ints
    texts: pl.Series


@dataclass(frozen=True, slots=True)
class _Item:
    """A cause's cells on one observable (or its sign `extra`), and its group."""

    decibans: NDArray[np.float64]
    texts: tuple[str, ...]
    group: str | None


@dataclass(frozen=True, slots=True)
class _Cut:
    """The cells of some sources, by item and cause: (items, causes).

    `source` counts within these sources, one more for none; `offset` counts cells, the first of
    which is nothing; `members`: the items of each group.
    """

    source: NDArray[np.intp]
    offset: Ints
    group: Ints
    members: tuple[tuple[int, NDArray[np.intp]], ...]
    decibans: NDArray[np.float64]
    texts: pl.Series


class Grounds:
    """The cells of one symptom."""

    def __init__(self, base: Base, table: Tables) -> None:
        self._base = base
        self._table = table
        self._names = list(table.rows)
        self._cuts: dict[tuple[_Source, ...], _Cut] = {}

    def of(self, state: State, leading: Ints) -> Signs:
        """What speaks for the leading cause of each row and what against."""
        rows = len(leading)
        found = self._places(state)
        cut = self._cut(self._sources(state, found))
        at = np.full((len(found) + 1, rows), -1, np.intp)
        for number, its in enumerate(found.values()):
            at[number] = its
        source = cut.source.take(leading, axis=1)
        source *= rows
        source += np.arange(rows)
        place = at.ravel().take(source)
        cells = np.where(place < 0, 0, cut.offset.take(leading, axis=1) + place)
        decibans = cut.decibans.take(cells)
        self._strongest(decibans, cut, leading)
        best, least = _largest(decibans, cells, MOST_FOR), _largest(-decibans, cells, MOST_AGAINST)
        return Signs(best, least, cut.texts)

    def _places(self, state: State) -> dict[int, NDArray[np.intp]]:
        """Where each row stands within the cells of each source that can say something."""
        found = {}
        for number, name in enumerate(self._names):
            its = state.places(name)
            if its is not None:
                found[number] = its
        for number, extra in enumerate(self._table.extras, len(self._names)):
            if state.can_hold(extra.sign.when):
                found[number] = np.where(state.holds(extra.sign.when), 0, 1)
        return found

    def _sources(self, state: State, numbers: Iterable[int]) -> tuple[_Source, ...]:
        """Sources with the sets of answers that have places of their own there."""
        names = dict(enumerate(self._names))
        return tuple((n, state.sets(names[n]) if n in names else ()) for n in numbers)

    def _cut(self, sources: tuple[_Source, ...]) -> _Cut:
        """The cells of these sources; made once for each set of them that occurs."""
        if sources not in self._cuts:
            if len(self._cuts) >= CUTS:
                self._cuts.clear()
            self._cuts[sources] = self._made(sources)
        return self._cuts[sources]

    def _made(self, sources: tuple[_Source, ...]) -> _Cut:
        causes = range(len(self._table.causes))
        lines = [tuple(self._of_cause(cause, sources)) for cause in causes]
        shape = (max(1, *map(len, lines)), len(lines))
        source = np.full(shape, len(sources), dtype=np.intp)
        offset, group = np.zeros(shape, dtype=np.int64), np.zeros(shape, dtype=np.int64)
        cells: list[NDArray[np.float64]] = [np.zeros(1)]
        texts: list[str | None] = [None]
        for cause, line in enumerate(lines):
            groups: dict[str, int] = {}
            for place, (number, item) in enumerate(line):
                source[place, cause], offset[place, cause] = number, len(texts)
                if item.group:
                    group[place, cause] = groups.setdefault(item.group, len(groups) + 1)
                cells.append(item.decibans)
                texts += item.texts
        members = tuple(
            (number, np.flatnonzero((group == number).any(axis=1)))
            for number in range(1, int(group.max()) + 1)
        )
        return _Cut(source, offset, group, members, np.concatenate(cells), worded(texts))

    def _of_cause(self, cause: int, sources: tuple[_Source, ...]) -> Iterator[tuple[int, _Item]]:
        """The cells of a cause on these sources, each with the source's place among them."""
        for place, (number, sets) in enumerate(sources):
            if number < len(self._names):
                name = self._names[number]
                row = self._table.rows[name][cause]
                if row is not None:
                    observable = self._base.observables[name]
                    weights = spread(observable, row, sets)
                    cells = zip(covered(observable, sets), weights, strict=True)
                    texts = tuple(_texts(observable, row, cells))
                    yield place, _Item(weights, texts, row.group)
                continue
            extra = self._table.extras[number - len(self._names)]
            if extra.cause == cause:
                weights = np.array([extra.decibans, 0.0])
                yield place, _Item(weights, (_extra_text(self._base, extra), ""), extra.sign.group)

    @staticmethod
    def _strongest(decibans: NDArray[np.float64], cut: _Cut, leading: Ints) -> None:
        """Leave only the strongest of each group, the first of equals."""
        for group, items in cut.members:
            if len(items) == 1:
                continue
            member = np.equal(cut.group[items], group).take(leading, axis=1)
            its = decibans[items]
            size = np.where(member, np.abs(its), -1.0)
            best = size.argmax(axis=0)
            lost = member & (np.arange(len(items))[:, None] != best)
            decibans[items] = np.where(lost, 0.0, its)


def _largest(weights: NDArray[np.float64], cells: Ints, most: int) -> Ints:
    """The cells of the largest positive weights of each row, the first of equals first; else 0."""
    left = weights.copy()
    every = np.arange(left.shape[1])
    found = np.zeros((most, left.shape[1]), dtype=np.int64)
    for rank in range(most):
        best = left.argmax(axis=0)
        found[rank] = np.where(left[best, every] > 0, cells[best, every], 0)
        left[best, every] = 0.0
    return found


def _texts(
    observable: Observable, row: CauseRow, cells: Iterable[tuple[Sequence[int] | None, float]]
) -> Iterator[str]:
    for codes, weight in cells:
        if weight == 0 or codes is None:
            yield ""
        else:
            answer = observable.kind.covers(codes)
            yield _text(observable, answer, row, codes, weight)


def _text(
    observable: Observable, answer: str, row: CauseRow, codes: Sequence[int], weight: float
) -> str:
    seen, sign = f"{observable.name}: {answer}", row.sign(codes)
    if sign is None or (sign.speaks == "for") != (weight > 0):
        because = silence(observable, row, weight, codes).rstrip(".")
        return f"{because} [{seen}] ({weight:+.1f} dB, derived)"
    said = sign.because.rstrip(".")
    strength = "barely" if observable.id.endswith(SUFFIX) else sign.strength
    return f"{said} [{seen}] ({strength}, {weight:+.1f} dB; {', '.join(sign.source)})"


def _extra_text(base: Base, extra: Extra) -> str:
    names = [
        (base.findings[s] if s in base.findings else base.observables[s]).name
        for s in extra.sign.when.subjects()
    ]
    sign = extra.sign
    source = ", ".join(sign.source)
    said = sign.because.rstrip(".")
    return f"{said} [{', '.join(names)}] ({sign.strength}, {extra.decibans:+.1f} dB; {source})"
