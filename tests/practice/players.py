"""Scripted apprentices: an expert, a guesser, and a novice who takes two causes for one another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from random import Random

from diagnose.knowledge.model.words import UNLISTED
from diagnose.practice.items.bank import Bank, PracticeItem
from diagnose.practice.progress.plan import next_item
from diagnose.practice.progress.progress import Progress, finished
from diagnose.practice.session.belief import Belief, named_first, spread
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Decision, Session, offered

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
GAP = timedelta(minutes=25)
A_DAY = 12
"""Sessions in a day; then the next day begins."""

MOST = 30
"""Checks that an expert does at most."""

Player = Callable[[Judge, Session, Random], Session]


def moment(number: int) -> datetime:
    """When the session of a number takes place."""
    return START + timedelta(days=number // A_DAY) + (number % A_DAY) * GAP


def go_through(
    bank: Bank, judge: Judge, player: Player, sessions: int, seed: int
) -> tuple[Progress, list[str]]:
    """Let a player go through sessions as they are scheduled; what was practised and for what."""
    random = Random(seed)
    progress, chosen = Progress(), []
    for number in range(sessions):
        found = next_item(bank, judge, progress, moment(number), random)
        decided = player(judge, Session(found.item), random)
        attempt, _ = finished(judge, decided, progress, moment(number))
        progress = progress.with_(attempt)
        chosen.append(found.card)
    return progress, chosen


def settle(judge: Judge, session: Session, belief: Belief) -> Session:
    """Commit to the likeliest cause, with its first remedy and its usual payer."""
    cause = named_first(belief)
    found = judge.base.causes.get(cause)
    remedy = next(iter(found.remedies), "") if found else ""
    payer = found.responsibility.payer if found else "undecided"
    return session.think(belief).commit(Decision(cause, remedy, payer))


def look_at_all(judge: Judge, session: Session, most: int) -> Session:
    """Do the checks that the record can answer, up to a number."""
    for check in offered(judge, session):
        if len(session.looks) == most:
            break
        if check in session.item.record and check not in session.seen:
            session = session.look(judge.base, check)
    return session


def expert(judge: Judge, session: Session, random: Random) -> Session:
    """Looks at what there is, believes what it supports, decides by it."""
    session = look_at_all(judge, session, MOST)
    return settle(judge, session, judge.supported(session.item.symptom, session.seen))


def guesser(judge: Judge, session: Session, random: Random) -> Session:
    """Looks at nothing and is sure of some cause."""
    causes = judge.causes(session.item.symptom)
    return settle(
        judge, session, spread({random.choice(causes): 100}, judge.usual(session.item.symptom))
    )


class Novice:
    """Takes one cause for another until told so a few times; else as good as the expert."""

    def __init__(self, right: str, taken_for: str, learns_after: int) -> None:
        self.pair = (right, taken_for)
        self.mistakes = 0
        self._learns_after = learns_after

    def __call__(self, judge: Judge, session: Session, random: Random) -> Session:
        """Mistake the one for the other while it is not yet learnt."""
        session = look_at_all(judge, session, MOST)
        belief = dict(judge.supported(session.item.symptom, session.seen))
        right, taken_for = self.pair
        if (
            named_first(belief) == right
            and taken_for in belief
            and self.mistakes < self._learns_after
        ):
            self.mistakes += 1
            belief[right], belief[taken_for] = belief[taken_for], belief[right]
        return settle(judge, session, belief)


def easily_confused(bank: Bank, judge: Judge) -> tuple[str, str]:
    """A cause of many plain cases, and the one that most often comes second to it there."""
    plain = {cause: bank.teaching(cause, ("plain",)) for cause in bank.causes(("plain",))}
    for cause in sorted(plain, key=lambda c: (-len(plain[c]), c)):
        second = Counter(filter(None, (runner_up(judge, item, cause) for item in plain[cause])))
        if second.total() > 1:
            return cause, max(second, key=lambda c: (second[c], c))
    raise LookupError("no cause leads two plain cases")


def runner_up(judge: Judge, item: PracticeItem, cause: str) -> str | None:
    """Which cause comes second to this one in a case when all was looked at; None if it leads not."""
    seen = look_at_all(judge, Session(item), MOST).seen
    belief = judge.supported(item.symptom, seen)
    if named_first(belief) != cause:
        return None
    others = {c: p for c, p in belief.items() if c not in (cause, UNLISTED)}
    return max(others, key=lambda c: (others[c], c), default=None)
