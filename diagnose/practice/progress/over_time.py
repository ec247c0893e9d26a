"""What attempts show over time and by subject: weeks, symptoms, pairs, days, what is due."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from itertools import pairwise

from diagnose.practice.progress.progress import CASE, Attempt, Progress
from diagnose.practice.progress.schedule import pair_card

LONGEST_PAUSE = timedelta(days=2)
"""From one day of practice to the next in a row: a day off between them does not break it."""

SURE = 0.8
"""Chance from which a wrong cause was named as if it were certain."""


@dataclass(frozen=True, slots=True)
class Some:
    """Cases that have something in common: how many, how many right, points a case."""

    cases: int
    right: int
    points: float

    @classmethod
    def of(cls, attempts: Sequence[Attempt]) -> Some:
        """The sum over attempts, of which there is one at least."""
        mean = sum(a.points for a in attempts) / len(attempts)
        return cls(len(attempts), sum(a.hit for a in attempts), mean)


@dataclass(frozen=True, slots=True)
class Mixed:
    """Two causes taken for one another: how often, and how often told apart since the last time."""

    causes: tuple[str, str]
    times: int
    apart_since: int


def weeks(progress: Progress, zone: tzinfo | None) -> dict[date, Some]:
    """The cases of each week in which there were any, by its Monday."""
    found: dict[date, list[Attempt]] = {}
    for attempt in progress.cases:
        day = _day(attempt, zone)
        found.setdefault(day - timedelta(days=day.weekday()), []).append(attempt)
    return {monday: Some.of(its) for monday, its in sorted(found.items())}


def by_symptom(progress: Progress) -> dict[str, Some]:
    """The cases of each symptom, those with the fewest points first."""
    found: dict[str, list[Attempt]] = {}
    for attempt in progress.cases:
        found.setdefault(attempt.symptom, []).append(attempt)
    sums = {symptom: Some.of(its) for symptom, its in found.items()}
    return dict(sorted(sums.items(), key=lambda pair: (pair[1].points, pair[0])))


def named_instead(progress: Progress, symptom: str) -> Counter[str]:
    """The wrong causes that were named at a symptom."""
    return Counter(a.named for a in progress.cases if a.symptom == symptom and not a.hit)


def mixed_up(progress: Progress) -> tuple[Mixed, ...]:
    """Pairs taken for one another, those not told apart since first, then the most frequent."""
    found = [
        Mixed(pair, times, _apart_since(progress, pair)) for pair, times in progress.confused()
    ]
    return tuple(sorted(found, key=lambda m: (m.apart_since > 0, -m.times, m.causes)))


def _apart_since(progress: Progress, pair: tuple[str, str]) -> int:
    """How often a pair was told apart in a row, counted back from now."""
    card, count = pair_card(*pair), 0
    for attempt in reversed(progress.attempts):
        rating = attempt.reviews.get(card)
        if rating == 1:
            break
        count += rating is not None
    return count


def by_drill(progress: Progress) -> dict[str, tuple[Attempt, ...]]:
    """The drills of each kind, the kind with the least right first; within it the worst first."""
    found: dict[str, list[Attempt]] = {}
    for attempt in progress.attempts:
        if attempt.kind != CASE:
            found.setdefault(attempt.kind, []).append(attempt)
    worst = {k: tuple(sorted(its, key=lambda a: (a.points, a.item))) for k, its in found.items()}
    return dict(sorted(worst.items(), key=lambda pair: (Some.of(pair[1]).points, pair[0])))


def streak(progress: Progress, now: datetime) -> int:
    """Days of practice in a row up to now; a single day off in between does not end it."""
    days = sorted({_day(a, now.tzinfo) for a in progress.attempts}, reverse=True)
    if not days or now.date() - days[0] > LONGEST_PAUSE:
        return 0
    row = 1
    for later, earlier in pairwise(days):
        if later - earlier > LONGEST_PAUSE:
            break
        row += 1
    return row


def done_on(progress: Progress, day: date, zone: tzinfo | None) -> tuple[Attempt, ...]:
    """The cases of one day."""
    return tuple(a for a in progress.cases if _day(a, zone) == day)


def due_by(progress: Progress, now: datetime) -> dict[str, int]:
    """How many causes and pairs come back now, by this time tomorrow, and within a week."""
    ends = {"now": timedelta(0), "by tomorrow": timedelta(days=1), "in a week": timedelta(days=7)}
    dues = [card.due for card in progress.cards.values()]
    return {word: sum(due <= now + wait for due in dues) for word, wait in ends.items()}


def sure_and_wrong(progress: Progress) -> tuple[Attempt, ...]:
    """Cases in which a wrong cause was named as if it were certain, the latest first."""
    return tuple(a for a in reversed(progress.cases) if not a.hit and a.sure >= SURE)


def _day(attempt: Attempt, zone: tzinfo | None) -> date:
    return attempt.moment.astimezone(zone).date()
