"""When work is done: stages one after another, in opening hours, by the clock, or in working days.

Pure: the moment of the start and the days on which the shop is closed are passed in. Times are the
wall clock's; a moment with a time zone keeps it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Literal

Kind = Literal["work", "clock", "days"]
"""work: in opening hours; clock: day and night; days: working days, ready at opening."""

BAY, PRINTER, LAMINATOR = "bay", "printer", "laminator"


@dataclass(frozen=True, slots=True)
class WorkStage:
    """One part of a job. `hours` (working days for kind `days`), `at` what it occupies, or ''."""

    name: str
    hours: float
    kind: Kind
    at: str = ""


@dataclass(frozen=True, slots=True)
class Slot:
    """A stage with its begin and end."""

    name: str
    begin: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class Calendar:
    """Opening and closing time from Monday on (None: closed), and closed days besides.

    At least one day of the week must be open.
    """

    week: tuple[tuple[time, time] | None, ...]
    closed: frozenset[date] = frozenset()

    def hours(self, day: date) -> tuple[time, time] | None:
        """Opening hours of a day, or None."""
        return None if day in self.closed else self.week[day.weekday()]

    def next_open(self, moment: datetime) -> datetime:
        """The first moment from here on at which the shop is open."""
        while True:
            hours = self.hours(moment.date())
            if hours and moment.timetz().replace(tzinfo=None) < hours[1]:
                opens = _at(moment, hours[0])
                return max(moment, opens)
            moment = _at(moment + timedelta(days=1), time())

    def hands_over(self, moment: datetime) -> datetime:
        """The first moment from here on at which a car can be fetched; closing time is one."""
        hours = self.hours(moment.date())
        there = hours and hours[0] <= moment.timetz().replace(tzinfo=None) <= hours[1]
        return moment if there else self.next_open(moment)

    def after_work(self, moment: datetime, hours: float) -> datetime:
        """The end of so many hours of work, begun as soon as the shop is open."""
        left = timedelta(hours=hours)
        moment = self.next_open(moment) if hours > 0 else moment
        while left > timedelta():
            moment = self.next_open(moment)
            span = self.hours(moment.date())
            assert span is not None
            part = min(left, _at(moment, span[1]) - moment)
            moment, left = moment + part, left - part
        return moment

    def after_days(self, moment: datetime, days: int) -> datetime:
        """Opening time so many working days after the day of this moment."""
        for _ in range(days):
            moment = self.next_open(_at(moment + timedelta(days=1), time()))
        return moment

    def working_days(self, start: datetime, end: datetime) -> int:
        """Working days that begin after the day of `start`, up to and with that of `end`."""
        span = (end.date() - start.date()).days
        days = (start.date() + timedelta(days=n) for n in range(1, span + 1))
        return sum(self.hours(day) is not None for day in days)


def _at(moment: datetime, clock: time) -> datetime:
    return datetime.combine(moment.date(), clock, moment.tzinfo)


def run(
    jobs: Sequence[Sequence[WorkStage]], start: datetime, calendar: Calendar
) -> list[list[Slot]]:
    """Begin and end of every stage of every job; stages of a job follow each other.

    What two jobs need at once is used in the order of the jobs: the printer, the laminator and the
    bay each do one thing at a time. Stages of no length are left out.
    """
    free: dict[str, datetime] = {}
    found = []
    for job in jobs:
        at, slots = start, []
        for stage in job:
            if stage.hours > 0:
                begin = max(at, free.get(stage.at, at)) if stage.at else at
                slot = _slot(stage, begin, calendar)
                if stage.at:
                    free[stage.at] = slot.end
                at = slot.end
                slots.append(slot)
        found.append(slots)
    return found


def _slot(stage: WorkStage, begin: datetime, calendar: Calendar) -> Slot:
    if stage.kind == "work":
        begin = calendar.next_open(begin)
        return Slot(stage.name, begin, calendar.after_work(begin, stage.hours))
    if stage.kind == "days":
        return Slot(stage.name, begin, calendar.after_days(begin, round(stage.hours)))
    return Slot(stage.name, begin, begin + timedelta(hours=stage.hours))
