"""How many examples a property is tried on: all in a large campaign, a part of them in a small."""

from __future__ import annotations

from hypothesis import settings

SMALL, LARGE = 24, 150
"""Examples of a property that does not say how many it takes, in a small and a large campaign."""


def is_large() -> bool:
    """Whether this run of the tests is a large campaign (`--campaign large`)."""
    return settings.default is not None and settings.default.max_examples >= LARGE


def examples(most: int) -> int:
    """How many there are of the `most` that a large campaign takes."""
    return most if is_large() else max(5, most // 4)
