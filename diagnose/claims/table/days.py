"""Months between days, by the calendar."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Days = NDArray[np.datetime64]

FIRST, LAST = np.datetime64("1900-01-01", "D"), np.datetime64("2200-01-01", "D")
"""Days whose month is looked up, which is far faster than to reckon it; others are reckoned."""


def months_between(start: Days, end: Days) -> Floats:
    """Full months between days, by the calendar; NaN where a day is missing or they are swapped."""
    (first, day_of_first), (last, day_of_last) = _month_and_day(start), _month_and_day(end)
    _, after = _month_and_day(end + np.timedelta64(1, "D"))
    whole = (last - first).astype(np.float64)
    late = (day_of_last < day_of_first) & (after != 0)
    found = whole - late
    return np.where(np.isnat(start) | np.isnat(end) | (found < 0), np.nan, found)


def _month_and_day(days: Days) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The number of the month, and of the day in it from 0; anything where there is no day."""
    there = ~np.isnat(days)
    if ((days < FIRST) | (days >= LAST))[there].any():
        return _reckoned(days)
    months, places = _calendar()
    at = np.where(there, (days - FIRST).astype(np.int64), 0)
    return months.take(at), places.take(at)


@lru_cache(maxsize=1)
def _calendar() -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    return _reckoned(np.arange(FIRST, LAST))


def _reckoned(days: Days) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    months = days.astype("datetime64[M]")
    return months.astype(np.int64), (days - months.astype("datetime64[D]")).astype(np.int64)
