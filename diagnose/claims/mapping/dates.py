"""What the days of a row say: of its age, of when it was first seen, and that they cannot be.

Four days may stand in a row: laid, handed over, first seen, claimed. Each is kept from its first to
its last possible day, for a cell may name a month. Terms run from the handover, else from the day
of laying; a fault was seen by the day of the claim. For checks that lie between two dates
(`between` in the rule base) this is what `knowledge.logic.dates` says of one case, for many rows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from diagnose.claims.table.days import months_between
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.measures.units import spellings_of
from diagnose.reasoning.evidence.columns import Columns, numbered

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]
Moments = NDArray[np.datetime64]

EARLIEST = np.datetime64("1990-01-01")
LONGEST = np.timedelta64(365 * 15, "D")
"""No wrap is older than this when somebody complains of it; a longer time is a slip of the pen."""

QUESTIONS: Mapping[str, str] = {
    "future": "A day lies in the future: which day is right?",
    "year": "The years are too far apart or too long ago, one must be mistyped: which is right?",
    "handed": "It was handed over before it was laid: which of the two days is right?",
    "seen": "It was seen before it was laid: which of the two days is right?",
    "claimed": "It was claimed before it was laid: which of the two days is right?",
    "age": "The age entered and the days do not fit: which of them is right?",
    "told": "It was claimed before it was first seen: which of the two days is right?",
}
"""What is asked where days cannot be."""


@dataclass(frozen=True, slots=True)
class DaySpan:
    """The first and the last possible day of each row; NaT where not known."""

    first: Moments
    last: Moments

    @property
    def known(self) -> Bools:
        """Where there is a day."""
        return ~np.isnat(self.first)

    def or_(self, other: DaySpan) -> DaySpan:
        """The day, or the other one where it is not known."""
        known = self.known
        first, last = (
            np.where(known, mine, its)
            for mine, its in ((self.first, other.first), (self.last, other.last))
        )
        return DaySpan(first, last)

    def take(self, rows: NDArray[np.intp]) -> DaySpan:
        """Some of the rows."""
        return DaySpan(self.first[rows], self.last[rows])


def nothing(rows: int) -> DaySpan:
    """No day in any row."""
    nat = np.full(rows, np.datetime64("NaT"), dtype="datetime64[D]")
    return DaySpan(nat, nat)


@dataclass(frozen=True, slots=True)
class RowDays:
    """The days of rows."""

    laid: DaySpan
    handed: DaySpan
    seen: DaySpan
    claimed: DaySpan

    @property
    def start(self) -> DaySpan:
        """From which day terms run."""
        return self.handed.or_(self.laid)

    @property
    def end(self) -> DaySpan:
        """To which day an age is counted: when it was seen, else when it was claimed."""
        return self.seen.or_(self.claimed)

    def ages(self) -> tuple[Floats, Floats]:
        """Full months from start to end, at least and at most; NaN where not known or swapped."""
        start, end = self.start, self.end
        most = months_between(start.first, end.last)
        # What is seen in the bay, before the handover, is as old as it can be: not a day.
        in_bay = (end.last < start.first) & ~(end.last < self.laid.first)
        most = np.where(in_bay, 0.0, most)
        least = months_between(start.last, end.first)
        return np.where(np.isnan(least), most * 0, least), most

    def begun(self) -> tuple[Floats, Floats]:
        """Months begun, so that the day on which a month is full still belongs to it."""
        start, end = self.start, self.end
        before = end.first - np.timedelta64(1, "D"), end.last - np.timedelta64(1, "D")
        least, most = self.ages()
        low = months_between(start.last, before[0]) + 1
        high = months_between(start.first, before[1]) + 1
        return np.where(np.isnan(low), least, low), np.where(np.isnan(high), most, high)

    def odd(self, today: date | None) -> dict[str, Bools]:
        """Where days cannot be, by the name of what is asked then."""
        now = np.datetime64(today) if today else np.datetime64("2100-01-01")
        every = (self.laid, self.handed, self.seen, self.claimed)
        future = np.logical_or.reduce([day.first > now for day in every])
        start, begun = self.start, self.laid.or_(self.handed)
        with np.errstate(invalid="ignore"):
            far = [end.first - start.last > LONGEST for end in (self.seen, self.claimed)]
        old = [day.last < EARLIEST for day in every]
        year = np.logical_or.reduce([*far, *old]) & ~future
        sane = ~future & ~year
        return {
            "future": future,
            "year": year,
            "handed": sane & (self.handed.last < self.laid.first),
            "seen": sane & (self.seen.last < begun.first),
            "claimed": sane & (self.claimed.last < begun.first),
            "told": sane & (self.claimed.last < self.seen.first),
        }

    def without(self, rows: Bools) -> RowDays:
        """The days with those of some rows forgotten."""
        nat = np.datetime64("NaT")

        def kept(its: DaySpan) -> DaySpan:
            return DaySpan(np.where(rows, nat, its.first), np.where(rows, nat, its.last))

        return RowDays(*(kept(its) for its in (self.laid, self.handed, self.seen, self.claimed)))

    def _between(self, check: Check) -> tuple[DaySpan, DaySpan] | None:
        """The two days that a check lies between; until the claim where it is not known when."""
        if check.between is None:
            return None
        spans = {"laid_on": self.laid, "handed_on": self.handed, "seen_on": self.seen}
        rows = len(self.laid.first)
        since, until = nothing(rows), nothing(rows)
        for name in check.between.since:
            since = since.or_(spans[name])
        for name in check.between.until:
            until = until.or_(spans[name])
        by_claim = DaySpan(since.first, self.claimed.last)
        there = ~np.isnat(by_claim.last)
        limit = DaySpan(np.where(there, by_claim.first, by_claim.last), by_claim.last)
        return since, until.or_(limit)


def by_dates(base: Base, columns: Columns, days: RowDays) -> Columns:
    """The columns, with what the days say of checks that nobody answered."""
    for check in base.checks.values():
        between = days._between(check)
        if between is not None:
            columns = _answered(check, columns, *between)
    return columns


def _answered(check: Check, columns: Columns, since: DaySpan, until: DaySpan) -> Columns:
    longest = (until.last - since.first).astype(np.float64)
    shortest = np.maximum((until.first - since.last).astype(np.float64), 0.0)
    nat = np.isnat(until.last) | np.isnat(since.first)
    longest[nat] = np.nan
    told = ~nat & (longest >= 0)
    match check.kind:
        case NumberKind(measured_in=unit, low=low, high=high):
            if unit == "months":
                ends = (
                    np.fmax(months_between(since.last, until.first), 0.0),
                    months_between(since.first, until.last),
                )
                ends = (np.where(np.isnan(ends[0]), 0.0, ends[0]), ends[1])
            else:
                factor, _ = spellings_of(unit)["days"]
                ends = (shortest * factor, longest * factor)
            return _numbered(check.id, columns, told, np.maximum(ends[0], low), ends[1], high)
        case ChoiceKind() | SeveralKind() as kind:
            return _chosen(check, kind, columns, told, shortest, longest)
        case _:
            assert_never(check.kind)


def _numbered(
    name: str, columns: Columns, told: Bools, low: Floats, most: Floats, high: float
) -> Columns:
    rows = columns.rows
    given = columns.numbers.get(name, (np.full(rows, np.nan),) * 2)
    upper = np.minimum(most, high)
    at = np.isnan(given[0]) & told & (low <= upper)
    if not at.any():
        return columns
    first = np.where(at, low, given[0])
    same = given[0] is given[1] and bool((low[at] == upper[at]).all())
    ends = (first, first) if same else (first, np.where(at, upper, given[1]))
    return replace(columns, numbers={**columns.numbers, name: ends})


def _chosen(
    check: Check,
    kind: ChoiceKind | SeveralKind,
    columns: Columns,
    told: Bools,
    shortest: Floats,
    longest: Floats,
) -> Columns:
    """Each row gets the answers that can be right on its days; rows with the same ones together."""
    given = columns.choices.get(check.id, np.full(columns.rows, -1, dtype=np.int16))
    at = np.flatnonzero((given < 0) & told)
    if not len(at):
        return columns
    mask = np.zeros(len(at), dtype=np.int64)
    dated = [(word, its.days) for word, its in check.answers.items() if its.days]
    for bit, (_, (first, last)) in enumerate(dated):
        mask |= ((first <= longest[at]) & (last >= shortest[at])).astype(np.int64) << bit
    distinct, back = np.unique(mask, return_inverse=True)
    values = []
    for its in distinct.tolist():
        words = [word for bit, (word, _) in enumerate(dated) if its >> bit & 1]
        values.append(kind.together(check.id, words) if words else None)
    codes, sets = numbered(kind, values, columns.sets.get(check.id, ()))
    choices = given.copy()
    choices[at] = codes[back]
    return replace(
        columns,
        choices={**columns.choices, check.id: choices},
        sets={**columns.sets, check.id: sets},
    )
