"""Where a shop's nearest closed cases ended otherwise than the answers weigh: what decides.

Of the checks worth asking the one is taken that best tells both causes apart: half the sum over its
answers of how much more often the one shows each than the other, less where it may stay unknown.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.reasoning.diagnosis import Diagnosis
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.explanation.explain import cause_name
from diagnose.reasoning.questions.question import Question
from diagnose.records.experience.nearness import Near, PastComplaint, nearest

AGREEING = 2
"""Of the nearest cases so many must have ended alike before they are set against the answers."""

LEAST_CHANCE = 0.01
"""What the answers leave a cause of less is not brought up again by cases that are like this."""

TELLS = 0.3
"""How far a check must tell two causes apart to decide: its answers differ in so many of one."""


@dataclass(frozen=True, slots=True)
class Disagreement:
    """The cause that leads, and the one that the nearest cases ended with."""

    leading: str
    other: str
    near: tuple[Near, ...]


def disagreement(
    base: Base, diagnosis: Diagnosis, past: Iterable[PastComplaint]
) -> Disagreement | None:
    """Where none of the nearest cases ended as what leads, and most of them alike."""
    leading = diagnosis.differential.leading
    if leading is None:
        return None
    near = nearest(base, diagnosis.complaint.symptom, diagnosis.trace.values, past)
    ends = Counter(one.past.cause for one in near)
    if not near or leading.cause.id in ends:
        return None
    other, count = ends.most_common(1)[0]
    standing = next((s for s in diagnosis.differential.standings if s.cause.id == other), None)
    alive = standing and not standing.ruled_out and standing.probability >= LEAST_CHANCE
    return Disagreement(leading.cause.id, other, near) if alive and count >= AGREEING else None


def deciding(base: Base, diagnosis: Diagnosis, found: Disagreement) -> Question | None:
    """The question that tells the two causes apart; None where none worth asking does."""
    each = {q: _tells(base, diagnosis.table, q, found) for q in diagnosis.choice.questions}
    best = max(each, key=lambda q: each[q], default=None)
    return best if best is not None and each[best] >= TELLS else None


def disagreement_words(base: Base, found: Disagreement) -> str:
    """Both sides in a sentence, and what the next question is for."""
    ids = sorted(one.past.case_id for one in found.near if one.past.cause == found.other)
    cases = " and ".join(filter(None, (", ".join(ids[:-1]), ids[-1])))
    other, leading = (cause_name(base, name) for name in (found.other, found.leading))
    return (
        f"Cases {cases}, most like this one, ended as {other.lower()}; the answers weigh for"
        f" {leading.lower()}. This tells the two apart."
    )


def _tells(base: Base, table: Tables, question: Question, found: Disagreement) -> float:
    rows = table.rows.get(question.observable)
    if rows is None:
        return 0.0
    places = {cause.id: place for place, cause in enumerate(table.causes)}
    usual = base.usual(question.observable, table.symptom)
    both = [_shares(rows[places[name]], usual) for name in (found.leading, found.other)]
    told = base.scales.told_percent
    share = min(told.get(base.checks[a].place, 100.0) for a in question.asks) / 100
    return float(share * sum(abs(one - other) for one, other in zip(*both, strict=True)) / 2)


def _shares(row: CauseRow | None, usual: tuple[float, ...]) -> tuple[float, ...]:
    """P(answer | cause); the usual shares where it says nothing."""
    if row is None:
        return usual
    each = enumerate(zip(row.usual, row.decibans, strict=True))
    return tuple(0.0 if n in row.ruled_out else b * 10 ** (d / 10) for n, (b, d) in each)
