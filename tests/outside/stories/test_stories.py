"""Callbacks that were made up without sight of causes and signs: the floor of what is right."""

from __future__ import annotations

from diagnose.knowledge.base import Base
from diagnose.practice.items.trial import full
from diagnose.reasoning.diagnose import Reasoner
from tests.outside.stories.__main__ import stories


def test_every_truth_that_is_mapped_is_a_cause(base: Base) -> None:
    """No story points to a cause that is no more."""
    causes = {cause for story in stories(base) for cause in story.causes}
    assert causes <= set(base.causes)


def test_blind_stories_do_not_get_worse(base: Base) -> None:
    """With all told, more than four in five lead with their truth, most others have it among three."""
    reasoner = Reasoner(base)
    told = [full(reasoner, story.case)[0] for story in stories(base) if story.causes]
    assert len(told) >= 100
    assert sum(t.place == 1 for t in told) >= 0.82 * len(told)
    assert sum(0 < t.place <= 3 for t in told) >= 0.9 * len(told)
