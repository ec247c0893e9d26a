"""Two hundred sessions each of an expert, a guesser and a novice.

The players follow the engine, so the bank is of cases that it gets right from all checks.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

import pytest

from diagnose.practice.items.bank import Bank, PracticeItem
from diagnose.practice.progress.progress import Progress
from diagnose.practice.progress.schedule import PAIR, pair_card, standing
from diagnose.practice.session.belief import named_first
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Session
from diagnose.records.case.case_text import GRADES

from .players import (
    MOST,
    Novice,
    easily_confused,
    expert,
    go_through,
    guesser,
    look_at_all,
    moment,
)

pytestmark = pytest.mark.xdist_group("sessions")

SESSIONS = 200

TIMES = 3
"""Mistakes after which the novice has learnt."""


@dataclass(frozen=True)
class Story:
    """What one player went through: progress, and the card that each session was chosen for."""

    progress: Progress
    chosen: list[str]

    @property
    def mean(self) -> float:
        """Points a session."""
        return sum(a.points for a in self.progress.cases) / len(self.progress.cases)


@pytest.fixture(scope="module")
def solvable(bank: Bank, judge: Judge) -> Bank:
    def solved(item: PracticeItem) -> bool:
        seen = look_at_all(judge, Session(item), MOST).seen
        return named_first(judge.supported(item.symptom, seen)) in item.right

    return Bank(item for item in bank.items.values() if judge.sound(item) and solved(item))


@pytest.fixture(scope="module")
def experts(solvable: Bank, judge: Judge) -> Story:
    return Story(*go_through(solvable, judge, expert, SESSIONS, seed=1))


@pytest.fixture(scope="module")
def guessers(solvable: Bank, judge: Judge) -> Story:
    return Story(*go_through(solvable, judge, guesser, SESSIONS, seed=2))


@pytest.fixture(scope="module")
def novices(solvable: Bank, judge: Judge) -> tuple[Story, Novice]:
    """A bank of ten causes, so that each comes up often enough to be mixed up."""
    pair = easily_confused(solvable, judge)
    taught = Counter(item.right[0] for item in solvable.items.values())
    kept = {*pair, *(cause for cause, _ in taught.most_common(10))}
    few = Bank(item for item in solvable.items.values() if item.right[0] in kept)
    novice = Novice(*pair, learns_after=TIMES)
    return Story(*go_through(few, judge, novice, SESSIONS, seed=3)), novice


def test_expert_beats_guesser_by_far(experts: Story, guessers: Story) -> None:
    """Who looks and weighs earns far more a session than who is sure of anything."""
    assert len(experts.progress.cases) == len(guessers.progress.cases) == SESSIONS
    assert experts.mean > 50
    assert guessers.mean < -30
    assert experts.mean - guessers.mean > 100


def test_guesses_that_hit_earn_no_more_than_those_that_miss(guessers: Story) -> None:
    """Luck does not pay: where nothing was looked at, most hits earn nothing by their belief."""
    hits = [a.belief_points for a in guessers.progress.cases if a.hit]
    assert hits
    assert sum(hits) / len(hits) < 50
    assert sorted(hits)[len(hits) // 2] < 10


def test_grades_open_for_the_expert_only(experts: Story, guessers: Story) -> None:
    """The expert comes to treacherous cases, the guesser stays with plain ones."""
    assert experts.progress.grade() == GRADES[-1]
    assert guessers.progress.grade() == GRADES[0]
    assert {a.grade for a in guessers.progress.cases} == {"plain"}
    assert {a.grade for a in experts.progress.cases} == set(GRADES)


def test_expert_is_well_calibrated_and_guesser_is_not(experts: Story, guessers: Story) -> None:
    """Of the expert's most certain answers most are right; the guesser is certain and wrong."""
    sure = experts.progress.calibration()[-1]
    assert sure.said > 0.8
    assert sure.right > 0.8
    (only,) = guessers.progress.calibration()
    assert only.said == 1
    assert only.right < 0.4


def test_confused_pair_comes_back_until_it_is_told_apart(novices: tuple[Story, Novice]) -> None:
    """The pair that the novice mixes up is practised again soon, until it is told apart."""
    story, novice = novices
    pair = pair_card(*novice.pair)
    wrong = [
        number
        for number, a in enumerate(story.progress.cases)
        if {a.named, a.right[0]} == set(novice.pair)
    ]
    assert novice.mistakes == TIMES
    assert len(wrong) >= TIMES
    assert story.progress.confused()[0][0] == tuple(sorted(novice.pair))
    again = [number for number, card in enumerate(story.chosen) if card == pair]
    for number in wrong[:TIMES]:
        assert any(number < other <= number + 8 for other in again), story.chosen[number:][:9]


def test_pair_rests_once_it_is_told_apart(novices: tuple[Story, Novice]) -> None:
    """Told apart often enough, the pair passes its learning steps and comes ever more rarely."""
    story, novice = novices
    pair = pair_card(*novice.pair)
    last = max(
        n for n, a in enumerate(story.progress.cases) if {a.named, a.right[0]} == {*novice.pair}
    )
    again = [n for n, card in enumerate(story.chosen) if card == pair and n > last]
    waits = [later - earlier for earlier, later in pairwise(again)]
    assert standing(story.progress.cards[pair], moment(SESSIONS)) in ("known", "fading")
    half = len(waits) // 2
    assert half >= 2
    assert sum(waits[half:]) / len(waits[half:]) >= 2 * sum(waits[:half]) / half


def test_expert_is_not_sent_pairs_that_were_never_confused(experts: Story) -> None:
    """Only what this apprentice took for one another is practised as a pair."""
    taken = {pair_card(*pair) for pair, _ in experts.progress.confused()}
    assert {card for card in experts.chosen if card.startswith(PAIR)} <= taken


def test_every_session_is_the_same_again(solvable: Bank, judge: Judge, guessers: Story) -> None:
    """The same seed and moments give the same cases."""
    again, chosen = go_through(solvable, judge, guesser, 12, seed=2)
    assert again.cases == guessers.progress.cases[:12]
    assert chosen == guessers.chosen[:12]
