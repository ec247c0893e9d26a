"""The evaluator of many rows at once: the same layers and numbers as `chain` and `weigh`.

Conditions become boolean arrays (holds, definitely does not hold); tables become gathers, one for
each cause that has a sign on a check. A row scored here and by `chain` has the same signs and the
same probabilities. Arrays inside are (causes, rows), so that each gather is one run of memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass
from functools import reduce
from typing import Any, assert_never

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.likelihood import CauseRow
from diagnose.knowledge.model.conditions import FOUND, Condition, NoneOf, OneOf, Span, Test
from diagnose.reasoning.evidence.columns import (
    Columns,
    Covered,
    Floats,
    Places,
    Sets,
    covered,
    places,
    spread,
    with_shown,
)
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.evidence.weigh import PER_DECIBAN

Bools = NDArray[np.bool_]
Pair = tuple[Bools, Bools]

BLOCK = 4096
"""Rows scored at a time, so that what is touched stays in the processor's cache."""


@dataclass(frozen=True, slots=True)
class Scores:
    """`probabilities`: (rows, causes + 1), the last the unlisted; `out`: (rows, causes).

    `decibans`: (rows, causes), groups already reduced to their strongest.
    """

    probabilities: Floats
    decibans: Floats
    out: Bools


@dataclass(frozen=True, slots=True)
class Cell:
    """What one cause makes of one observable: a weight for each place (see `columns.places`).

    `gone` tells where it cannot be for several answers of which none is left to it.
    """

    cause: int
    group: str | None
    table: Floats
    gone: Bools | None


@dataclass(frozen=True, slots=True)
class _Stack:
    """What all causes make of one observable: those in no group in one array, a line for each.

    `alone` are their numbers; `grouped` are the others; `gone`: what rules a cause out.
    """

    cells: tuple[Cell, ...]
    alone: slice | NDArray[np.intp]
    tables: Floats
    grouped: tuple[Cell, ...]
    gone: tuple[tuple[int, Bools], ...]


class Matrix:
    """The tables and conditions of one symptom as arrays."""

    def __init__(self, base: Base, table: Tables) -> None:
        self._base = base
        self._table = table
        self._logs = np.log(np.array(table.priors))
        self._stacks: dict[tuple[str, Sets], _Stack] = {}
        self._outs = [
            (place, out.when)
            for place, cause in enumerate(table.causes)
            for out in base.rule_outs(cause, table.symptom)
        ]

    def weighed_by(self, priors: Sequence[float]) -> Matrix:
        """The same with other shares behind the symptom; all that is made once is shared."""
        found = copy(self)
        found._logs = np.log(np.array(priors))
        return found

    def cells(self, name: str, sets: Sets) -> tuple[Cell, ...]:
        """What the causes that have a row on an observable make of it."""
        return self._stack(name, sets).cells

    def _stack(self, name: str, sets: Sets) -> _Stack:
        """An observable's cells, made when it first has a value, or other sets of answers."""
        if (name, sets) not in self._stacks:
            its = covered(self._base.observables[name], sets)
            rows = enumerate(self._table.rows[name])
            cells = tuple(
                Cell(place, row.group, spread(row, its), _gone(row, its))
                for place, row in rows
                if row is not None
            )
            self._stacks[name, sets] = _stacked(cells, len(self._table.causes), len(its))
        return self._stacks[name, sets]

    def score(self, columns: Columns) -> Scores:
        """Probabilities of every row."""
        known = with_shown(self._base, self._table.symptom, columns)
        return self.score_state(State(self._base, known))

    def score_state(self, state: State) -> Scores:
        """Probabilities of every row that a state speaks of, what the symptom shows within it."""
        causes = len(self._table.causes)
        scores = Scores(
            np.empty((causes + 1, state.rows)).T,
            np.zeros((causes, state.rows)).T,
            np.zeros((causes, state.rows), dtype=bool).T,
        )
        if state.rows <= BLOCK:
            self._block(state, scores, 0)
        else:
            for start in range(0, state.rows, BLOCK):
                block = np.arange(start, min(start + BLOCK, state.rows))
                self._block(state.part(block), scores, start)
        return scores

    def _block(self, state: State, into: Scores, start: int) -> None:
        its = slice(start, start + state.rows)
        total = into.decibans[its].T
        out = into.out[its].T
        self._weigh(state, total, out)
        logs = into.probabilities[its].T
        np.multiply(total, PER_DECIBAN, out=logs[:-1])
        logs[:-1] += self._logs[:-1, None]
        logs[-1] = self._logs[-1]
        for place, when in self._outs:
            if state.can_hold(when):
                out[place] |= state.holds(when)
        np.copyto(logs[:-1], -np.inf, where=out)
        logs -= logs.max(axis=0)
        np.exp(logs, out=logs)
        logs /= _summed(logs)

    def _weigh(self, state: State, total: Floats, out: Bools) -> None:
        """Add up the decibans of every cause; a group's strongest joins at the end."""
        best: dict[tuple[str, int], Floats] = {}
        found = np.empty(state.rows)
        for name in self._table.rows:
            at = state.places(name)
            if at is None:
                continue
            stack = self._stack(name, state.sets(name))
            total[stack.alone] += stack.tables.take(at, axis=1, mode="clip")
            for cell in stack.grouped:
                cell.table.take(at, out=found, mode="clip")
                _add(total, best, cell.cause, cell.group, found)
            for cause, gone in stack.gone:
                out[cause] |= gone.take(at, mode="clip")
        for extra in self._table.extras:
            if state.can_hold(extra.sign.when):
                np.multiply(state.holds(extra.sign.when), extra.decibans, out=found)
                _add(total, best, extra.cause, extra.sign.group, found)
        for (_, cause), its in best.items():
            total[cause] += its


class State:
    """What holds in rows of a table.

    Whatever is asked of a part of the rows is looked up once for all of them: few large steps are
    quicker than many small ones.
    """

    def __init__(self, base: Base, columns: Columns) -> None:
        self._base = base
        self._whole = _Whole(base, columns)
        self._its: Places | None = None
        self._places: dict[str, Places | None] = {}
        self.rows = columns.rows

    def part(self, its: Places) -> State:
        """The rows of these numbers."""
        part = copy(self)
        part._its = its if self._its is None else self._its.take(its)
        part._places = {}
        part.rows = len(its)
        return part

    def without(self, observables: Sequence[str]) -> State:
        """The same rows, as if nothing were known of some observables in the tables."""
        part = copy(self)
        part._places = {**self._places, **dict.fromkeys(observables)}
        return part

    def knows(self, name: str) -> bool:
        """Whether a check, measure or finding can have a value in some row."""
        return name in self._whole.known

    def _pick(self, whole: NDArray[Any]) -> NDArray[Any]:
        return whole if self._its is None else whole.take(self._its)

    def places(self, observable: str) -> Places | None:
        """Where each row stands in a table of an observable; None where no row has a value."""
        if observable not in self._whole.known:
            return None
        if observable not in self._places:
            found = places(self._base.observables[observable], self._whole.columns, self._pick)
            self._places[observable] = found
        return self._places[observable]

    def sets(self, observable: str) -> Sets:
        """The sets of answers that have places of their own."""
        return self._whole.columns.sets.get(observable, ())

    def given(self, observable: str) -> Bools:
        """Which rows have a value."""
        return self._pick(self._whole.given(observable))

    def can_hold(self, when: Condition) -> bool:
        """Whether every subject of a condition is known in some row."""
        return self._whole.can_hold(when)

    def holds(self, when: Condition) -> Bools:
        """Where every test of a condition holds."""
        return self._pick(self._whole.holds(when))

    def fails(self, when: Condition) -> Bools:
        """Where some test of a condition definitely does not hold."""
        return self._pick(self._whole.fails(when))

    def found(self, finding: str) -> Bools:
        """Where some rule of a finding holds."""
        return self._pick(self._whole.found(finding))

    def absent(self, finding: str) -> Bools:
        """Where every rule of a finding definitely fails."""
        return self._pick(self._whole.absent(finding))

    def findings(self) -> dict[str, Pair]:
        """For each finding whether it is found and whether it is definitely not, by row."""
        return {name: (self.found(name), self.absent(name)) for name in self._base.findings}


class _Whole:
    """What holds in all rows of a table; each condition and each test is looked at once."""

    def __init__(self, base: Base, columns: Columns) -> None:
        self._base = base
        self.columns = columns
        self.known = frozenset(base.findings).union(columns.choices, columns.numbers)
        self._never = np.zeros(columns.rows, dtype=bool)
        self._tests: dict[tuple[str, Test | str], Bools] = {}
        self._conditions: dict[tuple[str, int], tuple[Condition, Bools]] = {}

    def _once(self, part: str, test: Test | str, make: Callable[[], Bools]) -> Bools:
        kept = self._tests.get((part, test))
        if kept is None:
            kept = self._tests[part, test] = make()
        return kept

    def _of(self, part: str, when: Condition, make: Callable[[], Bools]) -> Bools:
        """Conditions are told apart by identity, which is quick, and kept, so that it stays one."""
        kept = self._conditions.get((part, id(when)))
        if kept is None:
            kept = self._conditions[part, id(when)] = (when, make())
        return kept[1]

    def given(self, observable: str) -> Bools:
        codes, ends = self.columns.choices.get(observable), self.columns.numbers.get(observable)
        if codes is not None:
            return self._once("given", observable, lambda: codes >= 0)
        if ends is not None:
            return self._once("given", observable, lambda: ~np.isnan(ends[0]))
        return self._never

    def can_hold(self, when: Condition) -> bool:
        return all(test.subject in self.known for test in when.tests)

    def holds(self, when: Condition) -> Bools:
        if not self.can_hold(when):
            return self._never
        if only := when.only():
            return self._test(only, True)
        return self._of("holds", when, lambda: _all([self._test(t, True) for t in when.tests]))

    def fails(self, when: Condition) -> Bools:
        if only := when.only():
            return self._test(only, False)
        return self._of("fails", when, lambda: _any([self._test(t, False) for t in when.tests]))

    def found(self, finding: str) -> Bools:
        rules = self._base.findings[finding].rules
        return self._once("found", finding, lambda: _any([self.holds(r.when) for r in rules]))

    def absent(self, finding: str) -> Bools:
        rules = self._base.findings[finding].rules
        return self._once("absent", finding, lambda: _all([self.fails(r.when) for r in rules]))

    def _test(self, test: Test, wanted: bool) -> Bools:
        if test.subject in self._base.findings:
            assert isinstance(test, OneOf)
            is_found = (test.words == (FOUND,)) == wanted
            return self.found(test.subject) if is_found else self.absent(test.subject)
        part = "yes" if wanted else "no"
        match test:
            case Span():
                ends, look = self.columns.numbers.get(test.subject), _inside if wanted else _outside
                return (
                    self._never
                    if ends is None
                    else self._once(part, test, lambda: look(test, ends))
                )
            case OneOf() | NoneOf():
                return self._once(part, test, lambda: self._words(test, wanted))
            case _:
                assert_never(test)

    def _words(self, test: OneOf | NoneOf, wanted: bool) -> Bools:
        """Each value that occurs is held against the test once; the last is no value."""
        codes = self.columns.choices.get(test.subject)
        if codes is None:
            return self._never
        observable, sets = self._base.observables[test.subject], self.columns.sets
        its = covered(observable, sets.get(test.subject, ()))[:-1]
        held = [test.holds(observable.kind.of(c)) is wanted for c in its if c is not None]
        return np.array([*held, False]).take(codes, mode="wrap")


def _stacked(cells: tuple[Cell, ...], causes: int, places: int) -> _Stack:
    """Cells put together, so that one step does for all causes."""
    alone = [cell for cell in cells if cell.group is None]
    numbers = np.array([cell.cause for cell in alone], dtype=np.intp)
    tables = np.array([cell.table for cell in alone]).reshape(len(alone), places)
    return _Stack(
        cells,
        slice(None) if len(alone) == causes else numbers,
        tables,
        tuple(cell for cell in cells if cell.group is not None),
        tuple((cell.cause, cell.gone) for cell in cells if cell.gone is not None),
    )


def _gone(row: CauseRow, its: Covered) -> Bools | None:
    """Where several answers are left and each of them rules the cause out; None if nowhere."""
    if not row.ruled_out:
        return None
    found = np.array([codes is not None and row.lost(codes) for codes in its])
    return found if found.any() else None


def _summed(parts: Floats) -> Floats:
    """Sums over the first axis, always in the same order, so that a row alone gives the same."""
    total: Floats = parts[0].copy()
    for part in parts[1:]:
        total += part
    return total


def _add(
    total: Floats, best: dict[tuple[str, int], Floats], cause: int, group: str | None, found: Floats
) -> None:
    """Add to a cause; within a group keep the larger by size, what came first on a tie."""
    if group is None:
        total[cause] += found
        return
    kept = best.get((group, cause))
    if kept is None:
        best[group, cause] = found.copy()
    else:
        np.copyto(kept, found, where=np.abs(found) > np.abs(kept))


def _inside(test: Span, ends: tuple[Floats, Floats]) -> Bools:
    low, high = ends
    return (low >= test.low if test.low_closed else low > test.low) & (
        high <= test.high if test.high_closed else high < test.high
    )


def _outside(test: Span, ends: tuple[Floats, Floats]) -> Bools:
    low, high = ends
    below = high < test.low if test.low_closed else high <= test.low
    return below | (low > test.high if test.high_closed else low >= test.high)


def _all(parts: Sequence[Bools]) -> Bools:
    return reduce(np.logical_and, parts)


def _any(parts: Sequence[Bools]) -> Bools:
    return reduce(np.logical_or, parts)


def class_sums(probabilities: Floats, members: Sequence[Sequence[int]]) -> Floats:
    """Probabilities summed over classes of causes: (rows, classes)."""
    return np.column_stack([probabilities[:, list(m)].sum(axis=1) for m in members])
