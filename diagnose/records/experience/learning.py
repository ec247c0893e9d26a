"""What learning from closed cases did: shares by the words and as learned, ranks that changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.experience import Prior
from diagnose.knowledge.model.words import UNLISTED


@dataclass(frozen=True, slots=True)
class Share:
    """A cause's share behind a symptom: by the words, learned, and how often confirmed."""

    cause: str
    by_words: float
    learned: float
    confirmed: float


@dataclass(frozen=True, slots=True)
class RankChange:
    """A cause that stands elsewhere since the shop's own counts were used; ranks from 1."""

    cause: str
    by_words: int
    learned: int


def shares(base: Base, symptom: str, worth: float | None = None) -> tuple[Share, ...]:
    """What the words say beside what the base's experience left, in the order of `Base.priors`.

    `worth`: closed cases that the words count for, if not what the base says.
    """
    words = base.judged.priors(symptom)
    counts = base.confirmed(symptom)
    learned = base.priors(symptom) if worth is None else _plain(words, counts, worth)
    names = (*(cause.id for cause in base.behind(symptom)), UNLISTED)
    return tuple(Share(*row) for row in zip(names, words, learned, counts, strict=True))


def _plain(words: tuple[float, ...], counts: tuple[float, ...], worth: float) -> tuple[float, ...]:
    """The posterior of words that are worth so many cases, come what may."""
    if not worth > 0:
        raise ValueError(f"the strength of the words must be above 0, not {worth:g}")
    return Prior(words, worth).after((counts, sum(counts))).judged


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
