"""What a decision hangs on, as questions that can be sent to the shop as they stand.

Beside them the most telling checks are asked for (`missing`), which make the cause surer; here are
the answers without which the terms cannot be applied. All of them at once, so that one letter does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.decision.decide import ASK, INSPECT, Hanging
from diagnose.claims.decision.missing import ToAsk
from diagnose.claims.decision.situation import RowSituation, Why
from diagnose.claims.decision.weighing import joined
from diagnose.claims.mapping.dates import QUESTIONS
from diagnose.claims.mapping.reading import Claims
from diagnose.claims.policy.cover import NO_COVER
from diagnose.claims.policy.policy import Exclusion, Need, Policy
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Condition
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.soundness.walk import below
from diagnose.reasoning.evidence.state import State

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
Bears = Callable[[Exclusion, RowSituation], Bools]

LAID = "On which day was the film laid and handed over?"
SEEN = "On which day was the fault first seen or reported?"
WHERE = "Where on the car is it?"
WHAT = "What is seen?"
NAMED = "What of what the remark names touched this place, when, and how?"

WAYS = 2
"""Checks asked for where any of many would show something; the rule base names the best first."""


class Questions:
    """The questions of one rule base and one policy."""

    def __init__(
        self, base: Base, policy: Policy, needs: Sequence[tuple[Need, ...]], bears: Bears
    ) -> None:
        """`bears` tells on which rows an exclusion bears."""
        self._base = base
        self._bears = bears
        self._needs = needs
        self._policy = policy
        self._age = base.role("age")
        self._numbers = {name: number for number, name in enumerate(base.checks)}

    def of(
        self,
        claims: Claims,
        state: State,
        hanging: Hanging,
        situation: RowSituation,
        asked: ToAsk,
    ) -> tuple[pl.Series, ToAsk]:
        """The questions of each row in one text, and the telling checks without those in it."""
        record = self._record(claims, hanging)
        asking = _Asking(self._base, claims, state)
        checks = self._checks(asking, state, self._conditions(hanging, situation))
        checks.pop(self._age, None)
        rows = [np.flatnonzero(where) for where in (*record.values(), *checks.values())]
        texts = [*record, *(self._base.checks[name].ask for name in checks)]
        told = {self._numbers[name]: where for name, where in checks.items()}
        if self._age in self._numbers:
            told[self._numbers[self._age]] = record[LAID] | record[SEEN]
        return joined(rows, texts, claims.columns.rows, " "), _without(asked, told)

    def _record(self, claims: Claims, hanging: Hanging) -> dict[str, Bools]:
        """Days and place, wherever something is asked and they are not known."""
        settled = (Why.CONTRADICTION, Why.ODD_DAYS)
        open_ = np.isin(hanging.decision, (ASK, INSPECT)) & ~np.isin(hanging.why, settled)
        age = np.isnan(hanging.cover.age)
        nowhere = np.array([self._policy.surface(p) is None for p in PANELS] + [True])
        panel = nowhere[claims.panel] & (len(self._policy.surfaces) > 1)
        return {
            **{QUESTIONS[name]: where for name, where in claims.odd.items()},
            WHAT: hanging.why == Why.SYMPTOM_READ,
            NAMED: hanging.why == Why.OUTSIDE,
            LAID: open_ & ~claims.days.start.known,
            SEEN: open_ & ~claims.days.end.known & age,
            WHERE: open_ & panel,
        }

    def _checks(
        self, asking: _Asking, state: State, conditions: Iterable[tuple[Bools, Condition]]
    ) -> dict[str, Bools]:
        """For each check that a decision hangs on, where it does and is open."""
        for where, when in conditions:
            open_ = np.flatnonzero(where & ~(state.holds(when) | state.fails(when)))
            for test in when.tests if len(open_) else ():
                single = Condition((test,))
                told = state.holds(single)[open_] | state.fails(single)[open_]
                most = WAYS if test.subject in self._base.findings else len(self._numbers)
                asking.ask(dict.fromkeys(self._ways(test.subject)), open_[~told], most)
        return dict(sorted(asking.asked.items(), key=lambda asked: self._numbers[asked[0]]))

    def _conditions(
        self, hanging: Hanging, situation: RowSituation
    ) -> Iterator[tuple[Bools, Condition]]:
        """Where which conditions decide; exclusions only where they bear on the row."""
        at = hanging.why == Why.OPEN_PAYER
        for cause in _distinct(hanging.cause, at):
            for other in list(self._base.causes.values())[cause].responsibility.unless:
                yield at & (hanging.cause == cause), other.when
        at = hanging.why == Why.NEEDS_OPEN
        for number in _distinct(hanging.needs, at):
            for need in self._needs[number]:
                yield at & (hanging.needs == number), need.when
        at = np.isin(hanging.why, (Why.NEEDS_OPEN, Why.OPEN_PAYER, Why.OPEN_EXCLUSION))
        at &= hanging.cover.cover != NO_COVER
        for number, terms in enumerate(self._policy.terms):
            asked = (its for its in terms.excludes if its.if_unknown == "ask")
            for exclusion in asked:
                mine = at & (hanging.cover.terms == number) & self._bears(exclusion, situation)
                yield mine, exclusion.when

    def _ways(self, subject: str) -> Iterator[str]:
        """The checks that can answer a subject, the most direct first."""
        if subject in self._base.checks:
            yield subject
        for its in below(self._base, subject):
            yield from self._ways(its)


class _Asking:
    """Which rows each check is asked of, so far."""

    def __init__(self, base: Base, claims: Claims, state: State) -> None:
        self._base = base
        self._claims = claims
        self._state = state
        self._closed: dict[str, Bools] = {}
        self.asked: dict[str, Bools] = {}

    def ask(self, checks: Iterable[str], rows: Ints, most: int) -> None:
        """Ask these rows the first so many of the checks that are open there."""
        left = np.full(len(rows), most)
        for name in checks:
            if not len(rows):
                return
            if name not in self._closed:
                self._closed[name] = self._is_closed(name)
            its = ~self._closed[name][rows]
            if its.any():
                if name not in self.asked:
                    self.asked[name] = np.zeros(self._claims.columns.rows, dtype=bool)
                self.asked[name][rows[its]] = True
                left -= its
                rows, left = rows[left > 0], left[left > 0]

    def _is_closed(self, check: str) -> Bools:
        """Where a check is answered, was tried and could not be told, or makes no sense yet."""
        columns = self._claims.columns
        closed = np.zeros(columns.rows, dtype=bool)
        if check in columns.choices:
            closed |= columns.choices[check] >= 0
        if check in columns.numbers:
            closed |= ~np.isnan(columns.numbers[check][0])
        when = self._base.checks[check].asked_when
        if when is not None:
            closed |= ~self._state.holds(when)
        return closed | self._claims.tried.get(check, closed)


def _distinct(numbers: Ints, where: Bools) -> Sequence[int]:
    found: Sequence[int] = np.unique(numbers[where]).tolist()
    return found


def _without(asked: ToAsk, told: dict[int, Bools]) -> ToAsk:
    """The telling checks without those asked already; the others move up."""
    checks = asked.checks.copy()
    for number, where in told.items():
        checks[(checks == number) & where] = -1
    moved = np.flatnonzero((checks != asked.checks).any(axis=0))
    its, hundredths = checks[:, moved], asked.hundredths.copy()
    order = np.argsort(its < 0, axis=0, kind="stable")
    bits = np.where(its < 0, 0, hundredths[:, moved])
    checks[:, moved] = np.take_along_axis(its, order, axis=0)
    hundredths[:, moved] = np.take_along_axis(bits, order, axis=0)
    return ToAsk(checks, hundredths)
