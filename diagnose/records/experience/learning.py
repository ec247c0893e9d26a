"""Learning from outcomes: a shop's own counts move the shares of causes behind a symptom.

The shares in the rule base are a Dirichlet prior: they count as `strength` callbacks seen before,
and each confirmed cause counts as one more. The learned share is the mean of the posterior.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.records.case.journal import UNLISTED
from diagnose.records.store.summary import ClosedComplaint

STRENGTH = 40.0
"""Callbacks that the rule base's words count for, unless the shop says otherwise; a judgement."""


@dataclass(frozen=True, slots=True)
class Share:
    """A cause's share behind a symptom: by the words, in this shop, and how often confirmed."""

    cause: str
    by_words: float
    learned: float
    confirmed: int


@dataclass(frozen=True, slots=True)
class RankChange:
    """A cause that stands elsewhere since the shop's own counts were used; ranks from 1."""

    cause: str
    by_words: int
    learned: int


def confirmed_causes(outcomes: Iterable[ClosedComplaint], symptom: str) -> Counter[str]:
    """How often each cause was confirmed behind a symptom."""
    return Counter(o.cause for o in outcomes if o.symptom == symptom)


def learned_priors(
    base: Base, symptom: str, confirmed: Mapping[str, int], strength: float = STRENGTH
) -> tuple[float, ...]:
    """Shares in the order of `Base.priors(symptom)`, summing to one.

    A confirmed cause that the base does not list behind the symptom counts for the unlisted one.
    Raises ValueError where the strength is not above zero.
    """
    if not strength > 0:
        raise ValueError(f"the strength of the words must be above 0, not {strength:g}")
    counts = _counts(base, symptom, confirmed)
    total = strength + sum(counts)
    priors = base.priors(symptom)
    return tuple((strength * p + n) / total for p, n in zip(priors, counts, strict=True))


def shares(
    base: Base, symptom: str, confirmed: Mapping[str, int], strength: float = STRENGTH
) -> tuple[Share, ...]:
    """What the words say beside what was learned, in the order of `Base.priors`."""
    names = (*(cause.id for cause in base.behind(symptom)), UNLISTED)
    learned = learned_priors(base, symptom, confirmed, strength)
    columns = (names, base.priors(symptom), learned, _counts(base, symptom, confirmed))
    return tuple(Share(*row) for row in zip(*columns, strict=True))


def rank_changes(
    by_words: Mapping[str, float], learned: Mapping[str, float]
) -> tuple[RankChange, ...]:
    """The causes whose rank among probabilities differs, the highest learned rank first.

    Both mappings have the same causes; of equal probabilities the one named first leads.
    """
    before, after = _ranks(by_words), _ranks(learned)
    moved = [RankChange(c, before[c], after[c]) for c in by_words if before[c] != after[c]]
    return tuple(sorted(moved, key=lambda change: change.learned))


def _ranks(probabilities: Mapping[str, float]) -> dict[str, int]:
    ordered = sorted(probabilities, key=lambda cause: -probabilities[cause])
    return {cause: rank for rank, cause in enumerate(ordered, 1)}


def _counts(base: Base, symptom: str, confirmed: Mapping[str, int]) -> tuple[int, ...]:
    listed = [confirmed.get(cause.id, 0) for cause in base.behind(symptom)]
    return (*listed, sum(confirmed.values()) - sum(listed))
