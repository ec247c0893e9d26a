"""What follows a plan: whether a new piece matches, what to look for under the film, laying again.

All of it stands as data in the rule base; here it is picked by what is known of the case.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Aftermath
from diagnose.knowledge.model.conditions import Values
from diagnose.reasoning.diagnosis import Diagnosis

REACHES = ("piece", "neighbours", "side", "vehicle")
"""How much is replaced together, from little to much."""


@dataclass(frozen=True, slots=True)
class Match:
    """Whether a piece laid next to the old ones will match.

    `reaches`: how much must be replaced together; `reasons` with what each asks for, the widest
    first; `unknown`: checks that are missing to say more.
    """

    reaches: str
    reasons: tuple[tuple[str, str], ...]
    unknown: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Note:
    """A thing to look for or to know; `payer` to whom it belongs as a rule, or ''."""

    says: str
    payer: str


@dataclass(frozen=True, slots=True)
class SheetStep:
    """A step of laying the piece again; `prevents`: causes in play that it keeps away."""

    says: str
    because: str
    prevents: tuple[str, ...]


def match(base: Base, values: Values) -> Match:
    """How far a replacement must reach so that it does not show."""
    rules = [a for a in base.aftermath.values() if a.topic == "match" and a.reaches]
    found = [a for a in rules if a.when is None or a.when.holds(values)]
    ranked = sorted(found, key=lambda a: -REACHES.index(a.reaches or "piece"))
    reaches = ranked[0].reaches if ranked and ranked[0].reaches else "piece"
    reasons = tuple((a.says, a.reaches or "") for a in ranked)
    return Match(reaches, reasons, _missing(base, rules, values))


def _missing(base: Base, rules: Iterable[Aftermath], values: Values) -> tuple[str, ...]:
    """Checks of open rules that would widen the replacement, each once."""
    subjects = (
        subject
        for rule in rules
        if rule.when and rule.reaches != "piece" and rule.when.holds(values) is None
        for subject in rule.when.subjects()
        if subject in base.checks and subject not in values
    )
    return tuple(dict.fromkeys(subjects))


def notes(base: Base, topic: str, diagnosis: Diagnosis) -> tuple[Note, ...]:
    """What to know of a topic: `under_film` or `impact`."""
    values, symptom = diagnosis.trace.values, diagnosis.complaint.symptom
    return tuple(
        Note(a.says, a.payer or "")
        for a in base.aftermath.values()
        if a.topic == topic
        and (not a.symptoms or symptom in a.symptoms)
        and (a.when is None or a.when.holds(values) is True)
    )


def opens_film(base: Base, remedies: Iterable[str]) -> bool:
    """Whether any of these remedies takes film off, so that one can look under it."""
    return any(base.remedies[name].destroys_piece != "no" for name in remedies)


def laying_sheet(base: Base, diagnoses: Iterable[Diagnosis]) -> tuple[SheetStep, ...]:
    """The steps of laying again, in the order of the work; those that matter here are marked."""
    seen = list(diagnoses)
    values: Values = {k: v for d in seen for k, v in d.trace.values.items()}
    causes = {
        s.cause.id: s.probability
        for d in seen
        for s in d.differential.standings
        if not s.ruled_out and s.probability >= base.scales.acting.in_play
    }
    ranked = sorted(causes, key=lambda c: -causes[c])
    return tuple(
        SheetStep(step.says, step.because, tuple(c for c in ranked if c in step.prevents))
        for step in base.work_steps.values()
        if step.when is None or step.when.holds(values) is True
    )
