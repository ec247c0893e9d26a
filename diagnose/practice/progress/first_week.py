"""A first week for a beginner: five days of five cases each, from plain to treacherous."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from diagnose.practice.items.bank import Bank, PracticeItem
from diagnose.practice.progress.over_time import done_on
from diagnose.practice.progress.progress import Attempt, Progress
from diagnose.practice.session.judge import Judge

DAYS: tuple[Mapping[str, int], ...] = (
    {"plain": 5},
    {"plain": 4, "tricky": 1},
    {"plain": 2, "tricky": 3},
    {"plain": 1, "tricky": 3, "treacherous": 1},
    {"tricky": 3, "treacherous": 2},
)
"""How many cases of each grade a day has, in the order in which they are given."""


@dataclass(frozen=True, slots=True)
class Week:
    """The days with their cases, and the attempts at them, by item."""

    days: tuple[tuple[PracticeItem, ...], ...]
    done: Mapping[str, Attempt]

    @property
    def items(self) -> tuple[PracticeItem, ...]:
        """All cases in their order."""
        return tuple(item for day in self.days for item in day)

    @property
    def next(self) -> PracticeItem | None:
        """The case that comes next; None when all are done."""
        return next((item for item in self.items if item.id not in self.done), None)

    @property
    def day(self) -> int:
        """The day that is under way, from 1; that after the last when all are done."""
        open_days = (n for n, day in enumerate(self.days, 1) if not self.is_done(day))
        return next(open_days, len(self.days) + 1)

    def after(self, progress: Progress) -> Week:
        """The same week as an apprentice stands in it."""
        its = {item.id for item in self.items}
        done = {a.item: a for a in progress.cases if a.item in its and not a.exam}
        return replace(self, done=done)

    def is_done(self, day: Sequence[PracticeItem]) -> bool:
        """Whether all cases of a day are done."""
        return all(item.id in self.done for item in day)


def first_week(bank: Bank, judge: Judge, progress: Progress) -> Week:
    """The week as this apprentice stands in it; the same cases for everybody.

    What a beginner meets most comes first, no cause twice; cases that even their whole record does
    not decide are left out.
    """
    often = Counter(item.symptom for item in bank.items.values())
    met = {item.id: often[item.symptom] * _share(judge, item) for item in bank.items.values()}
    usual = sorted(bank.items.values(), key=lambda item: (-met[item.id], item.id))
    taken: set[str] = set()
    days = tuple(_day(judge, usual, taken, grades) for grades in DAYS)
    return Week(tuple(day for day in days if day), {}).after(progress)


def _share(judge: Judge, item: PracticeItem) -> float:
    """How common the cause of an item is behind its symptom."""
    behind = [cause.id for cause in judge.base.behind(item.symptom)]
    shares = dict(zip(behind, judge.base.priors(item.symptom), strict=False))
    return shares.get(item.right[0], 0.0)


def _day(
    judge: Judge, usual: Sequence[PracticeItem], taken: set[str], grades: Mapping[str, int]
) -> tuple[PracticeItem, ...]:
    """The cases of a day, no symptom twice; their cases and causes are added to those taken."""
    found: list[PracticeItem] = []
    for grade, count in grades.items():
        its = [item for item in usual if item.grade == grade]
        for item in its:
            if sum(other.grade == grade for other in found) == count:
                break
            its_own = {item.case, item.right[0]}
            alike = any(other.symptom == item.symptom for other in found)
            if taken.isdisjoint(its_own) and not alike and judge.sound(item):
                found.append(item)
                taken |= its_own
    return tuple(found)


def rests_today(week: Week, progress: Progress, now: datetime) -> bool:
    """Whether the five of a day were done today, so that the next come tomorrow."""
    today = {a.item for a in done_on(progress, now.date(), now.tzinfo)}
    finished = [day for day in week.days if week.is_done(day)]
    return bool(finished) and finished[-1][-1].id in today and not _begun(week)


def _begun(week: Week) -> bool:
    """Whether some case of the day under way is done already."""
    days = week.days[week.day - 1 : week.day]
    return any(item.id in week.done for day in days for item in day)
