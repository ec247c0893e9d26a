"""What to say where nothing listed fits: which answers fit least with the rest, and what to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import log10

from diagnose.knowledge.base import Base
from diagnose.reasoning.diagnosis import Diagnosis
from diagnose.reasoning.evidence.weigh import Standing
from diagnose.reasoning.explanation import explain
from diagnose.reasoning.questions.question import Stop

NAMED = 3
"""Answers named as fitting least, and look-alikes named."""


@dataclass(frozen=True, slots=True)
class Stray:
    """An answer that the causes which the others point to hardly ever leave.

    `mistake`: how the check is done wrongly, where known.
    """

    subject: str
    name: str
    words: str
    mistake: str


@dataclass(frozen=True, slots=True)
class Misfit:
    """That nothing listed fits, the answers that fit least, and what to do now."""

    says: str
    strays: tuple[Stray, ...]
    ways: tuple[str, ...]


def misfit(base: Base, diagnosis: Diagnosis) -> Misfit | None:
    """What to say, or None where something listed may fit."""
    if diagnosis.choice.stop is not Stop.NOTHING_FITS:
        return None
    found = strays(base, diagnosis)
    return Misfit(_says(diagnosis), found, tuple(_ways(base, diagnosis, found)))


def strays(base: Base, diagnosis: Diagnosis) -> tuple[Stray, ...]:
    """The answers that fit least with all the others, the worst first.

    Each answer is taken out in turn: the causes are weighed by the others alone, and it is asked
    how likely they make it (the conflict of evidence of Jensen et al. 1991, answer by answer).
    Where many fit a little badly and none plainly, the worst is named.
    """
    values, least = diagnosis.trace.values, base.scales.strengths["barely"]
    seen = (subject for subject in values if subject in base.observables)
    apart = [(_apart(diagnosis.differential.standings, s), s) for s in seen]
    worst = sorted((size, subject) for size, subject in apart if size < 0)
    found = [(size, subject) for size, subject in worst if size <= -least] or worst[:1]
    return tuple(
        Stray(
            subject,
            explain.name_of(base, subject),
            explain.value_words(base, subject, values[subject]),
            (base.checks[subject].mistake or "") if subject in base.checks else "",
        )
        for _, subject in found[:NAMED]
    )


def _apart(standings: tuple[Standing, ...], subject: str) -> float:
    """How likely the listed causes make an answer by all others, in decibans against its share."""
    without, with_it = 0.0, 0.0
    for standing in standings:
        if any(subject not in out.matched for out in standing.ruled_out):
            continue
        counted = [w for w in standing.weights if w.counts]
        others = sum(w.decibans for w in counted if subject not in w.subjects)
        size = standing.prior * 10 ** (others / 10)
        without += size
        if not standing.ruled_out:
            own = sum(w.decibans for w in counted if subject in w.subjects)
            with_it += size * 10 ** (own / 10)
    if without <= 0:
        return 0.0
    return 10 * log10(with_it / without) if with_it > 0 else float("-inf")


def _says(diagnosis: Diagnosis) -> str:
    """The reason in plain words, with the nearest cause."""
    leading = diagnosis.differential.leading
    if leading is None:
        return "It rules out every cause that is listed for this."
    return (
        f"It speaks for something else: even the likeliest, {leading.cause.name.lower()}"
        f" ({leading.probability:.0%}), would as a rule leave clearer marks."
    )


def _ways(base: Base, diagnosis: Diagnosis, found: tuple[Stray, ...]) -> Iterator[str]:
    """What to do now, the nearest at hand first."""
    for stray in found[:1]:
        hint = f" Done wrongly: {stray.mistake}" if stray.mistake else ""
        yield f"Look again at: {stray.name.lower()}.{hint}"
    symptom = base.symptoms[diagnosis.differential.symptom]
    others = [base.symptoms[o.symptom].name.lower() for o in symptom.confused_with[:NAMED]]
    if others:
        yield (
            f"Look again at what it is: {symptom.name.lower()} is easily mistaken for"
            f" {' or '.join(others)}."
        )
    yield "If there may be two faults at one place, enter the second as a complaint of its own."
    yield (
        "Repair nothing yet. Photograph it, write down what you see, keep a piece of the film with"
        " its adhesive side, and ask the film maker."
    )
    yield (
        "When the cause is known, close the case with it, and add it to the rules: rules/README.md"
        " shows how."
    )
