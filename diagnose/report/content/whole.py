"""The report of a case with everything in it: diagnosis, plan, and what the shop's counts did."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import CarDiagnosis, Diagnosis
from diagnose.reasoning.evidence.tables import tables
from diagnose.reasoning.evidence.weigh import Differential, weigh
from diagnose.reasoning.explanation.explain import cause_name
from diagnose.reasoning.explanation.said import Said
from diagnose.reasoning.questions.question import Stop
from diagnose.records.case.complaints import complaints_of, known_part, unknown_here
from diagnose.records.case.journal import Case
from diagnose.records.experience.learning import rank_changes
from diagnose.records.experience.nearness import LikeThis, PastComplaint, like_this
from diagnose.report.content.case import build
from diagnose.report.content.data import Report
from diagnose.report.content.plan import build_plan
from diagnose.report.content.plan_data import PlanReport, PlanTerms
from diagnose.report.formats.blocks import whole_percent

SHOWN_RANKS = 5
"""Changes of rank below this place are not told."""


def whole(
    reasoner: Reasoner,
    case: Case,
    now: datetime,
    program: str,
    terms: PlanTerms | None,
    car: CarDiagnosis | None = None,
    past: Sequence[PastComplaint] = (),
) -> Report:
    """The report of a case at a moment; without terms it has no plan.

    `past`: closed complaints, of which those most like it are told.
    """
    unknown = unknown_here(reasoner.base, case)
    case = known_part(reasoner.base, case)
    car = car or reasoner.car(complaints_of(reasoner.base, case))
    plan = _plan(reasoner.base, case, car, terms) if terms else None
    made = now.strftime("%Y-%m-%d %H:%M")
    learned = tuple(line for d in car.diagnoses for line in learned_lines(reasoner, d))
    found = build(reasoner.base, case, car, made, program, plan, learned)
    if unknown:
        told = Said("Not in these rules, and without weight", "; ".join(unknown))
        found = replace(found, facts=(*found.facts, told))
    return replace(found, like=tuple(like(reasoner.base, case, car, past)))


def like(
    base: Base, case: Case, car: CarDiagnosis, past: Sequence[PastComplaint]
) -> Iterator[LikeThis]:
    """Of each complaint the closed ones of the shop, and the worked ones, most like it."""
    several = len(car.diagnoses) > 1
    for complaint, diagnosis in zip(case.complaints, car.diagnoses, strict=True):
        symptom, values = diagnosis.complaint.symptom, diagnosis.trace.values
        leading = diagnosis.differential.leading
        sure = leading and leading.probability > diagnosis.differential.unlisted
        cause = leading.cause.id if leading and sure else UNLISTED
        for its in like_this(base, symptom, values, cause, past):
            number = f"Complaint {complaint.number}. " if several else ""
            yield replace(its, heading=f"{number}{its.heading}")


def _plan(base: Base, case: Case, car: CarDiagnosis, terms: PlanTerms) -> PlanReport | None:
    """The plan of the complaints that anything listed fits; what fits nothing is not repaired."""
    pairs = zip(case.complaints, car.diagnoses, strict=True)
    kept = [(c, d) for c, d in pairs if d.choice.stop is not Stop.NOTHING_FITS]
    if not kept:
        return None
    complaints, diagnoses = (tuple(column) for column in zip(*kept, strict=True))
    of_these = replace(case, complaints=complaints)
    return build_plan(base, of_these, replace(car, diagnoses=diagnoses), terms)


def learned_lines(reasoner: Reasoner, diagnosis: Diagnosis) -> Iterator[str]:
    """What closed cases did to the ranks, in sentences; none where nothing was counted."""
    base, symptom = reasoner.base, diagnosis.differential.symptom
    if not base.experience:
        return
    its = sum(base.confirmed(symptom))
    yield (
        f"{base.symptoms[symptom].name}: reasoned with {base.experience.cases} closed complaints"
        f" ({base.experience.says}), {its:g} of them with this symptom."
    )
    judged = base.judged
    by_words = weigh(judged, tables(judged, symptom), diagnosis.trace)
    with_counts = weigh(base, reasoner.table(symptom), diagnosis.trace)
    before, now = _chances(by_words), _chances(with_counts)
    for change in rank_changes(before, now):
        if min(change.by_words, change.learned) <= SHOWN_RANKS:
            yield (
                f"{cause_name(base, change.cause)} stands in place {change.learned} with"
                f" {whole_percent(now[change.cause])}; as judged it would stand in place"
                f" {change.by_words} with {whole_percent(before[change.cause])}."
            )


def _chances(found: Differential) -> dict[str, float]:
    ranked = {s.cause.id: s.probability for s in found.standings}
    return {**dict(sorted(ranked.items())), UNLISTED: found.unlisted}
