"""A belief is read as said, and its score is proper: honesty pays."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.dialogue.words import pick
from diagnose.practice.session.belief import (
    BadBelief,
    Belief,
    brier,
    evenly,
    moved,
    points,
    read_belief,
    spread,
)

USUAL = {"pulled": 0.5, "dirty": 0.3, "cold": 0.15, "unlisted": 0.05}
IDS = tuple(USUAL)
NAMES = ("Pulled to the edge", "Dirt at the edge", "Too cold", "a cause not listed here")


def named(word: str) -> str | None:
    """The cause that a word means, as both faces find it."""
    return pick(word, IDS, NAMES)


shares = st.lists(st.floats(0, 1), min_size=4, max_size=4).filter(lambda x: sum(x) > 0.01)


def as_belief(raw: list[float]) -> Belief:
    return {cause: share / sum(raw) for cause, share in zip(IDS, raw, strict=True)}


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("1 100", {"pulled": 1.0}),
        ("too cold", {"cold": 1.0}),
        ("1 70, 3 30", {"pulled": 0.7, "cold": 0.3}),
        ("pulled 60%; dirty 20", {"pulled": 0.6, "dirty": 0.2, "cold": 0.15, "unlisted": 0.05}),
        ("Dirt at the edge 50", {"dirty": 0.5, "pulled": 0.5 * 0.5 / 0.7}),
    ],
)
def test_belief_is_read_as_said(said: str, expected: dict[str, float]) -> None:
    """Numbers, names and percents are understood; the rest goes to the others as usual."""
    belief = read_belief(said, named, USUAL)
    assert sum(belief.values()) == pytest.approx(1)
    for cause, share in expected.items():
        assert belief[cause] == pytest.approx(share)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("", "say a cause and its percent"),
        ("9 50", "'9 50' names no cause here"),
        ("1 70, 2 50", "at most 100 together"),
        ("1 -5", "above 0"),
        ("1, 2", "'1' needs its percent behind it"),
        ("1 much", "'much' is no percent"),
        ("1 50, pulled 20", "has its percent already"),
        ("1 20, 2 20, 3 20, 4 20", "no cause is left for the rest"),
    ],
)
def test_what_is_no_belief_is_told_in_a_sentence(said: str, told: str) -> None:
    """A slip of the tongue is told with what to say instead."""
    with pytest.raises(BadBelief, match=told):
        read_belief(said, named, USUAL)


@given(true=shares, reported=shares)
def test_no_report_beats_the_true_belief(true: list[float], reported: list[float]) -> None:
    """In expectation over what one truly believes, reporting it earns most, anything else less."""
    honest, other = as_belief(true), as_belief(reported)
    gap = points(honest, honest) - points(other, honest)
    distance = sum((honest[c] - other[c]) ** 2 for c in IDS)
    assert gap == pytest.approx(100 * distance, abs=1e-9)
    assert gap >= -1e-9


@given(belief=shares)
def test_expected_score_is_the_mean_of_the_scores(belief: list[float]) -> None:
    """The score over what may be true is the mean of what each outcome would earn."""
    held, truth = as_belief(belief), USUAL
    each = sum(share * points(held, {cause: 1.0}) for cause, share in truth.items())
    assert points(held, truth) == pytest.approx(each)


def test_ends_of_the_scale() -> None:
    """Sure and right earns 100, sure and wrong costs 100."""
    sure = spread({"pulled": 100}, USUAL)
    assert points(sure, {"pulled": 1.0}) == pytest.approx(100)
    assert points(sure, {"cold": 1.0}) == pytest.approx(-100)
    assert brier(sure, {"pulled": 1.0}) == pytest.approx(0)


def test_bits_of_a_move() -> None:
    """From even between two to sure of one is one bit; staying is none."""
    even, sure = evenly(("a", "b")), {"a": 1.0, "b": 0.0}
    assert moved(even, sure) == pytest.approx(1)
    assert moved(even, even) == 0
