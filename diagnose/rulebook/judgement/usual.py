"""The most usual car of a cause: what it shows, what is asked about it, and who wins.

Of each check the answer is taken that most cars with this cause show, by its row; where the cause
says nothing, what is usual at the symptom. What a car cannot show beside the rest is passed over
for the next likeliest, and what rules the cause out is never taken. What opens a check is settled
before it: a film is printed because most are, not because most prints are dry. How often a sign of
several conditions holds is not stated, so what only such signs of the cause read is left open. A
measure is given as such: its inputs are then not asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import portions
from diagnose.knowledge.model import Cause
from diagnose.knowledge.model.conditions import Value, Values
from diagnose.knowledge.soundness.walk import reached
from diagnose.rulebook.change.replay import Chances, Replay
from diagnose.rulebook.judgement.consistent import Consistent


@dataclass(frozen=True, slots=True)
class UsualCar:
    """The most usual car of a cause at a symptom; `own` of its answers stand in a row of it."""

    symptom: str
    cause: str
    answers: Values
    own: frozenset[str]


@dataclass(frozen=True, slots=True)
class Won:
    """Who wins with the most usual car of a cause, all its answers told."""

    car: UsualCar
    chances: Chances

    @property
    def wins(self) -> bool:
        """Whether its own cause is the likeliest."""
        return self.leading == self.car.cause

    @property
    def leading(self) -> str:
        """The likeliest cause, of those listed or not."""
        return max(self.chances, key=lambda c: round(c[1], 12))[0]

    def chance(self, cause: str) -> float:
        """The probability of a cause."""
        return dict(self.chances)[cause]


def all_won(replay: Replay) -> tuple[Won, ...]:
    """The most usual car of every cause at every symptom, scored symptom by symptom."""
    return tuple(won for symptom in replay.base.symptoms for won in won_at(replay, symptom))


def won_at(replay: Replay, symptom: str, causes: Sequence[str] | None = None) -> tuple[Won, ...]:
    """The most usual cars at a symptom, of some causes or of all."""
    garage = _Garage(replay.base, symptom)
    wanted = [c for c in replay.base.behind(symptom) if causes is None or c.id in causes]
    cars = [garage.car(cause) for cause in wanted]
    told = replay.told(symptom, [car.answers for car in cars]) if cars else []
    return tuple(Won(car, its.chances) for car, its in zip(cars, told, strict=True))


class _Garage:
    """What is usual at a symptom, and the cars that are made of it."""

    def __init__(self, base: Base, symptom: str) -> None:
        self._base = base
        self._symptom = symptom
        self._consistent = Consistent(base, symptom)
        rows = (name for cause in base.behind(symptom) for name in base.rows(cause, symptom))
        self._names = [n for n in dict.fromkeys((*base.intake, *rows)) if self._is_seen(n)]

    def _is_seen(self, name: str) -> bool:
        """Whether there is anything to look at, and it is stated how often what is seen."""
        base = self._base
        checks = [base.checks[n] for n in reached(base, [name]) if n in base.checks]
        seen = all(base.makes_sense(check, self._symptom) for check in checks)
        return seen and bool(base.usual(name, self._symptom))

    def car(self, cause: Cause) -> UsualCar:
        """The most usual car of a cause."""
        own = self._base.rows(cause, self._symptom)
        open_ones = reached(self._base, self._read_by_signs(cause)) - set(own)
        shares = {n: self._shares(cause, n) for n in self._names if n not in open_ones}
        # What a car shows nearly always goes before what it may show, its own before the rest.
        order = sorted(shares, key=lambda n: (self._opened(n), n not in own, -max(shares[n])))
        values: dict[str, Value] = dict(self._base.symptoms[self._symptom].shows)
        for name in order:
            for value in self._likeliest(name, shares[name]):
                if self._fits(cause, name, value, values):
                    values[name] = value
                    break
        return UsualCar(self._symptom, cause.id, values, frozenset(own) & frozenset(values))

    def _opened(self, name: str) -> int:
        """How many checks, each opened by the one before, have to be settled before this one."""
        check = self._base.checks.get(name)
        gate = check.asked_when if check else None
        return 1 + max(map(self._opened, gate.subjects())) if gate else 0

    def _read_by_signs(self, cause: Cause) -> list[str]:
        return [s for sign in cause.signs if sign.speaks == "for" for s in sign.when.subjects()]

    def _shares(self, cause: Cause, name: str) -> tuple[float, ...]:
        rows = self._base.rows(cause, self._symptom)
        answers = portions(rows.get(name), self._base.usual(name, self._symptom))
        return self._base.observables[name].kind.outcome_shares(answers)

    def _likeliest(self, name: str, shares: Sequence[float]) -> Iterator[Value]:
        """The outcomes from the likeliest on; what no car of the cause shows is left out."""
        outcomes = self._base.observables[name].kind.outcomes
        ranked = sorted(zip(shares, outcomes, strict=True), key=lambda its: -its[0])
        return (value for share, value in ranked if share > 0)

    def _fits(self, cause: Cause, name: str, value: Value, values: Values) -> bool:
        """Whether the car can show it beside the rest, and have this cause."""
        if not self._consistent.allows(name, value, values):
            return False
        after = {**values, name: value}
        return not any(out.when.holds(after) for out in cause.ruled_out_when)
