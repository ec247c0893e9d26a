"""Many rows of known values as arrays, one column for each check, measure and finding.

Choices are numbered as in `Observable.labels`, -1 where there is no value; sets of answers have
numbers beyond. Numbers are ranges from `low` to `high`, NaN where there is none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import Any, assert_never

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.model import MeasureUse, Observable
from diagnose.knowledge.model.conditions import Value, Values
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.measures.evaluate import evaluate
from diagnose.measures.quantity import Quantity
from diagnose.measures.registry import MEASURES
from diagnose.reasoning.evidence.chain import depths
from diagnose.reasoning.evidence.measure_inputs import fits, inputs, needed, sources

Codes = NDArray[np.int16]
Places = NDArray[np.intp]
Floats = NDArray[np.float64]
Sets = tuple[tuple[int, ...], ...]
Pick = Callable[[NDArray[Any]], NDArray[Any]]
"""Takes some rows of a column."""


@dataclass(frozen=True, slots=True)
class Columns:
    """`choices[name]`: codes (rows,); `numbers[name]`: (low, high), each (rows,).

    Where no value is a range, low and high may be the same array. `sets[name]`: answers, by code,
    that stand together in some row; the first of them has the code after the last answer.
    """

    rows: int
    choices: Mapping[str, Codes] = field(default_factory=dict)
    numbers: Mapping[str, tuple[Floats, Floats]] = field(default_factory=dict)
    sets: Mapping[str, Sets] = field(default_factory=dict)

    def part(self, start: int, stop: int) -> Columns:
        """Some of the rows, as views."""
        return Columns(
            min(stop, self.rows) - start,
            {name: codes[start:stop] for name, codes in self.choices.items()},
            {name: _each(ends, lambda its: its[start:stop]) for name, ends in self.numbers.items()},
            self.sets,
        )

    def take(self, rows: NDArray[np.intp]) -> Columns:
        """The rows of these numbers, copied."""
        return Columns(
            len(rows),
            {name: codes.take(rows) for name, codes in self.choices.items()},
            {name: _each(ends, lambda its: its.take(rows)) for name, ends in self.numbers.items()},
            self.sets,
        )

    def known(self) -> Columns:
        """Without the columns that say nothing in any row."""
        return Columns(
            self.rows,
            {name: codes for name, codes in self.choices.items() if codes.max(initial=-1) >= 0},
            {name: ends for name, ends in self.numbers.items() if not np.isnan(ends[0]).all()},
            self.sets,
        )

    def joined(self, other: Columns) -> Columns:
        """These columns and those of the same rows beside them; the others stand where both are."""
        return Columns(
            self.rows,
            {**self.choices, **other.choices},
            {**self.numbers, **other.numbers},
            {**self.sets, **other.sets},
        )


def _each(ends: tuple[Floats, Floats], pick: Pick) -> tuple[Floats, Floats]:
    """Both ends in some rows; one array where they are the same one, which is quicker to read."""
    low = pick(ends[0])
    return low, low if ends[1] is ends[0] else pick(ends[1])


def grouped(codes: NDArray[np.integer]) -> tuple[Places, tuple[tuple[int, int, int], ...]]:
    """Rows in the order of a code, and for each code that occurs its first and last place there.

    What is taken in this order falls into one run of memory for each code.
    """
    order = np.argsort(codes, kind="stable")
    found, starts = np.unique(codes[order], return_index=True)
    stops = [*starts[1:].tolist(), len(codes)]
    return order, tuple(zip(found.tolist(), starts.tolist(), stops, strict=True))


def columns(base: Base, rows: Sequence[Values]) -> Columns:
    """Rows of known values as columns; only what is known in some row gets one."""
    found = Columns(len(rows))
    for name in dict.fromkeys(name for row in rows for name in row):
        if name in base.observables:
            values = [row.get(name) for row in rows]
            found = found.joined(_column(base.observables[name], values))
    return found


def _column(observable: Observable, values: Sequence[Value | None]) -> Columns:
    """The values of one observable as a column of its kind."""
    kind = observable.kind
    match kind:
        case ChoiceKind() | SeveralKind():
            codes, sets = numbered(kind, values)
            return Columns(len(values), {observable.id: codes}, {}, {observable.id: sets})
        case NumberKind():
            return Columns(len(values), {}, {observable.id: _ranges(values)})
        case _:
            assert_never(kind)


def numbered(
    kind: ChoiceKind | SeveralKind, values: Iterable[Value | None], sets: Sets = ()
) -> tuple[Codes, Sets]:
    """The code of each value, -1 for none, and the sets that are numbered, known ones first."""
    first = len(kind.labels)
    numbers = {its: first + number for number, its in enumerate(sets)}
    known: dict[Value | None, int] = {None: -1}
    found = []
    for value in values:
        code = known.get(value)
        if code is None:
            assert value is not None
            its = tuple(kind.codes(value))
            code = its[0] if len(its) == 1 else numbers.setdefault(its, first + len(numbers))
            known[value] = code
        found.append(code)
    return np.array(found, dtype=np.int16), tuple(numbers)


Cells = tuple[str, slice | Sequence[int], Sequence[Value]]
"""Of an observable, some rows with their values; one value goes into all of them."""


def filled(base: Base, table: Columns, cells: Iterable[Cells]) -> Columns:
    """The columns with values put in."""
    choices, numbers, sets = dict(table.choices), dict(table.numbers), dict(table.sets)
    for name, rows, values in cells:
        kind = base.observables[name].kind
        match kind:
            case ChoiceKind() | SeveralKind():
                at = choices.get(name, np.full(table.rows, -1, dtype=np.int16)).copy()
                at[rows], sets[name] = numbered(kind, values, sets.get(name, ()))
                choices[name] = at
            case NumberKind():
                nothing = (np.full(table.rows, np.nan),) * 2
                low, high = (side.copy() for side in numbers.get(name, nothing))
                low[rows], high[rows] = _ranges(values)
                numbers[name] = (low, high)
            case _:
                assert_never(kind)
    return Columns(table.rows, choices, numbers, sets)


def with_shown(
    base: Base, symptom: str, table: Columns, here: NDArray[np.bool_] | None = None
) -> Columns:
    """The columns with what a symptom shows by itself, where nothing else was answered.

    In all rows, or in those of `here`.
    """
    cells: list[Cells] = []
    for check, word in base.symptoms[symptom].shows.items():
        given = table.choices.get(check)
        empty = np.ones(table.rows, dtype=bool) if given is None else given < 0
        rows = np.flatnonzero(empty if here is None else empty & here)
        cells.append((check, rows.tolist(), [word]))
    return filled(base, table, cells) if cells else table


def _ranges(values: Iterable[Value | None]) -> tuple[Floats, Floats]:
    ends = [(v.low, v.high) if isinstance(v, Quantity) else (np.nan, np.nan) for v in values]
    both = np.array(ends, dtype=np.float64).reshape(-1, 2)
    return both[:, 0].copy(), both[:, 1].copy()


KeptMeasures = dict[tuple[str, tuple[tuple[str, float, float], ...]], Value | None]
"""Measures already reckoned, by measure and inputs."""


Where = Mapping[str, NDArray[np.bool_]]
"""In which rows a measure is wanted; it is in all that none is named for."""


def with_measures(
    base: Base, table: Columns, kept: KeptMeasures | None = None, where: Where | None = None
) -> Columns:
    """The columns with every measure whose inputs are all there; deeper ones after shallower.

    Each distinct combination of inputs is reckoned once; with `kept`, once for all calls.
    """
    depth = depths(base)
    kept = {} if kept is None else kept
    for use in sorted(base.measures.values(), key=lambda use: depth[use.id]):
        table = _with_measure(base, table, use, kept, (where or {}).get(use.id))
    return table


def _with_measure(
    base: Base, table: Columns, use: MeasureUse, kept: KeptMeasures, here: NDArray[np.bool_] | None
) -> Columns:
    ends = _taken(base, table, use)
    wanted = needed(base, use)
    if use.id in table.numbers or use.id in table.choices or any(n not in ends for n in wanted):
        return table
    given = np.ones(table.rows, dtype=bool) if here is None else here.copy()
    for name in wanted:
        given &= ~np.isnan(ends[name][0])
    there = np.flatnonzero(given)
    if not len(there):
        return table
    first, back = _distinct(list(ends.values()), there)
    picked = {
        n: (low.take(first).tolist(), high.take(first).tolist()) for n, (low, high) in ends.items()
    }
    results = _reckoned(base, use, picked, kept)
    at = np.full(table.rows, len(results), dtype=np.intp)
    at[there] = back
    return table.joined(_column(use, [*results, None]).take(at))


def _taken(base: Base, table: Columns, use: MeasureUse) -> dict[str, tuple[Floats, Floats]]:
    """What a measure takes of each column; a choice by its code, NaN where it cannot take it."""
    found: dict[str, tuple[Floats, Floats]] = {}
    for name in dict.fromkeys(sources(base, use).values()):
        if name in table.numbers:
            found[name] = table.numbers[name]
        elif name in table.choices:
            labels = base.observables[name].labels
            by_code = [
                float(c) if fits(base, use, name, w) else np.nan for c, w in enumerate(labels)
            ]
            nothing = [np.nan] * (1 + len(table.sets.get(name, ())))
            codes = np.array([*by_code, *nothing])[table.choices[name]]
            found[name] = (codes, codes)
    return found


def _distinct(ends: Sequence[tuple[Floats, Floats]], there: Places) -> tuple[Places, Places]:
    """A row for each distinct combination of these numbers, and which one each row has."""
    code = np.zeros(len(there), dtype=np.intp)
    for low, high in ends:
        for column in (low,) if high is low else (low, high):
            _, one = np.unique(column[there], return_inverse=True)
            code = renumbered(code * (int(one.max()) + 1) + one)[1]
    first = np.empty(int(code.max()) + 1, dtype=np.intp)
    first[code[::-1]] = there[::-1]
    return first, code


def renumbered(codes: NDArray[np.intp]) -> tuple[Places, Places]:
    """The codes from 0 that occur, and of each row the place of its own among them.

    Counting is quicker than sorting as long as the codes are not far more than the rows.
    """
    if int(codes.max(initial=0)) > 4 * len(codes) + 1000:
        found, back = np.unique(codes, return_inverse=True)
        return found, back
    there = np.bincount(codes) > 0
    return np.flatnonzero(there), (np.cumsum(there) - 1).take(codes)


def _reckoned(
    base: Base,
    use: MeasureUse,
    ends: Mapping[str, tuple[list[float], list[float]]],
    kept: KeptMeasures,
) -> list[Value | None]:
    """What a measure gives for each combination of what it takes; NaN is not known."""
    found: list[Value | None] = []
    for pairs in zip(*(zip(*its, strict=True) for its in ends.values()), strict=True):
        known = tuple(
            (n, low, high) for n, (low, high) in zip(ends, pairs, strict=True) if low == low
        )
        key = (use.id, known)
        if key not in kept:
            values = {name: _value(base, name, low, high) for name, low, high in known}
            given = inputs(base, use, values)
            kept[key] = evaluate(MEASURES[use.function], given).value
        found.append(kept[key])
    return found


def _value(base: Base, name: str, low: float, high: float) -> Value:
    kind = base.observables[name].kind
    match kind:
        case ChoiceKind() | SeveralKind():
            return kind.value(int(low))
        case NumberKind():
            return Quantity(low, high)
        case _:
            assert_never(kind)


def places(observable: Observable, columns: Columns, pick: Pick = lambda its: its) -> Places | None:
    """Where the picked rows' values stand in a table made by `spread`; None where there is none.

    A choice stands at its code, a number at `low bin · bins + high bin`, no value at the end.
    """
    size = len(observable.labels)
    codes = columns.choices.get(observable.id)
    if codes is not None:
        size += len(columns.sets.get(observable.id, ()))
        # -1 seen without a sign is the largest number there is.
        return np.minimum(pick(codes).view(np.uint16), size).astype(np.intp)
    ends = columns.numbers.get(observable.id)
    if ends is None:
        return None
    low, high = _each(ends, pick)
    one = _bins(observable.edges, low)
    found = one * size + (one if high is low else _bins(observable.edges, high))
    found[np.isnan(low)] = size * size
    return found.astype(np.intp)


def _bins(edges: Sequence[float], values: Floats) -> Codes:
    """The bin of each number; for the few edges that there are, faster than a search."""
    found = np.zeros(len(values), dtype=np.int16)
    for edge in edges:
        found += values >= edge
    return found


Covered = Sequence[Sequence[int] | None]
"""The answers, by code, that each place of a table stands for; None where it is no value."""


def spread(row: CauseRow, its: Covered) -> Floats:
    """The weight of a row at each place; 0 where that is no value."""
    if row.absent:
        return np.array([0.0 if codes is None else row.weight(codes) for codes in its])
    # An answer alone, ruled out or not, stands in the row as it weighs; these are nearly all.
    alone = row.decibans
    return np.array(
        [
            0.0 if codes is None else alone[codes[0]] if len(codes) == 1 else row.weight(codes)
            for codes in its
        ]
    )


def covered(observable: Observable, sets: Sets) -> Covered:
    """What each place of a table of an observable stands for."""
    size, kind = len(observable.labels), observable.kind
    match kind:
        case ChoiceKind() | SeveralKind():
            return [*((code,) for code in range(size)), *sets, None]
        case NumberKind():
            pairs = product(range(size), repeat=2)
            return [*(range(a, b + 1) if a <= b else None for a, b in pairs), None]
        case _:
            assert_never(kind)
