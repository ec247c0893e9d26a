"""Months between days, by the calendar."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def months_between(start: NDArray[np.datetime64], end: NDArray[np.datetime64]) -> Floats:
    """Full months between days, by the calendar; NaN where a day is missing or they are swapped."""
    whole = (end.astype("datetime64[M]") - start.astype("datetime64[M]")).astype(np.float64)
    late = _day_of_month(end) < _day_of_month(start)
    last = (end + np.timedelta64(1, "D")).astype("datetime64[M]") > end.astype("datetime64[M]")
    found = whole - (late & ~last)
    return np.where(np.isnat(start) | np.isnat(end) | (found < 0), np.nan, found)


def _day_of_month(days: NDArray[np.datetime64]) -> NDArray[np.float64]:
    found: NDArray[np.float64] = (
        days - days.astype("datetime64[M]").astype("datetime64[D]")
    ).astype(np.float64)
    return found
