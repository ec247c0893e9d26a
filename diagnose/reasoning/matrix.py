"""The evaluator of many rows at once: the same layers and numbers as `chain` and `weigh`.

Conditions become boolean arrays (holds, definitely does not hold); tables become gathers, one for
each cause that has a sign on a check. A row scored here and by `chain` has the same signs and the
same probabilities. Arrays inside are (causes, rows), so that each gather is one run of memory.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.base import Base
from diagnose.knowledge.conditions import FOUND, Condition, OneOf, Span, Test
from diagnose.reasoning.chain import depths
from diagnose.reasoning.columns import Columns, Floats, Places, places, spread
from diagnose.reasoning.tables import Tables
from diagnose.reasoning.weigh import PER_DECIBAN

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
class _Cell:
    """What one cause makes of one observable: a weight for each place (see `columns.places`)."""

    cause: int
    group: str | None
    table: Floats


class Matrix:
    """The tables and conditions of one symptom as arrays."""

    def __init__(self, base: Base, table: Tables) -> None:
        self._base = base
        self._table = table
        self._logs = np.log(np.array(table.priors))
        self._cells: dict[str, tuple[_Cell, ...]] = {}
        self._outs = [
            (place, out.when)
            for place, cause in enumerate(table.causes)
            for out in cause.ruled_out_when
        ]
        used = [e.sign.when for e in table.extras] + [when for _, when in self._outs]
        self._needed = _findings_below(base, used)

    def _row_cells(self, name: str) -> tuple[_Cell, ...]:
        """The cells of an observable, made when it first has a value."""
        if name not in self._cells:
            observable = self._base.observables[name]
            self._cells[name] = tuple(
                _Cell(place, row.group, spread(observable, row.decibans))
                for place, row in enumerate(self._table.rows[name])
                if row is not None
            )
        return self._cells[name]

    def score(self, columns: Columns, threads: int = 1, state: State | None = None) -> Scores:
        """Probabilities of every row; `state`, if all findings of these rows are at hand."""
        causes = len(self._table.causes)
        scores = Scores(
            np.empty((causes + 1, columns.rows)).T,
            np.zeros((causes, columns.rows)).T,
            np.zeros((causes, columns.rows), dtype=bool).T,
        )
        starts = range(0, columns.rows, BLOCK)

        def block(start: int) -> None:
            its = columns.part(start, start + BLOCK)
            self._block(its, State(self._base, its, self._needed), scores, start)

        if state is not None and len(starts) == 1:
            self._block(columns, state, scores, 0)
        elif threads == 1 or len(starts) == 1:
            for start in starts:
                block(start)
        else:
            with ThreadPoolExecutor(threads) as pool:
                list(pool.map(block, starts))
        return scores

    def _block(self, columns: Columns, state: State, into: Scores, start: int) -> None:
        its = slice(start, start + columns.rows)
        total = into.decibans[its].T
        self._weigh(columns, state, total)
        logs = into.probabilities[its].T
        np.multiply(total, PER_DECIBAN, out=logs[:-1])
        logs[:-1] += self._logs[:-1, None]
        logs[-1] = self._logs[-1]
        out = into.out[its].T
        for place, when in self._outs:
            np.logical_or(out[place], state.holds(when), out=out[place])
        if out.any():
            logs[:-1][out] = -np.inf
        logs -= logs.max(axis=0)
        np.exp(logs, out=logs)
        logs /= _summed(logs)

    def _weigh(self, columns: Columns, state: State, total: Floats) -> None:
        """Add up the decibans of every cause; a group's strongest joins at the end."""
        best: dict[tuple[str, int], Floats] = {}
        found = np.empty(columns.rows)
        for name in self._table.rows:
            at = state.places(name)
            if at is None:
                continue
            for cell in self._row_cells(name):
                np.take(cell.table, at, out=found, mode="clip")
                _add(total, best, cell.cause, cell.group, found)
        for extra in self._table.extras:
            fired = state.holds(extra.sign.when)
            if fired.any():
                weight = np.where(fired, extra.decibans, 0.0)
                _add(total, best, extra.cause, extra.sign.group, weight)
        for (_, cause), its in best.items():
            total[cause] += its

    def findings(self, columns: Columns) -> dict[str, Pair]:
        """For each finding whether it is found and whether it is definitely not, by row."""
        state = State(self._base, columns, tuple(self._base.findings))
        return {name: (state.found(name), state.absent(name)) for name in self._base.findings}

    def holds(self, when: Condition, columns: Columns, findings: Mapping[str, Pair]) -> Pair:
        """Whether a condition holds and whether it definitely does not, by row."""
        state = State(self._base, columns, tuple(findings), findings)
        return state.holds(when), state.fails(when)


class State:
    """What holds in a block of rows; each test is looked at once."""

    def __init__(
        self,
        base: Base,
        columns: Columns,
        findings: Sequence[str],
        known: Mapping[str, Pair] | None = None,
    ) -> None:
        self._base = base
        self._columns = columns
        self._names = frozenset(findings)
        self._known = self._names.union(columns.choices, columns.numbers)
        self._never = np.zeros(columns.rows, dtype=bool)
        self._places: dict[str, Places | None] = {}
        self._kept: dict[tuple[str, object], Bools] = {}
        for name, (found, absent) in (known or {}).items():
            self._kept["found", name], self._kept["absent", name] = found, absent

    def _once(self, part: str, key: object, make: Callable[[], Bools]) -> Bools:
        kept = self._kept.get((part, key))
        if kept is None:
            kept = self._kept[part, key] = make()
        return kept

    def places(self, observable: str) -> Places | None:
        """Where each row stands in a table of an observable; None where no row has a value."""
        if observable not in self._places:
            found = places(self._base.observables[observable], self._columns)
            self._places[observable] = found
        return self._places[observable]

    def can_hold(self, when: Condition) -> bool:
        """Whether every subject of a condition is known in some row."""
        return all(test.subject in self._known for test in when.tests)

    def holds(self, when: Condition) -> Bools:
        """Where every test of a condition holds."""
        if not self.can_hold(when):
            return self._never
        return _all([self._test(test, True) for test in when.tests])

    def fails(self, when: Condition) -> Bools:
        """Where some test of a condition definitely does not hold."""
        return _any([self._test(test, False) for test in when.tests])

    def found(self, finding: str) -> Bools:
        """Where some rule of a finding holds."""
        rules = self._base.findings[finding].rules
        return self._once("found", finding, lambda: _any([self.holds(r.when) for r in rules]))

    def absent(self, finding: str) -> Bools:
        """Where every rule of a finding definitely fails."""
        rules = self._base.findings[finding].rules
        return self._once("absent", finding, lambda: _all([self.fails(r.when) for r in rules]))

    def _test(self, test: Test, wanted: bool) -> Bools:
        if test.subject in self._names:
            assert isinstance(test, OneOf)
            is_found = (test.words == (FOUND,)) == wanted
            return self.found(test.subject) if is_found else self.absent(test.subject)
        part = "yes" if wanted else "no"
        if isinstance(test, Span):
            look = _inside if wanted else _outside
            return self._once(part, test, lambda: look(test, self._columns))
        inside = isinstance(test, OneOf) == wanted
        return self._once(part, test, lambda: self._words(test.subject, test.words, inside))

    def _words(self, subject: str, words: Sequence[str], inside: bool) -> Bools:
        at = self.places(subject) if subject in self._columns.choices else None
        if at is None:
            return self._never
        labels = self._base.observables[subject].labels
        named = np.array([(word in words) == inside for word in labels] + [False])
        return np.take(named, at, mode="clip")


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


def _findings_below(base: Base, conditions: Sequence[Condition]) -> tuple[str, ...]:
    """The findings that these conditions rest on, shallow ones first."""
    waiting = [s for when in conditions for s in when.subjects() if s in base.findings]
    seen: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            rules = base.findings[name].rules
            waiting += [s for r in rules for s in r.when.subjects() if s in base.findings]
    depth = depths(base)
    return tuple(sorted(seen, key=lambda name: depth[name]))


def _inside(test: Span, columns: Columns) -> Bools:
    ends = columns.numbers.get(test.subject)
    if ends is None:
        return np.zeros(columns.rows, dtype=bool)
    low, high = ends
    return (low >= test.low if test.low_closed else low > test.low) & (
        high <= test.high if test.high_closed else high < test.high
    )


def _outside(test: Span, columns: Columns) -> Bools:
    ends = columns.numbers.get(test.subject)
    if ends is None:
        return np.zeros(columns.rows, dtype=bool)
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
