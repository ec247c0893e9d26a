"""Belief as a spread over causes, read from what a person says, and its proper score.

The score is the quadratic one (Brier 1950, over several classes): 100·(1 − Σ(pᵢ − oᵢ)²), from −100
(sure and wrong) to 100 (sure and right). It is strictly proper: whoever reports what they truly
believe expects more than by any other report. It is bounded, so that a cause given no chance at
all costs much, but not everything, as it would by the logarithm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from math import log2

Belief = Mapping[str, float]
"""Probability of each cause of a symptom, the unlisted one among them; sums to one."""


class BadBelief(ValueError):
    """Words that are no spread; the message says what would be one."""


def spread(named: Mapping[str, float], usual: Belief) -> Belief:
    """Percent for some causes; the rest goes to the others by how common they are.

    Raises BadBelief where the percents are negative, over 100 in all, or leave a rest over that
    no other cause can take.
    """
    total = sum(named.values())
    if any(percent < 0 for percent in named.values()) or not 0 < total <= 100.0001:
        raise BadBelief("the percents must be above 0 and at most 100 together")
    rest = max(0.0, 100 - total)
    others = {cause: share for cause, share in usual.items() if cause not in named}
    room = sum(others.values())
    if rest > 0.0001 and not room:
        raise BadBelief(f"the percents add up to {total:g}: no cause is left for the rest")
    shared = {cause: rest * share / room for cause, share in others.items()} if room else {}
    both = {**shared, **named}
    whole = sum(both.values())
    return {cause: both.get(cause, 0.0) / whole for cause in usual}


def read_belief(text: str, pick: Callable[[str], str | None], usual: Belief) -> Belief:
    """A spread from words such as '3 70, 5 20', or one cause by itself, which is all of it.

    `pick` finds the cause that a word or number means. Raises BadBelief.
    """
    parts = [part.split() for part in text.replace(";", ",").split(",") if part.strip()]
    if not parts:
        raise BadBelief("say a cause and its percent, such as '3 70, 5 20'")
    named: dict[str, float] = {}
    for words in parts:
        cause, percent = _part(words, pick, alone=len(parts) == 1)
        if cause in named:
            raise BadBelief(f"'{' '.join(words)}': this cause has its percent already")
        named[cause] = percent
    return spread(named, usual)


def _part(words: list[str], pick: Callable[[str], str | None], alone: bool) -> tuple[str, float]:
    whole = " ".join(words)
    cause = pick(whole)
    if cause is not None:
        if alone:
            return cause, 100.0
        raise BadBelief(f"'{whole}' needs its percent behind it")
    cause = pick(" ".join(words[:-1])) if len(words) > 1 else None
    if cause is None:
        raise BadBelief(f"'{whole}' names no cause here: use its number or its name")
    try:
        return cause, float(words[-1].removesuffix("%"))
    except ValueError:
        raise BadBelief(f"'{words[-1]}' is no percent") from None


def brier(belief: Belief, truth: Belief) -> float:
    """Σ(pᵢ − oᵢ)², from 0 to 2, in expectation over what may be true."""
    same = sum(p * truth.get(cause, 0.0) for cause, p in belief.items())
    return sum(p * p for p in belief.values()) - 2 * same + 1


def points(belief: Belief, truth: Belief) -> float:
    """The proper score of a belief, in expectation over what may be true: −100 to 100."""
    return 100 * (1 - brier(belief, truth))


def moved(before: Belief, after: Belief) -> float:
    """How far a belief has moved, in bits (relative entropy of the new one to the old)."""
    return sum(p * log2(p / before[cause]) for cause, p in after.items() if p > 0)


def named_first(belief: Belief) -> str:
    """The likeliest cause; of equals the first by name."""
    return min(belief, key=lambda cause: (-belief[cause], cause))


def evenly(causes: Iterable[str]) -> Belief:
    """The same share for each."""
    listed = tuple(dict.fromkeys(causes))
    return {cause: 1 / len(listed) for cause in listed}
