"""Five simulated learners over the same weeks: what points, due dates, grades and exams make of them.

`python -m tests.practice.learners` writes the table anew.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from statistics import mean

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.words import UNLISTED
from diagnose.practice.items.bank import Bank
from diagnose.practice.progress import exam
from diagnose.practice.progress.plan import next_item
from diagnose.practice.progress.progress import Progress, finished
from diagnose.practice.session.belief import Belief, named_first
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Session
from diagnose.records.case.case_text import GRADES

from .players import MOST, START, guesser, look_at_all, settle

TABLE = Path(__file__).with_name("learners.txt")

DAYS, A_DAY = 15, 5
"""Three weeks of working days with five cases each."""

CAUSES = 12
"""Causes in the bank, so that each comes back often enough to be learnt or forgotten."""

EXAMS = 3

LEARNT = 3
"""Cases of a cause after which the beginner knows it."""

FORGOTTEN = timedelta(days=4)
"""Without a case of a cause for so long, the forgetful one knows it no more."""

SLIPS = 0.1
"""Share of cases in which the steady one takes the runner-up for the leader."""


class Learner:
    """One who looks at so many checks, and knows a cause or takes its runner-up for it.

    `knows` says so from how often a cause was met, how long ago, and chance.
    """

    def __init__(self, checks: int, knows: Callable[[int, timedelta | None, Random], bool]) -> None:
        self._checks = checks
        self._knows = knows
        self._met: dict[str, tuple[int, datetime]] = {}

    def __call__(self, judge: Judge, session: Session, now: datetime, random: Random) -> Session:
        """Look, believe what that supports or its twin, decide; afterwards the cause is told."""
        session = look_at_all(judge, session, self._checks)
        belief = judge.supported(session.item.symptom, session.seen)
        leader, right = named_first(belief), session.item.right[0]
        times, last = self._met.get(leader, (0, None))
        if not self._knows(times, now - last if last else None, random):
            belief = _mixed_up(belief, leader)
        self._met[right] = (self._met.get(right, (0, now))[0] + 1, now)
        return settle(judge, session, belief)


def _mixed_up(belief: Belief, leader: str) -> Belief:
    """The leader's share given to the runner-up, and the other way round."""
    others = {c: p for c, p in belief.items() if c not in (leader, UNLISTED)}
    second = max(others, key=lambda c: (others[c], c))
    return {**belief, leader: belief[second], second: belief[leader]}


def _guess(judge: Judge, session: Session, now: datetime, random: Random) -> Session:
    return guesser(judge, session, random)


Plays = Callable[[Judge, Session, datetime, Random], Session]


def learners() -> Mapping[str, Plays]:
    """All five, nobody having met anything yet; from whom most is hoped to whom least."""
    return {
        "expert": Learner(MOST, lambda times, ago, random: True),
        "steady": Learner(MOST, lambda times, ago, random: random.random() >= SLIPS),
        "forgetful": Learner(MOST, lambda times, ago, random: ago is not None and ago < FORGOTTEN),
        "beginner": Learner(6, lambda times, ago, random: times >= LEARNT),
        "guesser": _guess,
    }


@dataclass(frozen=True, slots=True)
class Row:
    """What the program makes of a learner: cases, cards and exams.

    `opened`: cases after which treacherous ones come, 0 for never; `days`: for how long a card rests
    on average when the weeks are over.
    """

    learner: str
    right: float
    points: float
    opened: int
    days: float
    passed: int


def small_bank(bank: Bank, judge: Judge) -> Bank:
    """The cases of the causes that are taught most, of those that their whole record decides."""
    sound = [item for item in bank.items.values() if judge.sound(item)]
    taught = Bank(sound)
    causes = sorted(taught.causes(), key=lambda c: (-len(taught.teaching(c)), c))[:CAUSES]
    return Bank(item for item in sound if item.right[0] in causes)


def table(bank: Bank, judge: Judge) -> tuple[Row, ...]:
    """Every learner through the same weeks and the same exams."""
    few = small_bank(bank, judge)
    papers = [exam.draw(few, judge, Random(n), f"exam{n}") for n in range(EXAMS)]
    return tuple(_row(few, judge, name, plays, papers) for name, plays in learners().items())


def _row(bank: Bank, judge: Judge, name: str, plays: Plays, papers: Sequence[exam.Exam]) -> Row:
    random, progress = Random(name), Progress()
    for number in range(DAYS * A_DAY):
        now = START + timedelta(days=number // A_DAY, minutes=25 * (number % A_DAY))
        item = next_item(bank, judge, progress, now, random).item
        decided = plays(judge, Session(item), now, random)
        progress = progress.with_(finished(judge, decided, progress, now)[0])
    end = START + timedelta(days=DAYS)
    rests = [(card.due - end).total_seconds() / 86400 for card in progress.cards.values()]
    passed = [_sits(bank, judge, plays, paper, end, random) for paper in papers]
    cases = progress.cases
    return Row(
        name,
        mean(a.hit for a in cases),
        mean(a.points for a in cases),
        _opened(progress),
        mean(max(0.0, days) for days in rests),
        sum(passed),
    )


def _opened(progress: Progress) -> int:
    """After how many cases the last grade opened; 0 where it never did."""
    found = (n for n in range(len(progress.cases) + 1) if _is_last(progress, n))
    return next(found, 0)


def _is_last(progress: Progress, cases: int) -> bool:
    return Progress(progress.cases[:cases]).grade() == GRADES[-1]


def _sits(
    bank: Bank, judge: Judge, plays: Plays, paper: exam.Exam, now: datetime, random: Random
) -> bool:
    """Whether a learner passes an exam, its cases taken as they came in."""
    progress = Progress()
    for item_id in paper.items:
        item = bank.items[item_id.partition("~")[0]]
        decided = plays(judge, Session(item), now, random)
        progress = progress.with_(finished(judge, decided, progress, now, paper.id)[0])
    return exam.result("?", paper, progress.attempts, "").passed


HEAD = "learner    right  points  treacherous after  rests  exams"


def text(rows: Sequence[Row]) -> str:
    """The table as it stands in the file."""
    lines = [
        f"{r.learner:<9} {r.right:5.0%}  {r.points:6.0f}  {_after(r):<17}  {r.days:4.1f} d"
        f"  {r.passed} of {EXAMS}"
        for r in rows
    ]
    return "\n".join((HEAD, *lines)) + "\n"


def _after(row: Row) -> str:
    return f"{row.opened} cases" if row.opened else "never"


def read(words: str) -> tuple[Row, ...]:
    """A table read back."""
    rows = []
    for line in words.splitlines()[1:]:
        name, right, points, opened, days, _, passed, *_ = line.replace(" cases", "").split()
        share, after = float(right.removesuffix("%")) / 100, int(opened.replace("never", "0"))
        rows.append(Row(name, share, float(points), after, float(days), int(passed)))
    return tuple(rows)


def main() -> None:
    """Write the table anew."""
    from diagnose.knowledge.reading.command import base_of
    from diagnose.practice.command import read_cases
    from diagnose.reasoning.diagnose import Reasoner

    base: Base = base_of(None)
    cases, _ = read_cases(Path(__file__).resolve().parents[2] / "cases", base)
    found = text(table(Bank.of(base, cases), Judge(Reasoner(base))))
    TABLE.write_text(found, encoding="utf-8")
    print(found, end="")


if __name__ == "__main__":
    main()
