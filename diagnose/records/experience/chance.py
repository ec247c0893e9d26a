"""How sure a count is: an interval for a share, and whether a count is more than chance."""

from __future__ import annotations

from math import comb, sqrt

Z = 1.959963984540054
"""Normal quantile of a two-sided 95 % interval."""


def interval(count: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a share after Wilson (1927); 0 to 1 of nothing."""
    if not of:
        return 0.0, 1.0
    share, square = count / of, Z * Z
    middle = (share + square / (2 * of)) / (1 + square / of)
    half = Z / (1 + square / of) * sqrt(share * (1 - share) / of + square / (4 * of * of))
    return max(0.0, middle - half), min(1.0, middle + half)


def excess(count: int, drawn: int, marked: int, whole: int) -> float:
    """The chance of so many marked ones or more among some drawn (Fisher's exact test, one side).

    `count` of the `drawn` are marked, and `marked` of the `whole` are.
    """
    ways = comb(whole, drawn)
    most = min(drawn, marked)
    found = sum(comb(marked, k) * comb(whole - marked, drawn - k) for k in range(count, most + 1))
    return float(found / ways)
