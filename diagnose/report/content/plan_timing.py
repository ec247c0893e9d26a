"""The dates of a plan: first steps of all complaints together, later ones after each failure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from diagnose.reasoning.correction.plan import CarPlan, ComplaintPlan, PlanStep
from diagnose.reasoning.correction.pricing import Pricer, WorkPlace
from diagnose.reasoning.correction.schedule import Calendar, Slot, WorkStage, run
from diagnose.report.content.plan_data import PlanTerms, StepTime


def moment(at: datetime) -> str:
    """A moment as it is shown."""
    return at.strftime("%Y-%m-%d %H:%M")


class Timing:
    """When the steps of a plan are done: the first ones together, later ones after each failure."""

    def __init__(
        self, pricer: Pricer, terms: PlanTerms, places: Sequence[WorkPlace], plan: CarPlan
    ) -> None:
        week = tuple(terms.shop.opens(date(2024, 1, 1) + timedelta(days=n)) for n in range(7))
        self.pricer, self.terms = pricer, terms
        self.calendar = Calendar(week, terms.closed)
        self._start = self.calendar.next_open(terms.start)
        self._places = {place.number: place for place in places}
        firsts = [c.steps[0] for c in plan.complaints if c.steps]
        owners = [c.number for c in plan.complaints if c.steps]
        keys = [(s.remedy, s.shared or (n,)) for s, n in zip(firsts, owners, strict=True)]
        jobs = list(dict.fromkeys(keys))
        stages = [self._stages(*job) for job in jobs]
        self._first = dict(zip(jobs, run(stages, self._start, self.calendar), strict=True))

    def _stages(self, remedy: str, numbers: tuple[int, ...]) -> tuple[WorkStage, ...]:
        places = [self._places[n] for n in numbers]
        return self.pricer.stages(self.pricer.base.remedies[remedy], places)

    def first_ready(self) -> datetime:
        """When the first steps of all complaints are done."""
        ends = [slots[-1].end for slots in self._first.values() if slots]
        return self.calendar.hands_over(max(ends)) if ends else self._start

    def of(self, plan: ComplaintPlan) -> tuple[StepTime, ...]:
        """The times of a complaint's steps, each begun when the one before is found to fail."""
        found, at = [], self._start
        for n, step in enumerate(plan.steps):
            key = (step.remedy, step.shared or (plan.number,))
            slots = self._first[key] if n == 0 else self._alone(key, at)
            ready = self.calendar.hands_over(slots[-1].end) if slots else at
            again = ready + timedelta(hours=self._looks(step))
            at = self.calendar.next_open(again) if self._looks(step) else again
            found.append(self._time(slots, ready, at))
        return tuple(found)

    def _alone(self, key: tuple[str, tuple[int, ...]], at: datetime) -> list[Slot]:
        return run([self._stages(*key)], at, self.calendar)[0]

    def _looks(self, step: PlanStep) -> float:
        return self.pricer.base.remedies[step.remedy].look_again_hours

    def _time(self, slots: Sequence[Slot], ready: datetime, again: datetime) -> StepTime:
        return StepTime(
            tuple((s.name, moment(s.begin), moment(s.end)) for s in slots),
            moment(ready),
            self.calendar.working_days(self.terms.start, ready),
            moment(again),
        )
