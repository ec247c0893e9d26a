"""The tool tried on worked cases: it asks, the case answers from its record.

What the case does not know is answered 'unknown'. Intake answers are given first, as at a callback.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log

from diagnose.knowledge.logic.answers import UNKNOWN, Answer
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint, Diagnosis
from diagnose.reasoning.questions.opened import opened
from diagnose.reasoning.questions.question import Stop
from diagnose.records.case import journal as records
from diagnose.records.case.journal import Case

MOST_CHECKS = 25


@dataclass(frozen=True, slots=True)
class Trial:
    """How a complaint of a worked case went when the tool asked its own questions.

    `place` is the rank of a confirmed cause from 1 (0: not behind the symptom); `checks` how many
    were asked beyond the intake; `probabilities` of all causes and, last, the unlisted one.
    """

    case: str
    number: int
    grade: str
    symptom: str
    right: tuple[str, ...]
    leading: str
    leading_probability: float
    place: int
    probability: float
    brier: float
    checks: int
    unknown: int
    minutes: float
    stop: Stop | None
    asked: tuple[str, ...]


def play(reasoner: Reasoner, case: Case, most: int = MOST_CHECKS) -> tuple[Trial, ...]:
    """Ask about every complaint of a case that has a confirmed cause."""
    return tuple(
        _play(reasoner, case, complaint, most) for complaint in case.complaints if complaint.outcome
    )


def full(reasoner: Reasoner, case: Case) -> tuple[Trial, ...]:
    """Every complaint diagnosed from all answers of the record, no questions asked."""
    return tuple(
        _trial(case, complaint, reasoner.diagnose(told(case, complaint)), [], {}, reasoner)
        for complaint in case.complaints
        if complaint.outcome
    )


def told(case: Case, complaint: records.Complaint) -> AnsweredComplaint:
    """A complaint of a case with all answers of its record."""
    return AnsweredComplaint(complaint.symptom, case.answers(complaint))


def _play(reasoner: Reasoner, case: Case, complaint: records.Complaint, most: int) -> Trial:
    base = reasoner.base
    record = opened(base, case.answers(complaint))
    given: dict[str, Answer] = {n: record.get(n, UNKNOWN) for n in base.intake}
    asked: list[str] = []
    while len(asked) < most:
        choice = reasoner.choose(AnsweredComplaint(complaint.symptom, given))
        if choice.stop is not None or not choice.questions:
            break
        check = choice.questions[0].asks[0]
        asked.append(check)
        given[check] = record.get(check, UNKNOWN)
    diagnosis = reasoner.diagnose(AnsweredComplaint(complaint.symptom, given))
    return _trial(case, complaint, diagnosis, asked, given, reasoner)


def _trial(
    case: Case,
    complaint: records.Complaint,
    diagnosis: Diagnosis,
    asked: Sequence[str],
    given: dict[str, Answer],
    reasoner: Reasoner,
) -> Trial:
    differential = diagnosis.differential
    chances = {s.cause.id: s.probability for s in differential.standings}
    return scored(
        case,
        complaint,
        {**chances, UNLISTED: differential.unlisted},
        asked=tuple(asked),
        unknown=sum(1 for check in asked if given.get(check) is UNKNOWN),
        minutes=sum(reasoner.base.checks[check].minutes for check in asked),
        stop=diagnosis.choice.stop,
    )


def scored(
    case: Case,
    complaint: records.Complaint,
    chances: Mapping[str, float],
    *,
    asked: tuple[str, ...] = (),
    unknown: int = 0,
    minutes: float = 0.0,
    stop: Stop | None = None,
) -> Trial:
    """A complaint held against its outcome; `chances` likeliest first, the unlisted cause last."""
    assert complaint.outcome is not None
    right = (complaint.outcome.cause, *complaint.outcome.also_causes)
    names = list(chances)
    ranked = sorted(names, key=lambda n: (-chances[n], -1 if n == UNLISTED else names.index(n)))
    place = min((ranked.index(c) + 1 for c in right if c in chances), default=0)
    return Trial(
        case=case.id,
        number=complaint.number,
        grade=case.facts.get("grade", ""),
        symptom=complaint.symptom,
        right=right,
        leading=ranked[0],
        leading_probability=chances[ranked[0]],
        place=place,
        probability=chances.get(right[0], 0.0),
        brier=sum((p - (name == right[0])) ** 2 for name, p in chances.items()),
        checks=len(asked),
        unknown=unknown,
        minutes=minutes,
        stop=stop,
        asked=asked,
    )


@dataclass(frozen=True, slots=True)
class Accuracy:
    """The score over many trials; `bins` are (from, to, number, mean stated, share right)."""

    trials: int
    leading: float
    first_three: float
    median_checks: float
    log_score: float
    brier: float
    bins: tuple[tuple[float, float, int, float, float], ...]


def accuracy(trials: Iterable[Trial]) -> Accuracy:
    """Scores over trials: shares right, median checks, mean log score (nats) and Brier score."""
    found = list(trials)
    count = len(found)
    checks = sorted(t.checks for t in found)
    middle = (checks[(count - 1) // 2] + checks[count // 2]) / 2
    return Accuracy(
        trials=count,
        leading=sum(t.place == 1 for t in found) / count,
        first_three=sum(1 <= t.place <= 3 for t in found) / count,
        median_checks=middle,
        log_score=-sum(log(max(t.probability, 1e-6)) for t in found) / count,
        brier=sum(t.brier for t in found) / count,
        bins=_bins(found),
    )


def _bins(trials: Sequence[Trial]) -> tuple[tuple[float, float, int, float, float], ...]:
    """Calibration of the leading cause's probability in fifths."""
    found = []
    for low in (0.0, 0.2, 0.4, 0.6, 0.8):
        its = [
            t for t in trials if low <= _stated(t) < low + 0.2 or (low == 0.8 and _stated(t) == 1)
        ]
        if its:
            stated = sum(map(_stated, its)) / len(its)
            right = sum(t.place == 1 for t in its) / len(its)
            found.append((low, low + 0.2, len(its), stated, right))
    return tuple(found)


def _stated(trial: Trial) -> float:
    return trial.leading_probability
