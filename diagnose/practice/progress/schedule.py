"""When a cause or a confused pair of causes comes back: spaced repetition by FSRS (py-fsrs).

A card stands for a cause or for a pair that this apprentice took for one another. Cards are not
kept: they are reckoned from the reviews, so the same reviews always give the same schedule.
Fuzzing is off for the same reason; which case teaches a card is drawn anyway.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from zlib import crc32

from fsrs import Card, Rating, Scheduler, State

Reviews = Mapping[str, int]
"""For each card that a session has tried, its rating: 1 again, 2 hard, 3 good, 4 easy."""

CAUSE, PAIR = "cause", "pair"

KNOWN = 0.85
"""Chance of recall from which a cause counts as known."""


def cause_card(cause: str) -> str:
    """The name of a cause's card."""
    return f"{CAUSE}:{cause}"


def pair_card(one: str, other: str) -> str:
    """The name of the card of two causes, whichever comes first."""
    return f"{PAIR}:{'|'.join(sorted((one, other)))}"


def causes_of(card: str) -> tuple[str, ...]:
    """The causes that a card is about."""
    return tuple(card.partition(":")[2].split("|"))


def scheduler() -> Scheduler:
    """The scheduler with the published parameters, kept chance 0.9."""
    return Scheduler(enable_fuzzing=False)


def cards(reviews: Iterable[tuple[datetime, Reviews]]) -> dict[str, Card]:
    """Every card as its reviews leave it; moments are UTC, in order."""
    plan = scheduler()
    found: dict[str, Card] = {}
    for at, ratings in reviews:
        moment = at.astimezone(UTC)
        for name, rating in ratings.items():
            card = found.get(name) or Card(card_id=crc32(name.encode()), due=moment)
            found[name], _ = plan.review_card(card, Rating(rating), moment)
    return found


def due(found: Mapping[str, Card], now: datetime) -> tuple[str, ...]:
    """The cards that are due: confused pairs first, then causes, the longest overdue first."""
    late = [name for name, card in found.items() if card.due <= now]
    return tuple(sorted(late, key=lambda name: (not name.startswith(PAIR), found[name].due, name)))


def soonest(found: Mapping[str, Card]) -> tuple[str, ...]:
    """All cards, the next due first."""
    return tuple(sorted(found, key=lambda name: (found[name].due, name)))


def recall(card: Card, now: datetime) -> float:
    """The chance that what the card is about would be known now."""
    return scheduler().get_card_retrievability(card, now)


def standing(card: Card, now: datetime) -> str:
    """A card in one word: 'known', 'fading' or 'learning'."""
    if card.state is not State.Review:
        return "learning"
    return "known" if recall(card, now) >= KNOWN else "fading"


def cards_standing(found: Mapping[str, Card], now: datetime) -> dict[str, str]:
    """Each card in one word, in the order in which the cards began."""
    return {name: standing(card, now) for name, card in found.items()}
