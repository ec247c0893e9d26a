"""Published complaints are understood as a blind reader understood them, and no worse than before."""

from __future__ import annotations

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.words.understanding import Understanding
from tests.outside.real.entries import Half
from tests.outside.real.own_words import Compared, compared, figures, told


@pytest.fixture(scope="module")
def study(base: Base) -> list[Compared]:
    """What either of them read in the study half."""
    return list(compared(base, Understanding(base), Half("study")))


def test_most_of_what_a_reader_reads_is_proposed(study: list[Compared]) -> None:
    """Nearly six in ten of his symptoms, places and answers, in the study half."""
    assert figures(study).right >= 0.58


def test_little_of_what_is_proposed_is_wrong(study: list[Compared]) -> None:
    """Fewer than six of a hundred proposals say otherwise than the reader."""
    assert figures(study).wrong < 0.06


def test_the_judging_half_is_understood_too(base: Base) -> None:
    """Words are written for any car: entries that nobody wrote words for are understood as well."""
    found = figures(list(compared(base, Understanding(base), Half("judging"))))

    assert found.right + found.among >= 0.5
    assert found.wrong < 0.1


def test_the_cause_is_not_among_what_is_told() -> None:
    """What the source concluded, who pays and what was done is not read."""
    for entry in Half("study").entries:
        said = told(entry)

        assert said
        assert "Cause:" not in said
        assert entry.address not in said
