"""What a finished session teaches: the path beside that of the engine, and the sign missed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log2

from diagnose.knowledge.logic.answers import UNKNOWN, Answer, Answers
from diagnose.knowledge.soundness.walk import below
from diagnose.practice.items.bank import PracticeItem
from diagnose.practice.session.belief import Belief, moved, named_first
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.score import Score, score
from diagnose.practice.session.session import Session
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.weigh import Weight
from diagnose.reasoning.explanation.silence import met_apart
from diagnose.reasoning.questions.question import NextChecks, Question

TINY = 1e-3
"""Stands for no chance at all."""

MOST_CHECKS = 25
"""Checks after which the engine's path is cut off."""


@dataclass(frozen=True, slots=True)
class PathStep:
    """A check done on a path: what it told, and what it was expected to tell just then.

    `told` is how far it moved what ought to be believed, in bits; `expected` the bits that it
    promised (0: not worth asking then); `better` the check that promised
    more for its minutes at that moment, with its bits, of those that the record can answer;
    `leading` and `chance` what led afterwards; `speaks` whether its answer speaks for what it was.
    """

    check: str
    answer: Answer
    minutes: float
    harm: str
    told: float
    expected: float
    better: tuple[str, float] | None
    leading: str
    chance: float
    speaks: bool = False

    @property
    def wasted(self) -> bool:
        """Whether next to nothing was to be expected of it, or the record could not answer."""
        return (self.expected == 0 and not self.speaks) or self.answer is UNKNOWN


@dataclass(frozen=True, slots=True)
class Move:
    """Belief in the right causes after so many checks: as stated, and as it ought to be."""

    after: int
    stated: float
    ought: float


@dataclass(frozen=True, slots=True)
class Missed:
    """The sign that would have told the most: its checks, its reason, its source.

    `seen`: it was looked at and not believed; else `unseen` of its checks were not looked at.
    """

    checks: tuple[str, ...]
    unseen: tuple[str, ...]
    because: str
    decibans: float
    source: tuple[str, ...]
    seen: bool


@dataclass(frozen=True, slots=True)
class ToldApart:
    """The one sign that told the right cause from another, and the check behind it."""

    other: str
    check: str
    because: str


@dataclass(frozen=True, slots=True)
class Contrast:
    """The case before, alike in its complaint and not in its cause; `check` tells them apart."""

    before: PracticeItem
    check: str


@dataclass(frozen=True, slots=True)
class Feedback:
    """Everything that is told after a session; `apart`: from what was believed in its place.

    `contrast`: from the case before, where that looked the same and was something else; `settled`:
    whether the whole record leads to what was confirmed.
    """

    session: Session
    score: Score
    yours: tuple[PathStep, ...]
    engine: tuple[PathStep, ...]
    moves: tuple[Move, ...]
    missed: Missed | None
    apart: ToldApart | None = None
    contrast: Contrast | None = None
    settled: bool = True

    @property
    def drawn(self) -> tuple[str, ...]:
        """The checks whose drawings go with it: what told the cause, then what was missed."""
        told = (self.apart.check,) if self.apart else ()
        missed = self.missed.checks if self.missed else ()
        return tuple(dict.fromkeys((*told, *missed)))


def feedback(judge: Judge, session: Session, before: PracticeItem | None = None) -> Feedback:
    """Everything about a decided session; asks the engine once for each check of both paths.

    `before` is the item of the case practised just before.
    """
    item = session.item
    yours = path(judge, item, [look.check for look in session.looks])
    return Feedback(
        session=session,
        score=score(judge, session),
        yours=yours,
        engine=engine_path(judge, item),
        moves=moves(judge, session),
        missed=missed(judge, session),
        apart=told_apart(judge, session),
        contrast=contrast(judge, item, before),
        settled=judge.sound(item),
    )


def path(judge: Judge, item: PracticeItem, checks: Sequence[str]) -> tuple[PathStep, ...]:
    """Checks done in an order, each with what it told."""
    known: Answers = item.given
    steps = []
    for check in checks:
        choice = judge.reasoner.choose(AnsweredComplaint(item.symptom, known))
        steps.append(_step(judge, item, known, check, choice))
        known = {**known, check: item.answer(check)}
    return tuple(steps)


def engine_path(judge: Judge, item: PracticeItem, most: int = MOST_CHECKS) -> tuple[PathStep, ...]:
    """The checks that the engine would have asked, until it stops.

    What the record cannot answer is passed over: a path of questions into the void would teach
    nothing. It is not said to be untold either, for nobody tried.
    """
    known: Answers = item.given
    steps: list[PathStep] = []
    while len(steps) < most:
        choice = judge.reasoner.choose(AnsweredComplaint(item.symptom, known))
        check = _on_record(choice, item)
        if choice.stop is not None or check is None:
            break
        steps.append(_step(judge, item, known, check, choice))
        known = {**known, check: item.answer(check)}
    return tuple(steps)


def _on_record(choice: NextChecks, item: PracticeItem) -> str | None:
    """The check to begin with of the best question that the record can answer; None if none is."""
    asks = (q.asks for q in choice.questions if all(c in item.record for c in q.asks))
    return next((found[0] for found in asks), None)


def _step(
    judge: Judge, item: PracticeItem, known: Answers, check: str, choice: NextChecks
) -> PathStep:
    answer = item.answer(check)
    before = judge.supported(item.symptom, known)
    after = judge.supported(item.symptom, {**known, check: answer})
    found = judge.base.checks[check]
    leading = named_first(after)
    return PathStep(
        check=check,
        answer=answer,
        minutes=found.minutes,
        harm=found.harm,
        told=moved(before, after),
        expected=max((q.bits for q in choice.questions if check in q.asks), default=0.0),
        better=_better(choice.questions, check, item),
        leading=leading,
        chance=after[leading],
        speaks=check in judge.speaking(item),
    )


def _better(
    questions: Sequence[Question], check: str, item: PracticeItem
) -> tuple[str, float] | None:
    """The first question before this check that the record can answer, and its bits."""
    for question in questions:
        if check in question.asks:
            return None
        if all(asked in item.record for asked in question.asks):
            return question.asks[0], question.bits
    return None


def moves(judge: Judge, session: Session) -> tuple[Move, ...]:
    """How belief in the right causes moved; of several beliefs at one moment the last."""
    item = session.item
    last = {thought.after: thought for thought in session.thoughts}
    return tuple(
        Move(
            thought.after,
            _on_right(item, thought.belief),
            _on_right(item, judge.warranted(item, session.seen_after(thought.after))),
        )
        for thought in last.values()
    )


def _on_right(item: PracticeItem, belief: Belief) -> float:
    return sum(belief.get(cause, 0.0) for cause in item.right)


def missed(judge: Judge, session: Session) -> Missed | None:
    """The weightiest sign of the right cause that was not looked at, or not believed.

    Where the right cause was named, the weightiest that was not looked at; None where nothing of
    weight was left out.
    """
    assert session.decision is not None
    item = session.item
    cause = item.right[0]
    if cause not in judge.base.causes:
        return None
    signs = _signs_for(judge, item, cause, session.decision.cause)
    had = {**judge.heard(item), **session.seen}
    if session.decision.cause in item.right:
        signs = [s for s in signs if not _was_seen(judge, s.weight, had) and s.size >= WORTH_A_LOOK]
    return _missed(judge, signs[0], had) if signs else None


WORTH_A_LOOK = 3.0
"""Decibans from which a sign that was left out is told to whoever named the cause without it."""


def told_apart(judge: Judge, session: Session) -> ToldApart | None:
    """What told the right cause from the one named, or from the likeliest other if it was right.

    None where the record holds nothing that speaks for the one rather than the other.
    """
    assert session.decision is not None
    item, cause = session.item, session.item.right[0]
    if cause not in judge.base.causes:
        return None
    other = session.decision.cause
    if other in item.right or other not in judge.base.causes:
        other = _rival(judge, session)
    for sign in _signs_for(judge, item, cause, other):
        checks = _checks(judge, sign.weight)
        if checks:
            return ToldApart(other, checks[0], sign.because)
    return None


def _rival(judge: Judge, session: Session) -> str:
    """The wrong cause that was believed more than usual, else the likeliest by what was seen."""
    item = session.item
    usual, belief = judge.usual(item.symptom), session.belief or {}
    seen = judge.supported(item.symptom, {**judge.heard(item), **session.seen})
    rivals = [c for c in seen if c in judge.base.causes and c not in item.right]
    more = {c: belief.get(c, 0.0) > usual.get(c, 0.0) + TINY for c in rivals}
    rank = {c: (more[c], belief.get(c, 0.0) if more[c] else seen[c], c) for c in rivals}
    return max(rivals, key=rank.__getitem__, default="")


def contrast(judge: Judge, item: PracticeItem, before: PracticeItem | None) -> Contrast | None:
    """What tells a case from the one before; None where these do not teach against each other.

    The check is the one whose answers, which both records have and in which they differ, speak most
    for the one cause here and for the other there; '' where there is none.
    """
    if before is None or before.symptom != item.symptom or set(before.right) & set(item.right):
        return None
    both = [c for c in item.record if c in before.record and item.record[c] != before.record[c]]
    told = {c: _speaks(judge, item, before, c) + _speaks(judge, before, item, c) for c in both}
    best = max(told, key=lambda c: (told[c], c), default="")
    return Contrast(before, best if told.get(best, 0) > 0 else "")


def _speaks(judge: Judge, item: PracticeItem, other: PracticeItem, check: str) -> float:
    """Bits by which an answer of an item's record speaks for its cause rather than the other's."""
    seen = judge.supported(item.symptom, {check: item.record[check]})
    usual = judge.usual(item.symptom)
    mine, theirs = (i.right[0] for i in (item, other))
    chances = [(belief.get(mine, 0.0), belief.get(theirs, 0.0)) for belief in (seen, usual)]
    odds = [max(a, TINY) / max(b, TINY) for a, b in chances]
    return log2(odds[0] / odds[1])


@dataclass(frozen=True, slots=True)
class _Sign:
    """What speaks for a cause rather than for another: by how much, and why."""

    weight: Weight
    size: float
    because: str
    source: tuple[str, ...]


UNREASONED = 3.0
"""Decibans by which a sign that nobody gave a reason for has to outweigh one with a reason."""


def _signs_for(judge: Judge, item: PracticeItem, cause: str, named: str) -> list[_Sign]:
    """What speaks for the right cause rather than for the named one, the weightiest first."""
    full = judge.reasoner.differential(AnsweredComplaint(item.symptom, item.record))
    others = [s for s in full.standings if s.cause.id == named and named != cause]
    against = {w.subjects: w.decibans for s in others for w in s.weights if w.counts}
    found = []
    for weight in full.of(cause).weights:
        size = weight.decibans - against.get(weight.subjects, 0.0)
        sign = _sign(judge, item, (cause, named), weight, size)
        if sign and weight.counts and weight.decibans > 0 and size > 0:
            found.append(sign)
    return sorted(found, key=lambda s: -(s.size - _doubt(s)))


def _doubt(sign: _Sign) -> float:
    return 0.0 if sign.weight.sign else UNREASONED


def _sign(
    judge: Judge, item: PracticeItem, causes: tuple[str, str], weight: Weight, size: float
) -> _Sign | None:
    """A sign with its reason; how often it is met where nobody gave one."""
    if weight.sign is not None and weight.sign.speaks == "for":
        return _Sign(weight, size, weight.sign.because, weight.sign.source)
    name, *more = weight.subjects
    if weight.sign is not None or more or size < UNREASONED:
        return None
    rows = [
        judge.base.rows(judge.base.causes[c], item.symptom).get(name)
        for c in causes
        if c in judge.base.causes
    ]
    codes = judge.base.observables[name].kind.codes(judge.values(item)[name])
    told = [row for row in rows if row and not row.absent]
    if len(told) < 2 or causes[0] == causes[1]:
        return None
    return _Sign(weight, size, met_apart(told[0], told[1], codes), ("derived",))


def _was_seen(judge: Judge, weight: Weight, seen: Answers) -> bool:
    return all(check in seen for check in _checks(judge, weight))


def _checks(judge: Judge, weight: Weight) -> tuple[str, ...]:
    """The checks that a weight rests on, those behind measures and findings included."""
    waiting, found = list(weight.subjects), dict[str, None]()
    while waiting:
        subject = waiting.pop(0)
        if subject in judge.base.checks:
            found[subject] = None
        else:
            waiting += below(judge.base, subject)
    return tuple(found)


def _missed(judge: Judge, sign: _Sign, had: Answers) -> Missed:
    checks = _checks(judge, sign.weight)
    unseen = tuple(check for check in checks if check not in had)
    return Missed(checks, unseen, sign.because, sign.size, sign.source, not unseen)
