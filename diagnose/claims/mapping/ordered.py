"""Columns of days whose headers say nothing: what each is the day of, by order and by gaps.

A job is laid, handed over some days later, seen to fail after months, and claimed within weeks of
that. So the last column is that of the claim; the first is that of the laying if the next follows
at once, else that of the handover.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

import polars as pl

NEARLY = 0.85
"""Share of rows in which one day lies behind the other, from which it always does."""

AT_ONCE, SOON = 14, 75
"""Days in the middle within which a car is handed over, and a claim comes in once it is seen."""

DAYS = ("laid_on", "handed_on", "seen_on", "claimed_on")

OTHER = re.compile(
    r"\b(print|lamin|paid|pay|settl|closed?|decid|decision|inspect|order|paint|resp|born|dob|due"
    r"|valid|expir|until|check|photo|repair|redo|redone|wash|quote|invoice|deliver(y|ed) of)",
    re.IGNORECASE,
)
"""Headers of days that are none of these."""


def by_order(
    days: Mapping[str, pl.Series], told: Mapping[str, str], all_days: Mapping[str, pl.Series]
) -> dict[str, str]:
    """What columns of days tell, by column: `days` those open, `told` the facts of the others."""
    open_ = [name for name in days if not OTHER.search(name)]
    free = [fact for fact in DAYS if fact not in told.values()]
    if not open_ or not free:
        return {}
    known = {fact: all_days[name] for name, fact in told.items() if fact in DAYS}
    order = _chain([*open_], days)
    found: dict[str, str] = {}
    if len(order) != len(open_) or not order:
        order = order[:1] + order[-1:] if len(order) > 1 else order
    placed = {name: days[name] for name in order}
    if "claimed_on" in free and order:
        last = placed[order[-1]]
        if all(_after(last, its) for its in known.values()):
            found[order.pop()] = "claimed_on"
    claimed = next((placed[n] for n, f in found.items() if f == "claimed_on"), None)
    claimed = known.get("claimed_on") if claimed is None else claimed
    starts = [f for f in ("laid_on", "handed_on") if f in free]
    if len(starts) == 1:
        _next_to(order, placed, starts[0], known, found)
    elif starts and order and (claimed is not None or "seen_on" in known or len(order) > 1):
        first = order[0]
        at_once = len(order) > 1 and _gap(placed[first], placed[order[1]]) <= AT_ONCE
        late = claimed is not None and _gap(placed[first], claimed) <= 0
        if not late:
            found[first] = "laid_on" if at_once else "handed_on"
            order.remove(first)
            if at_once:
                found[order.pop(0)] = "handed_on"
    if "seen_on" in free and order and claimed is not None:
        close = [n for n in order if 0 <= _gap(placed[n], claimed) <= SOON]
        if close:
            found[close[-1]] = "seen_on"
    return found


def _next_to(
    order: list[str],
    placed: Mapping[str, pl.Series],
    fact: str,
    known: Mapping[str, pl.Series],
    found: dict[str, str],
) -> None:
    """The day of laying or handover that lies at once beside the other of the two."""
    other = known["handed_on" if fact == "laid_on" else "laid_on"]
    for name in order:
        gap = _gap(placed[name], other) if fact == "laid_on" else _gap(other, placed[name])
        differ = bool((placed[name] != other).sum())
        if differ and 0 <= gap <= AT_ONCE:
            found[name] = fact
            order.remove(name)
            return


def _chain(names: list[str], days: Mapping[str, pl.Series]) -> list[str]:
    """The columns in the order of their days, without those that lie now before, now behind."""
    order: list[str] = []
    for name in sorted(names, key=lambda n: _middle(days[n])):
        if not order or _after(days[name], days[order[-1]]):
            order.append(name)
    return order


def _middle(its: pl.Series) -> float:
    found = its.drop_nulls().cast(pl.Int32).median()
    return float(found) if isinstance(found, int | float) else float("inf")


def _after(later: pl.Series, earlier: pl.Series) -> bool:
    """Whether days lie nearly always behind others, and not always on the same day."""
    share = (later >= earlier).drop_nulls().mean()
    return bool((later != earlier).sum()) and isinstance(share, float) and share >= NEARLY


def _gap(first: pl.Series, then: pl.Series) -> float:
    """Days between two columns in the middle."""
    found = (then - first).dt.total_days().drop_nulls().median()
    return float(found) if isinstance(found, int | float) else float("inf")
