"""Causes and confused pairs come back when the library says that they are about to be forgotten."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from fsrs import Card, Rating, Scheduler, State

from diagnose.practice.progress import schedule
from diagnose.practice.progress.schedule import (
    cards,
    cause_card,
    causes_of,
    due,
    pair_card,
    recall,
    standing,
)

AT = datetime(2022, 11, 29, 12, 30, tzinfo=UTC)
AGAIN, HARD, GOOD, EASY = 1, 2, 3, 4


def test_intervals_of_the_published_check() -> None:
    """Good six times, again twice, good five times, each on the due day: the published days."""
    at, history, days = AT, [], []
    for rating in (GOOD,) * 6 + (AGAIN,) * 2 + (GOOD,) * 5:
        history.append((at, {"cause:x": rating}))
        card = cards(history)["cause:x"]
        assert card.last_review is not None
        days.append((card.due - card.last_review).days)
        at = card.due
    assert days == [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]


def test_stability_and_difficulty_of_the_published_check() -> None:
    """Again, then good after 0, 0, 1, 3, 8 and 21 days: the published memory state."""
    at, history = AT, []
    for rating, wait in zip((AGAIN, *(GOOD,) * 5), (0, 0, 1, 3, 8, 21), strict=True):
        at += timedelta(days=wait)
        history.append((at, {"cause:x": rating}))
    card = cards(history)["cause:x"]
    assert card.stability == pytest.approx(53.626903, abs=1e-5)
    assert card.difficulty == pytest.approx(6.357487, abs=1e-5)


@pytest.mark.parametrize(
    ("rating", "stability", "difficulty", "wait"),
    [
        (AGAIN, 0.212, 6.4133, timedelta(minutes=1)),
        (HARD, 1.2931, 5.112171, timedelta(minutes=5, seconds=30)),
        (GOOD, 2.3065, 2.118104, timedelta(minutes=10)),
        (EASY, 8.2956, 1.0, timedelta(days=8)),
    ],
)
def test_first_ratings(rating: int, stability: float, difficulty: float, wait: timedelta) -> None:
    """A first rating gives the published memory state and wait."""
    card = cards([(AT, {"cause:x": rating})])["cause:x"]
    assert card.stability == pytest.approx(stability)
    assert card.difficulty == pytest.approx(difficulty, abs=1e-5)
    assert card.due - AT == wait


@pytest.mark.parametrize(
    ("days", "stability", "chance"), [(10, 10, 0.9), (20, 10, 0.845885), (100, 10, 0.692827)]
)
def test_chance_of_recall(days: int, stability: float, chance: float) -> None:
    """The chance of recall falls along the published curve."""
    card = Card(1, State.Review, None, stability, 5.0, AT, AT)
    assert recall(card, AT + timedelta(days=days)) == pytest.approx(chance, abs=1e-6)


def test_ours_is_the_library_without_fuzzing() -> None:
    """Cards folded from reviews are those that the library itself gives, review by review."""
    library = Scheduler(enable_fuzzing=False)
    card = Card(card_id=1, due=AT)
    at, history = AT, []
    for rating in (GOOD, HARD, EASY, AGAIN, GOOD, GOOD, EASY):
        card, _ = library.review_card(card, Rating(rating), at)
        history.append((at, {"pair:a|b": rating}))
        at += timedelta(days=5)
    found = cards(history)["pair:a|b"]
    assert (found.due, found.stability, found.difficulty) == (
        card.due,
        card.stability,
        card.difficulty,
    )


def test_moments_of_any_zone_count_as_utc() -> None:
    """The same moments told in another zone give the same schedule."""
    from zoneinfo import ZoneInfo

    local = AT.astimezone(ZoneInfo("Australia/Hobart"))
    here, there = (cards([(at, {"cause:x": GOOD})]) for at in (AT, local))
    assert here["cause:x"].due == there["cause:x"].due


def test_confused_pairs_come_before_causes() -> None:
    """Of what is due, pairs come first, then what has waited longest; what is not due waits."""
    reviews = [
        (AT, {cause_card("cold"): AGAIN}),
        (AT + timedelta(minutes=1), {pair_card("pulled", "dirty"): AGAIN}),
        (AT + timedelta(minutes=2), {cause_card("dirty"): EASY}),
    ]
    found = cards(reviews)
    assert due(found, AT + timedelta(hours=1)) == ("pair:dirty|pulled", "cause:cold")
    assert causes_of("pair:dirty|pulled") == ("dirty", "pulled")
    assert schedule.soonest(found)[-1] == "cause:dirty"


def test_a_card_in_one_word() -> None:
    """Learning until it passes its steps, known while recall is likely, then fading."""
    fresh = cards([(AT, {"cause:x": GOOD})])["cause:x"]
    sure = cards([(AT, {"cause:x": EASY})])["cause:x"]
    assert standing(fresh, AT) == "learning"
    assert standing(sure, AT + timedelta(days=8)) == "known"
    assert standing(sure, AT + timedelta(days=60)) == "fading"
