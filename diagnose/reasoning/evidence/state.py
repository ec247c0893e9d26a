"""What holds in each row of a table: conditions as arrays (holds, definitely does not hold)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from functools import reduce
from typing import Any, assert_never

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import FOUND, Condition, NoneOf, OneOf, Span, Test
from diagnose.reasoning.evidence.columns import (
    Columns,
    Floats,
    Places,
    Sets,
    covered,
    places,
)

Bools = NDArray[np.bool_]
Pair = tuple[Bools, Bools]


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

    @property
    def known(self) -> frozenset[str]:
        """Every check, measure and finding that can have a value in some row."""
        return self._whole.known

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
