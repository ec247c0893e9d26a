"""Days of a note beside which no word says what they are the day of."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence, Set
from datetime import date

from diagnose.knowledge.words.days import Days

STARTS, JOB, CLAIMED = frozenset(("laid_on", "handed_on")), "handed_on", "claimed_on"
"""Days from which a job is counted, and as which days without a word for it count."""

SOON = 3
"""Days before today within which a day without a word is that of the claim."""


def undated(
    text: str,
    days: Sequence[Days],
    left: Set[Days],
    told: Mapping[str, Days],
    today: date,
    open_: Container[str],
) -> dict[str, Days]:
    """What days that are `left` are the day of, beside those `told` by a word.

    The first, well before all others, is that of the job; where it is `open_` when it was claimed,
    the last is that, as is one with which a note begins.
    """
    found: dict[str, Days] = {}
    if left and CLAIMED in open_ and CLAIMED not in told:
        latest = max(left, key=lambda its: its.first)
        begins = not text[: latest.start].strip(" .,;:([-")
        behind = bool(told) and all(its.first <= latest.first for its in told.values())
        if begins or behind:
            found[CLAIMED] = latest
    rest = left - {*found.values()}
    if rest and not told.keys() & STARTS:
        first = min(rest, key=lambda its: its.start)
        others = [its.first for its in days if its is not first]
        if (today - first.last).days > SOON and all(first.first <= its for its in others):
            found[JOB] = first
    return found
