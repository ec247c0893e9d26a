"""Days in a text: laid on 12 October, handed over 14.11., fitted 05/2025, last week, in spring.

What a day leaves open stays open: a month has a first and a last day. Without a year it is the
latest that has begun. Of two numbers the first is the day, unless that lies ahead or cannot be;
where both ways can be, the day is not sure.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from diagnose.knowledge.logic.answers import Answer
from diagnose.knowledge.logic.dates import possible
from diagnose.knowledge.model import Check, Wording
from diagnose.knowledge.model.kinds import NumberKind
from diagnose.measures.quantity import Quantity

MONTH = 365.25 / 12
"""Days of a month on average."""

CENTURY = 2000
"""What a year of two digits lies behind."""

LETTERS = 3
"""Letters by which a month may be written short."""

LAST_YEARS = 12
"""Years before today that two figures behind a month's name may be."""

QUARTER = 3
"""Months of a season."""

MONTHS = 12
"""Months of a year."""


@dataclass(frozen=True, slots=True)
class Days:
    """A day or a stretch of days, and where it stands in the text."""

    start: int
    end: int
    first: date
    last: date
    sure: bool = True


class DayReader:
    """Reads the days of a text with the months, seasons and words for days that the rules have."""

    def __init__(self, wording: Wording) -> None:
        self._months = {
            name[:LETTERS].casefold(): number for number, name in enumerate(wording.months, 1)
        }
        self._seasons = {name.casefold(): month for name, month in wording.seasons.items()}
        self._lately = {words.casefold(): days for words, days in wording.lately.items()}
        self._pattern = _pattern(wording)
        self._short = _short(wording)

    def read_short(self, text: str, today: date) -> Iterator[Days]:
        """Every day of a text in which numbers are days: 20/1, 4/22, nov 22, W38/23 too.

        Where the second number can be no month, or is a year of the last ones behind a month's
        name, it is the year.
        """
        taken = []
        for found in self._short.finditer(text):
            its = self._of_short(found, today)
            if its is not None and its[0] <= today:
                taken.append(Days(found.start(), found.end(), its[0], min(its[1], today)))
        yield from taken
        for days in self.read(text, today):
            if not any(days.start < its.end and its.start < days.end for its in taken):
                yield days

    def _of_short(self, found: re.Match[str], today: date) -> tuple[date, date] | None:
        its = {name: text for name, text in found.groupdict().items() if text}
        if "week" in its:
            return _week(int(its["week"]), _year(its["week_year"]) or today.year)
        if "name" in its:
            year = int(its["year"])
            if not today.year - CENTURY - LAST_YEARS <= year <= today.year - CENTURY:
                return None
            return _months(self._months[its["name"][:LETTERS].casefold()], 1, CENTURY + year, today)
        one, two = int(its["one"]), int(its["two"])
        if two > MONTHS:
            plain = 1 <= one <= MONTHS and two <= today.year - CENTURY
            return _months(one, 1, CENTURY + two, today) if plain else None
        return _day(one, two, None, today)

    def read(self, text: str, today: date) -> Iterator[Days]:
        """Every day of a text that has begun."""
        for found in self._pattern.finditer(text):
            its = self._days(found, today)
            if its is not None and its[0] <= today:
                first, last, sure = its
                yield Days(found.start(), found.end(), first, min(last, today), sure)

    def _days(self, found: re.Match[str], today: date) -> tuple[date, date, bool] | None:
        """First and last day of what was found, and whether it can be nothing else."""
        its = {name: text for name, text in found.groupdict().items() if text}
        if "lately" in its:
            least, most = self._lately[" ".join(its["lately"].casefold().split())]
            return today - timedelta(days=most), today - timedelta(days=least), True
        if "season" in its:
            month = self._seasons[its["season"].casefold()]
            return _surely(_months(month, QUARTER, _year(its.get("season_year")), today))
        if "one" in its:
            return _either(int(its["one"]), int(its["two"]), _year(its.get("year")), today)
        month = self._month(its)
        day = next((int(its[name]) for name in ("iso_day", "day", "after") if name in its), 0)
        year = next((_year(its[name]) for name in its if name.endswith("_year")), None)
        if not 1 <= month <= MONTHS:
            return None
        return _surely(_day(day, month, year, today) if day else _months(month, 1, year, today))

    def _month(self, its: dict[str, str]) -> int:
        number = its.get("iso_month") or its.get("of_month")
        name = next((its[key] for key in ("name", "called", "alone") if key in its), "")
        return int(number) if number else self._months[name[:LETTERS].casefold()]


def _surely(days: tuple[date, date] | None) -> tuple[date, date, bool] | None:
    return (*days, True) if days else None


def _year(text: str | None) -> int | None:
    if text is None:
        return None
    year = int(text.strip("'’"))
    return year if year > CENTURY else CENTURY + year


def _either(one: int, two: int, year: int | None, today: date) -> tuple[date, date, bool] | None:
    """The day of two numbers, the first of which is the day unless that cannot be."""
    ways = [d for d in (_day(one, two, year, today), _day(two, one, year, today)) if d]
    past = [days for days in ways if days[0] <= today]
    return (*past[0], len(set(past)) == 1) if past else None


def _day(day: int, month: int, year: int | None, today: date) -> tuple[date, date] | None:
    """A day; of one without a year the latest that has come."""
    for its in (year,) if year else (today.year, today.year - 1):
        try:
            found = date(its, month, day)
        except ValueError:
            continue
        if year or found <= today:
            return found, found
    return None


def _months(month: int, count: int, year: int | None, today: date) -> tuple[date, date]:
    """So many months from one on; without a year the latest that have begun."""
    its = year or today.year - (month > today.month)
    later, end = divmod(month + count - 2, MONTHS)
    last = date(its + later, end + 1, monthrange(its + later, end + 1)[1])
    return date(its, month, 1), last


def _pattern(wording: Wording) -> re.Pattern[str]:
    """All the ways to write a day, the longest first."""
    names = "|".join(
        rf"{re.escape(name)}|{re.escape(name[:LETTERS])}t?\b\.?" for name in wording.months
    )
    name = rf"(?:{names or '(?!)'})"
    seasons = "|".join(map(re.escape, wording.seasons)) or "(?!)"
    lately = "|".join(re.escape(w).replace(r"\ ", r"\s+") for w in wording.lately) or "(?!)"
    year = r"(?:\d{4}|['’]\d\d)\b"
    before = r"(?:\b(?:in|since|of|from|mid|early|late|last|this)\s+)"
    nth = r"(?:st|nd|rd|th)?"
    return re.compile(
        r"(?<![\w.,/-])(?:"
        r"(?P<iso_year>\d{4})-(?P<iso_month>\d\d)(?:-(?P<iso_day>\d\d))?(?![\w-])"
        r"|(?P<one>\d{1,2})(?P<part>[./-])(?P<two>\d{1,2})(?:(?P=part)(?P<year>\d{4}|\d\d)\b|(?=\.(?!\d)))"
        r"|(?P<of_month>\d{1,2})/(?P<of_year>\d{4})\b"
        rf"|(?P<day>\d{{1,2}}){nth}\s+(?:of\s+)?(?P<name>{name})(?![a-z])(?:\s+(?P<name_year>{year}))?"
        rf"|(?P<called>{name})\s+(?P<after>\d{{1,2}})(?!\d){nth}(?:,?\s+(?P<after_year>\d{{4}})\b)?"
        rf"|(?:{before}(?=(?:{name})(?![a-z]))|(?=(?:{name})\s+{year}))(?P<alone>{name})(?![a-z])"
        rf"(?:\s+(?P<alone_year>{year}))?"
        rf"|(?:{before}(?=(?:{seasons})\b)|(?=(?:{seasons})\s+{year}))(?P<season>{seasons})\b"
        rf"(?:\s+(?:of\s+)?(?P<season_year>{year}))?"
        rf"|(?P<lately>(?:{lately})\b))",
        re.IGNORECASE,
    )


def _short(wording: Wording) -> re.Pattern[str]:
    """Days as notes have them: of two numbers, a month and two figures of a year, a week."""
    names = "|".join(
        rf"{re.escape(name)}|{re.escape(name[:LETTERS])}t?\b\.?" for name in wording.months
    )
    return re.compile(
        r"(?<![\w.,/-])(?:"
        r"(?P<one>\d{1,2})/(?P<two>\d{1,2})(?![\w/]|[.,]\d|\s*(?:\"|in\b|inch|mm\b|cm\b))"
        rf"|(?<!\d\s)(?<!\d)(?P<name>{names or '(?!)'})\s+['’]?(?P<year>\d\d)(?![\w:]|[.,]\d)"
        r"|(?:w|wk|week|kw)\.?\s?(?P<week>\d{1,2})\s?[/-]\s?(?P<week_year>\d{4}|\d\d)\b"
        r")",
        re.IGNORECASE,
    )


def _week(number: int, year: int) -> tuple[date, date] | None:
    try:
        return date.fromisocalendar(year, number, 1), date.fromisocalendar(year, number, 7)
    except ValueError:
        return None


def lies_between(check: Check, told: Mapping[str, Days], today: date) -> Answer | None:
    """What days that were told say of a check; an age runs to today where nobody saw it before."""
    if check.between is None:
        return None
    since = next((told[name] for name in check.between.since if name in told), None)
    until = next((told[name] for name in check.between.until if name in told), None)
    kind = check.kind
    if until is None and isinstance(kind, NumberKind):
        until = Days(0, 0, today, today)
    if since is None or until is None or until.last < since.first:
        return None
    shortest, longest = max(0, (until.first - since.last).days), (until.last - since.first).days
    if isinstance(kind, NumberKind):
        per = MONTH if kind.measured_in == "months" else 1.0
        return Quantity(round(shortest / per, 1), round(longest / per, 1))
    words = [w for w in possible(check, shortest, longest) if w in (check.ordered or (w,))]
    return kind.together(check.id, words) if words else None
