"""A case being practised: what was looked at, what was believed, what was decided.

Pure: every act gives a new session. It is kept and read back as plain data, so that an apprentice
who leaves goes on where they were.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer, Answers, known
from diagnose.knowledge.soundness.walk import reached
from diagnose.practice.items.bank import PracticeItem
from diagnose.practice.session.belief import Belief
from diagnose.practice.session.judge import Judge
from diagnose.reasoning.questions.question import Asked, askable


class NotNow(ValueError):
    """A check that cannot be done now; the message says why."""


@dataclass(frozen=True, slots=True)
class CheckDone:
    """A check that was done, with what the record answered."""

    check: str
    answer: Answer


@dataclass(frozen=True, slots=True)
class Thought:
    """What was believed after so many looks."""

    after: int
    belief: Belief


@dataclass(frozen=True, slots=True)
class Decision:
    """What the apprentice commits to; `payer` and `remedy` may be '' for the unlisted cause."""

    cause: str
    remedy: str
    payer: str


@dataclass(frozen=True, slots=True)
class Session:
    """One apprentice at one item; ends with a decision."""

    item: PracticeItem
    looks: tuple[CheckDone, ...] = ()
    thoughts: tuple[Thought, ...] = ()
    decision: Decision | None = None

    @property
    def seen(self) -> Answers:
        """Everything that is known so far."""
        return self.seen_after(len(self.looks))

    def seen_after(self, looks: int) -> Answers:
        """What was known after so many looks."""
        return {**self.item.given, **{look.check: look.answer for look in self.looks[:looks]}}

    @property
    def belief(self) -> Belief | None:
        """The last stated belief."""
        return self.thoughts[-1].belief if self.thoughts else None

    def minutes(self, base: Base) -> float:
        """Working minutes of all checks done."""
        return sum(base.checks[look.check].minutes for look in self.looks)

    def harms(self, base: Base) -> tuple[str, ...]:
        """The checks done that harm film or paint."""
        return tuple(k.check for k in self.looks if base.checks[k.check].harm != "none")

    def look(self, base: Base, check: str) -> Session:
        """Do a check; the record answers. Raises NotNow."""
        if check not in base.checks:
            raise NotNow(f"there is no check '{check}'")
        if check in self.seen:
            raise NotNow(f"{base.checks[check].name}: that is known already")
        if not askable(base, base.checks[check], self.asked):
            raise NotNow(f"{base.checks[check].name}: it makes no sense with what is known so far")
        return replace(self, looks=(*self.looks, CheckDone(check, self.item.answer(check))))

    def think(self, belief: Belief) -> Session:
        """State a belief."""
        return replace(self, thoughts=(*self.thoughts, Thought(len(self.looks), belief)))

    def commit(self, decision: Decision) -> Session:
        """Decide; raises NotNow where no belief was stated."""
        if not self.thoughts:
            raise NotNow("say first what you believe, as percent for one or several causes")
        return replace(self, decision=decision)

    @property
    def asked(self) -> Asked:
        """What is known and what need not be asked, as reasoning takes it."""
        return Asked(known(self.seen), frozenset(self.seen))


def offered(judge: Judge, session: Session) -> tuple[str, ...]:
    """Checks worth offering: those that say something of any cause here or stand in the record."""
    base, item = judge.base, session.item
    spoken = speaking(base, item.symptom)
    return tuple(
        name
        for name, check in base.checks.items()
        if (name in spoken or name in item.record)
        and name not in base.symptoms[item.symptom].shows
        and askable(base, check, session.asked)
    )


def remedies_offered(base: Base, item: PracticeItem) -> tuple[str, ...]:
    """Remedies to choose from, by name: those of any cause here, and those that make one worse."""
    causes = base.behind(item.symptom)
    found = {remedy for cause in causes for remedy in cause.remedies}
    found |= {never.remedy for cause in causes for never in cause.never}
    found |= {item.outcome.remedy} & set(base.remedies)
    return tuple(sorted(found, key=lambda remedy: base.remedies[remedy].name))


def speaking(base: Base, symptom: str) -> frozenset[str]:
    """The checks that any sign of a cause behind a symptom rests on, measures resolved."""
    whens = [s.when for cause in base.behind(symptom) for s in base.signs(cause, symptom)]
    whens += [o.when for cause in base.behind(symptom) for o in base.rule_outs(cause, symptom)]
    waiting = [subject for when in whens for subject in when.subjects()]
    return reached(base, waiting) & set(base.checks)


# Kept and read back


def session_data(session: Session) -> dict[str, Any]:
    """A session as JSON says it; the answers are not in it, for the item has them."""
    return {
        "item": session.item.id,
        "looks": [look.check for look in session.looks],
        "thoughts": [[t.after, dict(t.belief)] for t in session.thoughts],
    }


def session_from(data: Mapping[str, Any], item: PracticeItem) -> Session:
    """An undecided session read back, given its item."""
    looks = tuple(CheckDone(check, item.record.get(check, UNKNOWN)) for check in data["looks"])
    thoughts = tuple(Thought(after, dict(belief)) for after, belief in data["thoughts"])
    return Session(item, looks, thoughts)
