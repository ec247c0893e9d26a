"""The signs behind the leading cause of each row, in words with their sources, by arrays.

For a symptom, every weight that a cause can get from a check stands once in a list of cells; a
row's grounds are the cells of its leading cause, the weightiest first. The text of a cell is made
when a row first names it: of all that could be said, a table of claims says little. What chain and
weigh would record for the row is the same (tested).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.mapping.remarks import SUFFIX
from diagnose.claims.table.text import worded
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.model import Observable
from diagnose.reasoning.evidence.columns import Covered, Sets, covered, renumbered
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.state import State
from diagnose.reasoning.evidence.tables import Extra, Tables
from diagnose.reasoning.explanation.silence import silence

Ints = NDArray[np.int64]

MOST_FOR, MOST_AGAINST = 4, 2
"""Signs named for and against."""

_Source = tuple[int, Sets]
_Said = tuple[str | None, bool]

SILENT = "derived)"
"""How the text of a ground ends that is only in what a cause would show and did not."""

KEPT = 4096
"""Sources whose cells are kept at hand, so that memory stays flat over a file without end."""


@dataclass(frozen=True, slots=True)
class Signs:
    """The signs named of each row, as numbers of `texts`, the weightiest first; 0 is none.

    `speaks_for`: (MOST_FOR, rows); `against`: (MOST_AGAINST, rows); both of the leading cause.
    `found`: which texts are of something that was found and speaks, and not of what was not seen
    nor of the setting.
    """

    speaks_for: Ints
    against: Ints
    texts: pl.Series
    found: NDArray[np.bool_]

    @property
    def stand(self) -> NDArray[np.bool_]:
        """Where one of the signs for the leading cause is of something that was found."""
        stand: NDArray[np.bool_] = np.logical_or.reduce(self.found[self.speaks_for])
        return stand


@dataclass(frozen=True, slots=True)
class _Item:
    """A cause's cells on one observable, the answers by code of each, or its sign `extra`.

    `said`: the texts of the cells that were named so far, with whether they are of something found.
    """

    decibans: NDArray[np.float64]
    group: str | None
    row: CauseRow | None = None
    codes: Covered = ()
    extra: Extra | None = None
    said: dict[int, _Said] = field(default_factory=dict)


_NONE = _Item(np.zeros(1), None)


@dataclass(frozen=True, slots=True)
class _Cut:
    """The cells of some sources, by item and cause: (items, causes).

    `source` counts within these sources, one more for none; `offset` counts cells, the first of
    which is nothing; `members`: the items of each group. `first` and `items`: at which cell each
    item begins.
    """

    source: NDArray[np.intp]
    offset: Ints
    group: Ints
    members: tuple[tuple[int, NDArray[np.intp]], ...]
    decibans: NDArray[np.float64]
    first: tuple[int, ...]
    items: tuple[_Item, ...]


class Grounds:
    """The cells of one symptom."""

    def __init__(self, base: Base, table: Tables, matrix: Matrix) -> None:
        self._base = base
        self._table = table
        self._matrix = matrix
        self._names = list(table.rows)
        self._items: dict[_Source, Mapping[int, _Item]] = {}

    def of(self, state: State, leading: NDArray[np.intp]) -> Signs:
        """What speaks for the leading cause of each row and what against."""
        rows = len(leading)
        found = self._places(state)
        causes, leading = renumbered(leading.astype(np.intp))
        cut = self._cut(causes.tolist(), self._sources(state, found))
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
        return self._worded(cut, np.concatenate([best, least]))

    def _worded(self, cut: _Cut, cells: Ints) -> Signs:
        """The cells that some row names, numbered anew, with their texts; 0 stays nothing."""
        named, number = renumbered(np.append(cells.ravel(), 0))
        said = [self._said(cut, cell) for cell in named.tolist()]
        texts = worded([text for text, _ in said])
        place = number[:-1].reshape(cells.shape).astype(np.int64)
        found = np.array([was_found for _, was_found in said])
        return Signs(place[:MOST_FOR], place[MOST_FOR:], texts, found)

    def _said(self, cut: _Cut, cell: int) -> _Said:
        """What a cell says, made once, and whether it is of something that was found.

        That is neither silence nor the setting.
        """
        if cell == 0:
            return None, False
        number = bisect_right(cut.first, cell) - 1
        item, place = cut.items[number], cell - cut.first[number]
        if place not in item.said:
            text = self._of_cell(item, place)
            check = self._base.checks.get(item.row.observable) if item.row else None
            setting = check is not None and check.setting
            item.said[place] = (text, not setting and not text.endswith(SILENT))
        return item.said[place]

    def _of_cell(self, item: _Item, place: int) -> str:
        if item.extra is not None:
            return _extra_text(self._base, item.extra)
        codes = item.codes[place]
        assert item.row is not None
        assert codes is not None
        observable = self._base.observables[item.row.observable]
        weight = float(item.decibans[place])
        answer = observable.kind.covers(codes)
        return _text(observable, answer, item.row, codes, weight)

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

    def _cut(self, causes: Sequence[int], sources: Sequence[_Source]) -> _Cut:
        """The cells of these sources, of the causes that lead somewhere."""
        its = [self._of_source(source) for source in sources]
        lines = [[(n, found[c]) for n, found in enumerate(its) if c in found] for c in causes]
        shape = (max([1, *map(len, lines)]), len(lines))
        source = np.full(shape, len(sources), dtype=np.intp)
        offset, group = np.zeros(shape, dtype=np.int64), np.zeros(shape, dtype=np.int64)
        first, items, size = [0], [_NONE], 1
        for cause, line in enumerate(lines):
            groups: dict[str, int] = {}
            for place, (number, item) in enumerate(line):
                source[place, cause], offset[place, cause] = number, size
                if item.group:
                    group[place, cause] = groups.setdefault(item.group, len(groups) + 1)
                first.append(size)
                items.append(item)
                size += len(item.decibans)
        members = tuple(
            (number, np.flatnonzero((group == number).any(axis=1)))
            for number in range(1, int(group.max()) + 1)
        )
        decibans = np.concatenate([item.decibans for item in items])
        return _Cut(source, offset, group, members, decibans, tuple(first), tuple(items))

    def _of_source(self, source: _Source) -> Mapping[int, _Item]:
        """By cause the cells on an observable, or those of a sign outside the tables."""
        found = self._items.get(source)
        if found is None:
            found = self._made(*source)
            # Another thread may be reading the old ones: they are left to it, not emptied.
            kept = self._items if len(self._items) < KEPT else {}
            kept[source] = found
            self._items = kept
        return found

    def _made(self, number: int, sets: Sets) -> Mapping[int, _Item]:
        if number >= len(self._names):
            extra = self._table.extras[number - len(self._names)]
            weights = np.array([extra.decibans, 0.0])
            return {extra.cause: _Item(weights, extra.sign.group, extra=extra)}
        name = self._names[number]
        rows, codes = self._table.rows[name], covered(self._base.observables[name], sets)
        return {
            cell.cause: _Item(cell.table, cell.group, rows[cell.cause], codes)
            for cell in self._matrix.cells(name, sets)
        }

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


def _text(
    observable: Observable, answer: str, row: CauseRow, codes: Sequence[int], weight: float
) -> str:
    seen, sign = f"{observable.name}: {answer}", row.sign(codes)
    if sign is None or (sign.speaks == "for") != (weight > 0):
        because = silence(observable, row, weight, codes).rstrip(".")
        return f"{because} [{seen}] ({weight:+.1f} dB, {SILENT}"
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
