"""Parts of a sum rounded so that they still add up."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor


def in_whole(parts: Sequence[float], total: int | None = None) -> list[int]:
    """Parts of a sum as whole numbers that add up to it, rounded, or to `total` beside it.

    The largest remainders are rounded up first.
    """
    whole = [floor(part) for part in parts]
    left = (round(sum(parts)) if total is None else total) - sum(whole)
    by_rest = sorted(range(len(parts)), key=lambda n: whole[n] - parts[n])
    return [number + (n in by_rest[: max(0, left)]) for n, number in enumerate(whole)]
