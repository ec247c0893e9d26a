"""What follows from the answers in many rows: their values, with measures and findings.

The arrays of the evaluator of many rows, read back as the values of each row: what `chain` gives
for one case with every step explained, here for many without.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import MeasureUse
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND, Value, Values
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.evidence.columns import Columns, KeptMeasures, columns, with_measures
from diagnose.reasoning.evidence.measure_inputs import fits, needed
from diagnose.reasoning.evidence.state import State


@dataclass(frozen=True, slots=True)
class Followed:
    """What follows in each row, by row: `values` known, `silent` measures that could not be told.

    `state` is the same as arrays.
    """

    state: State
    values: tuple[Values, ...]
    silent: tuple[frozenset[str], ...]


def follow(base: Base, rows: Sequence[Values], kept: KeptMeasures | None = None) -> Followed:
    """Everything that follows from known answers; `kept` are measures reckoned before."""
    table = with_measures(base, columns(base, rows), kept)
    state = State(base, table)
    values = [dict(row) for row in rows]
    for name in base.measures:
        for row, value in _column(base, table, name):
            values[row][name] = value
    for name, (found, absent) in state.findings().items():
        for word, its in ((FOUND, found), (NOT_FOUND, absent)):
            for row in its.nonzero()[0].tolist():
                values[row][name] = word
    silent = tuple(frozenset(_silent(base, row)) for row in values)
    return Followed(state, tuple(values), silent)


def _column(base: Base, table: Columns, name: str) -> Iterator[tuple[int, Value]]:
    """The rows in which a measure has a value, with the value."""
    if name in table.choices:
        labels = base.observables[name].labels
        codes = enumerate(table.choices[name].tolist())
        yield from ((row, labels[code]) for row, code in codes if code >= 0)
    elif name in table.numbers:
        ends = zip(*(its.tolist() for its in table.numbers[name]), strict=True)
        yield from (
            (row, Quantity(low, high)) for row, (low, high) in enumerate(ends) if low == low
        )


def _silent(base: Base, values: Values) -> Iterator[str]:
    """The measures that had all they need and could not be told."""
    for use in base.measures.values():
        if use.id not in values and _has_inputs(base, use, values):
            yield use.id


def _has_inputs(base: Base, use: MeasureUse, values: Values) -> bool:
    return all(n in values and fits(base, use, n, values[n]) for n in needed(base, use))
