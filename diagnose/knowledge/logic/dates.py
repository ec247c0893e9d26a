"""What the dates of a record say of a check: how old the wrap was, how soon it was first seen.

A check says between which dates it lies (`between`), and of its answers on which days each can be
right. Dates are facts: they answer a check that nobody answered, as far as they can, and speak up
where an answer does not fit them. A date may be a day, a month or a year; what it leaves open
stays open in the answer.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import assert_never

from diagnose.knowledge.logic.answers import Answer, Answers, Unknown, says
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.knowledge.model.values import AllOfThese, OneOfThese, Value
from diagnose.measures.quantity import Quantity
from diagnose.measures.units import spellings_of

DATES: Mapping[str, str] = {
    "laid_on": "Laid on",
    "handed_on": "Handed over on",
    "seen_on": "First seen on",
}
"""The facts that are dates, with their names."""

_DATE = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?")
_SWAPPED = "It was seen before it was laid: one of the two days must be wrong."


@dataclass(frozen=True, slots=True)
class DateConflict:
    """Dates that do not fit each other or an answer; `seen`: each as (name, words)."""

    subject: str
    because: str
    seen: tuple[tuple[str, str], ...]


def days_of(text: str) -> tuple[date, date] | None:
    """First and last day of a date such as 2026-03-14, 2026-03 or 2026; None if it is none."""
    found = _DATE.fullmatch(text.strip())
    if not found:
        return None
    year, month, day = (int(part) if part else None for part in found.groups())
    assert year is not None
    try:
        first = date(year, month or 1, day or 1)
    except ValueError:
        return None
    if day:
        return first, first
    last = month or 12
    return first, date(year, last, monthrange(year, last)[1])


def dated(checks: Mapping[str, Check], facts: Mapping[str, str], answers: Answers) -> Answers:
    """The answers, with what the dates say of checks that nobody answered or could tell."""
    found = dict(answers)
    for check in checks.values():
        if check.between and isinstance(found.get(check.id), Unknown | None):
            value = bounded(check, facts)
            if value is not None:
                found[check.id] = value
    return found


def bounded(check: Check, facts: Mapping[str, str]) -> Value | None:
    """What the dates leave of a check; None where they are not there or say nothing."""
    ends = _ends(check, facts)
    if ends is None or ends.longest < 0:
        return None
    kind = check.kind
    match kind:
        case NumberKind():
            its = ends.number(kind.measured_in)
            low, high = max(its.low, kind.low), min(its.high, kind.high)
            return Quantity(low, high) if low <= high else None
        case ChoiceKind() | SeveralKind():
            words = possible(check, ends.shortest, ends.longest)
            return kind.together(check.id, words) if words else None
        case _:
            assert_never(kind)


def conflicts(
    checks: Mapping[str, Check], facts: Mapping[str, str], answers: Answers
) -> Iterator[DateConflict]:
    """Answers that do not fit the dates, and dates that do not fit each other."""
    told = [(c, ends, answers.get(c.id)) for c in checks.values() if (ends := _ends(c, facts))]
    swapped = {ends.seen: check.id for check, ends, _ in reversed(told) if ends.longest < 0}
    if not any(_was_early(check, ends, answer) for check, ends, answer in told):
        yield from (DateConflict(check, _SWAPPED, seen) for seen, check in swapped.items())
    for check, ends, answer in told:
        if answer is not None and ends.longest >= 0 and not _fits(check, ends, answer):
            because = (
                f"What was answered to '{check.name}' and the two days do not fit: one of them must"
                " be wrong."
            )
            yield DateConflict(check.id, because, ((check.name, says(check, answer)), *ends.seen))


def _was_early(check: Check, ends: _Ends, answer: Answer | None) -> bool:
    """Whether it was answered that it was there before the first of the two days."""
    if ends.longest >= 0 or answer is None or isinstance(answer, Quantity | Unknown):
        return False
    return _fits(check, ends, answer)


def _fits(check: Check, ends: _Ends, answer: Answer) -> bool:
    """Whether an answer can be right with these dates; a number within one of its unit.

    What was seen on a day may have been there before, so only an answer that begins later is wrong.
    """
    match answer:
        case Unknown():
            return True
        case Quantity(low=low, high=high):
            its = ends.number(check.unit)
            return low <= its.high + 1 and high >= its.low - 1
        case str() | OneOfThese() | AllOfThese():
            given = [check.answers[check.labels[code]].days for code in check.kind.codes(answer)]
            return any(days is None or days[0] <= ends.longest for days in given) or not given
        case _:
            assert_never(answer)


def possible(check: Check, shortest: float, longest: float) -> list[Value]:
    """The answers that can be right so many days after: at the least, and at the most."""
    return [
        word
        for word, answer in check.answers.items()
        if answer.days and answer.days[0] <= longest and answer.days[1] >= shortest
    ]


@dataclass(frozen=True, slots=True)
class _Ends:
    """Two dates, each from its first to its last possible day; `seen`: both as (name, words)."""

    since: tuple[date, date]
    until: tuple[date, date]
    seen: tuple[tuple[str, str], ...]

    @property
    def shortest(self) -> int:
        """The fewest days that can lie between them; none where they overlap."""
        return max(0, (self.until[0] - self.since[1]).days)

    @property
    def longest(self) -> int:
        """The most days that can lie between them; negative where they are swapped."""
        return (self.until[1] - self.since[0]).days

    def number(self, unit: str) -> Quantity:
        """The time between them; months by the calendar and full, other units from days."""
        if unit == "months":
            first = full_months(self.since[1], self.until[0])
            return Quantity(max(0, first), full_months(self.since[0], self.until[1]))
        factor, _ = spellings_of(unit)["days"]
        return Quantity(self.shortest * factor, self.longest * factor)


def _ends(check: Check, facts: Mapping[str, str]) -> _Ends | None:
    if check.between is None:
        return None
    names = [
        next((name for name in side if days_of(facts.get(name, ""))), None)
        for side in (check.between.since, check.between.until)
    ]
    since, until = names
    if since is None or until is None:
        return None
    days = {name: days_of(facts[name]) for name in (since, until)}
    seen = tuple((DATES[name], facts[name]) for name in (since, until))
    first, last = days[since], days[until]
    assert first is not None
    assert last is not None
    return _Ends(first, last, seen)


def full_months(start: date, end: date) -> int:
    """Full months between two days, by the calendar."""
    whole = 12 * (end.year - start.year) + end.month - start.month
    last_of_month = (end + timedelta(days=1)).month != end.month
    return whole - (end.day < start.day and not last_of_month)
