"""What a session earns: belief by a proper rule, the decision, minutes and harm; nothing for luck.

A belief is scored in expectation over what the evidence seen supports, not by how this one case
happened to end. The part that the outcome added or took is told as luck and counts for nothing. One
thing only the outcome decides: naming the right cause never costs, however little spoke for it, and
naming a wrong one never earns, however much did. So no wrong answer stands above a right one with
the same looks and decision, and still nobody gains by saying other than they believe: what a report
can earn rises with the chance that its cause is right, and with its reckoned points.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from diagnose.practice.session.belief import Belief, points
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Decision, Session

MINUTE = 0.2
"""Points that a working minute costs."""

HARM: Mapping[str, float] = {"none": 0.0, "minor": 2.0, "destructive": 10.0}
"""Points that a check costs for what it does to film or paint."""

REMEDY, PAYER, MADE_WORSE = 20.0, 10.0, 20.0
"""Points for the right first remedy and payer, and off for a remedy that makes it worse."""

LATER_REMEDY = 0.5
"""Part of the points for a remedy of the cause that is not the first to try."""


@dataclass(frozen=True, slots=True)
class Score:
    """Points of a session; `luck` is told and not counted, `minutes` and `harm` are taken off.

    `belief` is what counts of the `reckoned` points; `possible`: what the best belief would have
    earned with what was seen.
    """

    belief: float
    reckoned: float
    possible: float
    luck: float
    remedy: float
    payer: float
    minutes: float
    harm: float

    @property
    def total(self) -> float:
        """What the session earns."""
        return self.belief + self.remedy + self.payer - self.minutes - self.harm


def score(judge: Judge, session: Session) -> Score:
    """The score of a decided session."""
    assert session.decision is not None
    assert session.belief is not None
    ought = judge.warranted(session.item, session.seen)
    truth = judge.truth(session.item)
    hit = session.decision.cause in session.item.right
    earned = points(session.belief, ought)
    decision = session.decision

    def remedy(cause: str) -> float:
        return _remedy_fits(judge, session, decision, cause)

    def payer(cause: str) -> float:
        return _payer_fits(judge, session, decision, cause)

    worse = _expected(ought, lambda c: float(_makes_worse(judge, session, decision, c)))
    checks = [judge.base.checks[look.check] for look in session.looks]
    return Score(
        belief=_fair(hit, earned, 0.0),
        reckoned=earned,
        possible=points(ought, ought),
        luck=points(session.belief, truth) - earned,
        remedy=REMEDY * _fair(hit, _expected(ought, remedy), _expected(truth, remedy)),
        payer=PAYER * _fair(hit, _expected(ought, payer), _expected(truth, payer)),
        minutes=MINUTE * session.minutes(judge.base),
        harm=sum(HARM[check.harm] for check in checks) + MADE_WORSE * worse,
    )


def _fair(hit: bool, reckoned: float, ended: float) -> float:
    """What counts: for the right cause the better of the two, for a wrong one the worse."""
    return max(reckoned, ended) if hit else min(reckoned, ended)


def _expected(ought: Belief, of: Callable[[str], float]) -> float:
    return sum(share * of(cause) for cause, share in ought.items())


def _remedy_fits(judge: Judge, session: Session, decision: Decision, cause: str) -> float:
    """1 for the remedy to try first if it is this cause, a part for a later one, else 0."""
    item = session.item
    done = item.outcome.remedy if cause in item.right and item.outcome.held is not False else ""
    first = judge.remedy(cause, judge.values(item))
    if decision.remedy in (done, first):
        return 1.0 if decision.remedy else 0.0
    known = judge.base.causes.get(cause)
    return LATER_REMEDY if known and decision.remedy in known.remedies else 0.0


def _payer_fits(judge: Judge, session: Session, decision: Decision, cause: str) -> float:
    item = session.item
    paid = item.outcome.payer if cause in item.right else ""
    owed = paid or judge.payer(cause, judge.values(item))
    return 1.0 if decision.payer and decision.payer == owed else 0.0


def _makes_worse(judge: Judge, session: Session, decision: Decision, cause: str) -> bool:
    known = judge.base.causes.get(cause)
    return known is not None and any(n.remedy == decision.remedy for n in known.never)
