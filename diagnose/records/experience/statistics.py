"""What closed cases tell about a shop, its materials and this tool. Pure; the seed is given."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from diagnose.records.experience.sign_worth import SignRecord
from diagnose.records.store.summary import ClosedComplaint

By = Literal["panel", "film", "lot", "installer", "symptom"]

BANDS = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0)
"""Ends of the bands of stated probability; the upper ones are narrow, for they are acted on."""

DRAWS = 1000
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class CauseCount:
    """How often a cause was confirmed in a month (like 2026-03)."""

    month: str
    cause: str
    count: int


@dataclass(frozen=True, slots=True)
class Recurring:
    """Something that comes back: on how many complaints, and the cause met most often with it."""

    by: By
    value: str
    complaints: int
    vehicles: int
    cause: str
    with_cause: int


@dataclass(frozen=True, slots=True)
class Cost:
    """What a cause cost, in the shop's own money; `unknown` complaints have no cost on file."""

    cause: str
    complaints: int
    unknown: int
    total: float
    mean: float
    most: float


@dataclass(frozen=True, slots=True)
class Band:
    """Of the conclusions stated with `low` to `high`: how many, how sure, how often right."""

    low: float
    high: float
    count: int
    said: float
    right: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """How well stated probabilities of the leading cause held.

    Brier score: mean of (probability - 1 if it was right, else 0) squared; 0 is perfect, 0.25 is
    what saying 50 % each time gives. `low` to `high` is its 95 % bootstrap interval (percentiles).
    """

    count: int
    bands: tuple[Band, ...]
    brier: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Statistics:
    """Everything that can be told from outcomes."""

    complaints: int
    vehicles: int
    months: tuple[CauseCount, ...]
    recurring: tuple[Recurring, ...]
    costs: tuple[Cost, ...]
    held: tuple[int, int]
    calibration: Calibration | None
    signs: tuple[SignRecord, ...] = ()


def statistics(
    outcomes: Sequence[ClosedComplaint], seed: int, signs: tuple[SignRecord, ...] = ()
) -> Statistics:
    """All statistics of some outcomes; `held` is how many repairs held, of how many looked at."""
    looked = [o for o in outcomes if o.held is not None]
    ways: tuple[By, ...] = ("panel", "film", "lot", "installer")
    return Statistics(
        complaints=len(outcomes),
        vehicles=len({o.case_id for o in outcomes}),
        months=causes_over_time(outcomes),
        recurring=tuple(found for by in ways for found in recurring(outcomes, by)),
        costs=costs(outcomes),
        held=(sum(bool(o.held) for o in looked), len(looked)),
        calibration=calibration(outcomes, seed),
        signs=signs,
    )


def causes_over_time(outcomes: Iterable[ClosedComplaint]) -> tuple[CauseCount, ...]:
    """How often each cause was confirmed, by month of the case; months and causes in order."""
    counts = Counter((o.month, o.cause) for o in outcomes)
    return tuple(CauseCount(*key, count) for key, count in sorted(counts.items()))


def recurring(
    outcomes: Iterable[ClosedComplaint], by: By, at_least: int = 2
) -> tuple[Recurring, ...]:
    """What has at least so many complaints, the most first; what is not known is left out."""
    groups: dict[str, list[ClosedComplaint]] = defaultdict(list)
    for outcome in outcomes:
        groups[getattr(outcome, by)].append(outcome)
    found = [_recurring(by, value, g) for value, g in groups.items() if value]
    kept = [item for item in found if item.complaints >= at_least]
    return tuple(sorted(kept, key=lambda item: (-item.complaints, item.value)))


def _recurring(by: By, value: str, group: list[ClosedComplaint]) -> Recurring:
    causes = Counter(o.cause for o in group)
    cause, count = min(causes.items(), key=lambda item: (-item[1], item[0]))
    return Recurring(by, value, len(group), len({o.case_id for o in group}), cause, count)


def costs(outcomes: Iterable[ClosedComplaint]) -> tuple[Cost, ...]:
    """The cost of callbacks by cause, the dearest in total first."""
    groups: dict[str, list[float | None]] = defaultdict(list)
    for outcome in outcomes:
        groups[outcome.cause].append(outcome.cost)
    found = [_cost(cause, values) for cause, values in groups.items()]
    return tuple(sorted(found, key=lambda cost: (-cost.total, cost.cause)))


def _cost(cause: str, values: list[float | None]) -> Cost:
    known = [value for value in values if value is not None]
    total = sum(known)
    mean = total / len(known) if known else 0.0
    return Cost(cause, len(values), len(values) - len(known), total, mean, max(known, default=0.0))


def calibration(
    outcomes: Iterable[ClosedComplaint], seed: int, draws: int = DRAWS
) -> Calibration | None:
    """How well the last conclusion before each outcome held; None where there was none."""
    import numpy as np

    asked = [o for o in outcomes if o.probability is not None]
    if not asked:
        return None
    said = np.array([o.probability for o in asked], dtype=float)
    right = np.array([o.concluded == o.cause for o in asked], dtype=float)
    errors = (said - right) ** 2
    chance = np.random.default_rng(seed)
    # One draw at a time: a table of draws times complaints would not stay small.
    means = [errors[chance.integers(0, len(errors), len(errors))].mean() for _ in range(draws)]
    tail = (1 - CONFIDENCE) / 2
    low, high = np.quantile(means, (tail, 1 - tail))
    bands = _bands(said.tolist(), right.tolist())
    return Calibration(len(asked), bands, float(errors.mean()), float(low), float(high))


def _bands(said: list[float], right: list[float]) -> tuple[Band, ...]:
    """The bands that have any conclusion; an end belongs to the band above, 1 to the last."""
    found = []
    for low, high in pairwise(BANDS):
        within = [
            (p, r)
            for p, r in zip(said, right, strict=True)
            if low <= p < high or (p == high == BANDS[-1])
        ]
        if within:
            means = (sum(column) / len(within) for column in zip(*within, strict=True))
            found.append(Band(low, high, len(within), *means))
    return tuple(found)


def by_month(months: Iterable[CauseCount]) -> Mapping[str, Mapping[str, int]]:
    """Counts by cause within month, for tables and plots."""
    found: dict[str, dict[str, int]] = defaultdict(dict)
    for item in months:
        found[item.month][item.cause] = item.count
    return found
