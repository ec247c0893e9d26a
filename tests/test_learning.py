"""Learning helps and does not harm: simulated shops, seeded, with known truths.

The score is the mean logarithm of the chance that the cause of fresh complaints was given.
`python -m tests.benchmarks.learning` shows more of them as a table.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from diagnose.knowledge.base import Base
from tests.shops import KINDS, mislabelled

SYMPTOMS = ("air_bubbles", "staining")
SIZES = (20, 100, 500, 2000)
SEEDS = 2
FRESH = 1500


@dataclass(frozen=True, slots=True)
class Scores:
    """Means over symptoms and seeds, less the score of the base as judged."""

    by_size: list[float]
    wrong: float
    most: float


def _scores(base: Base, kind: str) -> Scores:
    found = []
    for symptom in SYMPTOMS:
        for seed in range(SEEDS):
            chance = np.random.default_rng(seed)
            shop = KINDS[kind](base, symptom, chance)
            fresh = shop.complaints(FRESH, chance)
            closed = shop.complaints(max(SIZES), chance)
            wrong = mislabelled(shop, closed, 0.1, chance)
            scores = [shop.score(shop.learned(closed[:size]), fresh) for size in SIZES]
            scores += [shop.score(shop.learned(wrong), fresh)]
            scores += [shop.score(shop.best[0], fresh, shop.best[1])]
            found.append(np.array(scores) - shop.score(shop.believed, fresh))
    *by_size, wrong_labels, most = np.mean(found, axis=0)
    return Scores(by_size, wrong_labels, most)


@pytest.fixture(scope="module", params=list(KINDS))
def scores(request: pytest.FixtureRequest, base: Base) -> Scores:
    """The scores of shops that differ in one way, or not at all."""
    return _scores(base, request.param)


@pytest.mark.xdist_group("shops")
def test_learning_never_costs_more_than_a_hundredth(scores: Scores) -> None:
    """However few the outcomes, and where the base was right all along."""
    assert min(scores.by_size) >= -0.01


@pytest.mark.xdist_group("shops")
def test_more_outcomes_teach_more(scores: Scores) -> None:
    """Each further batch leaves the score as good or better, but for a hundredth."""
    for fewer, more in zip(scores.by_size, scores.by_size[1:], strict=False):
        assert more >= fewer - 0.01


@pytest.mark.xdist_group("shops")
def test_two_thousand_outcomes_come_near_to_the_truth(scores: Scores) -> None:
    """Of what could be gained at most, three fifths are, and a hundredth is as good as all.

    Least where every row of every rare cause differs a little: of these there are few cases yet.
    """
    assert scores.by_size[-1] >= min(0.6 * scores.most, scores.most - 0.01)


@pytest.mark.xdist_group("shops")
def test_wrong_labels_do_not_turn_it(scores: Scores) -> None:
    """With one label in ten wrong it costs nothing that counts, and most of the gain stays."""
    assert scores.wrong >= -0.01
    assert scores.wrong >= 0.75 * scores.by_size[-1] - 0.01
