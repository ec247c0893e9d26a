"""What an apprentice has done and what it shows: cards, confused pairs, calibration, grades.

An attempt is one finished session or drill. Everything else is reckoned from the attempts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields
from datetime import UTC, datetime
from functools import cached_property
from typing import Any

from fsrs import Card

from diagnose.practice.items.bank import PracticeItem
from diagnose.practice.progress import schedule
from diagnose.practice.progress.schedule import Reviews, cause_card, causes_of, pair_card
from diagnose.practice.session.belief import Belief
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.score import Score, score
from diagnose.practice.session.session import Session
from diagnose.records.case.case_text import GRADES

CASE = "case"

SURE, HALF, GUESSED = 0.8, 0.5, 0.25
"""Beliefs from which a right cause rates 'easy' and 'good', and below which it was a guess."""

ENOUGH_AT, ENOUGH = 5, 50.0
"""The next grade opens when so many cases in a row of one earned so many points on average."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """One finished session or drill.

    `kind` is 'case' or that of a drill; `sure` the chance given to the named cause, `on_right` to
    the confirmed ones; `points` the total; `exam` the exam it belongs to, or ''.
    """

    at: str
    kind: str
    item: str
    grade: str = ""
    symptom: str = ""
    right: tuple[str, ...] = ()
    named: str = ""
    sure: float = 0.0
    on_right: float = 0.0
    points: float = 0.0
    belief_points: float = 0.0
    minutes: float = 0.0
    harms: int = 0
    remedy: str = ""
    payer: str = ""
    reviews: Reviews = field(default_factory=dict)
    exam: str = ""

    @property
    def hit(self) -> bool:
        """Whether the named cause is a confirmed one."""
        return self.named in self.right

    @property
    def moment(self) -> datetime:
        """When it was finished, in UTC."""
        return datetime.fromisoformat(self.at).astimezone(UTC)


def attempt_data(attempt: Attempt) -> dict[str, Any]:
    """An attempt as JSON says it."""
    return asdict(attempt)


def attempt_from(data: Mapping[str, Any]) -> Attempt:
    """An attempt read back; a field that a later program wrote is passed over."""
    known = {f.name: data[f.name] for f in fields(Attempt) if f.name in data}
    return Attempt(**{**known, "right": tuple(known.get("right", ()))})


@dataclass(frozen=True)
class Progress:
    """Everything that the attempts of one apprentice show."""

    attempts: tuple[Attempt, ...] = ()

    @cached_property
    def cards(self) -> Mapping[str, Card]:
        """The cards of causes and confused pairs."""
        return schedule.cards((a.moment, a.reviews) for a in self.attempts)

    @cached_property
    def cases(self) -> tuple[Attempt, ...]:
        """The sessions among the attempts."""
        return tuple(a for a in self.attempts if a.kind == CASE)

    def with_(self, attempt: Attempt) -> Progress:
        """The progress with one attempt more."""
        return Progress((*self.attempts, attempt))

    def played(self) -> Counter[str]:
        """How often each item was practised, its variants included."""
        return Counter(a.item.partition("~")[0] for a in self.cases)

    def confused(self) -> tuple[tuple[tuple[str, str], int], ...]:
        """Pairs (confirmed, named) taken for one another, the most frequent first."""
        found = Counter(_sorted(a.right[0], a.named) for a in self.cases if a.right and not a.hit)
        return tuple(sorted(found.items(), key=lambda pair: (-pair[1], pair[0])))

    def grade(self) -> str:
        """The grade to practise at: the next one opens when the one before went well, for good."""
        for grade in GRADES[:-1]:
            points = [a.points for a in self.cases if a.grade == grade]
            runs = (points[n : n + ENOUGH_AT] for n in range(len(points) - ENOUGH_AT + 1))
            if not any(sum(run) / ENOUGH_AT >= ENOUGH for run in runs):
                return grade
        return GRADES[-1]

    def calibration(self) -> tuple[BeliefBand, ...]:
        """How often the named cause was right, by how sure the apprentice was, in fifths."""
        return tuple(bands(self.cases))


@dataclass(frozen=True, slots=True)
class BeliefBand:
    """Sessions in which the named cause had such a chance: mean chance, share right, number."""

    said: float
    right: float
    count: int


def bands(attempts: Sequence[Attempt]) -> Iterable[BeliefBand]:
    """Sessions by fifths of the stated chance."""
    for fifth in range(5):
        its = [a for a in attempts if min(4, int(a.sure * 5)) == fifth]
        if its:
            said = sum(a.sure for a in its) / len(its)
            yield BeliefBand(said, sum(a.hit for a in its) / len(its), len(its))


def _sorted(one: str, other: str) -> tuple[str, str]:
    return (one, other) if one <= other else (other, one)


# From a session to an attempt


def finished(
    judge: Judge, session: Session, progress: Progress, at: datetime, exam: str = ""
) -> tuple[Attempt, Score]:
    """The attempt that a decided session amounts to, with its score."""
    assert session.decision is not None
    assert session.belief is not None
    item, decision, belief = session.item, session.decision, session.belief
    gained = score(judge, session)
    attempt = Attempt(
        at=at.astimezone(UTC).isoformat(),
        kind=CASE,
        item=item.id,
        grade=item.grade,
        symptom=item.symptom,
        right=item.right,
        named=decision.cause,
        sure=belief.get(decision.cause, 0.0),
        on_right=sum(belief.get(cause, 0.0) for cause in item.right),
        points=gained.total,
        belief_points=gained.belief,
        minutes=session.minutes(judge.base),
        harms=len(session.harms(judge.base)),
        remedy=decision.remedy,
        payer=decision.payer,
        reviews=reviews(judge, session, progress.cards),
        exam=exam,
    )
    return attempt, gained


def reviews(judge: Judge, session: Session, known: Mapping[str, Card]) -> Reviews:
    """What a session says of the cards that it touches."""
    assert session.decision is not None
    assert session.belief is not None
    item, named = session.item, session.decision.cause
    ought = judge.warranted(item, session.seen)
    main = item.right[0]
    if named not in item.right:
        return {cause_card(main): 1, pair_card(main, named): 1}
    rating = _rating(item, session.belief, ought)
    behind = set(judge.causes(item.symptom))
    told_apart = {
        card: rating
        for card in known
        if card.startswith(schedule.PAIR)
        and main in causes_of(card)
        and behind.issuperset(causes_of(card))
    }
    return {cause_card(main): rating, **told_apart}


def _rating(item: PracticeItem, belief: Belief, ought: Belief) -> int:
    """How well a right cause was known; what was only guessed is at most 'hard'."""
    sure = sum(belief.get(cause, 0.0) for cause in item.right)
    earned = sum(ought.get(cause, 0.0) for cause in item.right)
    if sure < HALF or earned < GUESSED:
        return 2
    return 4 if sure >= SURE else 3
