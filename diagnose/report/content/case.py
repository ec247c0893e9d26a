"""What a report says of a case as it stands, put together from what was concluded.

Complaint, cause, correction, for each complaint of a case. Numbers stand beside the words.
"""

from __future__ import annotations

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Remedy
from diagnose.knowledge.model.conditions import Values
from diagnose.knowledge.model.words import UNLISTED
from diagnose.knowledge.panels import PANELS
from diagnose.reasoning.conclusion import Barred
from diagnose.reasoning.correction.situation import chance_to_hold
from diagnose.reasoning.diagnosis import CarDiagnosis, Diagnosis
from diagnose.reasoning.evidence.weigh import Standing
from diagnose.reasoning.explanation import explain, reckoned
from diagnose.reasoning.explanation.inseparable import inseparable
from diagnose.reasoning.explanation.misfit import misfit
from diagnose.reasoning.explanation.said import Said
from diagnose.reasoning.payer import Pays, on_file
from diagnose.records.case.journal import Case, Complaint
from diagnose.report.content.data import (
    ComplaintReport,
    Payment,
    Ranked,
    RemedyReport,
    Report,
    RuledOut,
    Unchecked,
    WhyNot,
)
from diagnose.report.content.looked import looked
from diagnose.report.content.plan_data import PlanReport
from diagnose.report.formats.blocks import whole_percent
from diagnose.typed import in_a_row

SHOWN_CAUSES = 6
"""Causes listed with their probability; the rest is summed up."""


def build(
    base: Base,
    case: Case,
    car: CarDiagnosis,
    made: str,
    program: str,
    plan: PlanReport | None = None,
    learned: tuple[str, ...] = (),
) -> Report:
    """The report of a case as it stands; `made` is the moment as it shall be shown.

    With a plan the remedies stand in its order. `learned` says what the shop's counts changed.
    """
    return Report(
        case=case.id,
        made=made,
        versions=_versions(base, program),
        facts=tuple(
            Said(k.replace("_", " "), in_a_row(v))
            for k, v in case.facts.items()
            if k in _SHOWN_FACTS
        ),
        circumstances=explain.answers_words(base, case.circumstances),
        complaints=tuple(
            _complaint(base, complaint, diagnosis, plan)
            for complaint, diagnosis in zip(case.complaints, car.diagnoses, strict=True)
        ),
        vehicle_wide=tuple(
            (base.causes[cause].name, p)
            for cause, p in car.vehicle_wide
            if p >= base.scales.possible_percent / 100
        ),
        defer=_rules_first(base),
        plan=plan,
        learned=learned,
        looked=looked(base, case),
    )


def _rules_first(base: Base) -> str:
    """What comes before anything that the report says; '' where the base has no such caution."""
    caution = base.cautions.get(base.role("rules_first"))
    return caution.say if caution else ""


_SHOWN_FACTS = (
    *("vehicle", "film", "lot", "installer", "laid_on", "handed_on", "seen_on", "place", "remark"),
    *("told", "not_understood"),
)


def _complaint(
    base: Base, complaint: Complaint, diagnosis: Diagnosis, plan: PlanReport | None
) -> ComplaintReport:
    differential = diagnosis.differential
    leading = differential.leading
    symptom = base.symptoms[complaint.symptom]
    values = diagnosis.trace.values
    all_reasons = explain.reasons(base, leading, values) if leading else ()
    cause = leading.cause if leading else None
    probability = leading.probability if leading else 0.0
    unfitting = misfit(base, diagnosis)
    its = plan.of(complaint.number) if plan else None
    order = its.order if its else ()
    if unfitting or differential.unlisted > probability:
        cause, probability, all_reasons = None, differential.unlisted, ()
    return ComplaintReport(
        number=complaint.number,
        symptom=symptom.name,
        symptom_id=symptom.id,
        panel=PANELS.get(complaint.panel, complaint.panel),
        look=symptom.look,
        answers=explain.answers_words(base, complaint.answers),
        cause=cause.name if cause else "A cause that is not listed here",
        cause_id=cause.id if cause else UNLISTED,
        plainly=cause.plainly if cause else _NOT_LISTED,
        mechanism=cause.mechanism if cause else "",
        origin=cause.origin.words if cause else "unknown",
        probability=probability,
        how_sure=explain.how_sure(base, probability),
        ranked=tuple(_ranked(s) for s in differential.standings if not s.ruled_out)[:SHOWN_CAUSES],
        unlisted=differential.unlisted,
        reasons_for=tuple(r for r in all_reasons if r.decibans > 0),
        reasons_against=tuple(r for r in all_reasons if r.decibans < 0),
        why_not=tuple(_why_not(base, s, diagnosis) for s in differential.standings[1:4]),
        ruled_out=_ruled_out(base, diagnosis),
        correction=() if unfitting else _in_order(_correction(base, diagnosis), order),
        beside=_beside(base, diagnosis) if not unfitting else (),
        never=_never(base, diagnosis),
        should_it_be=tuple(
            (base.causes[b.cause].name, *_bar(base, b))
            for b in diagnosis.conclusion.warnings
            if b.cause and _matters(base, b, diagnosis)
        ),
        payments=_payments(base, diagnosis) if cause else (),
        prevention=cause.prevention if cause else "",
        would_change=change_words(base, diagnosis),
        not_checked=_not_checked(base, diagnosis),
        later=tuple(explain.settles(base, question) for question in diagnosis.choice.later),
        contradictions=explain.contradictions(base, diagnosis),
        rather=tuple(
            Said(base.symptoms[s].name, tells)
            for s, tells, _ in explain.looks_like(base, diagnosis)
        ),
        cautions=tuple(
            Said(base.cautions[c].name, base.cautions[c].say) for c in diagnosis.conclusion.cautions
        ),
        as_it_is=tuple(
            base.cautions[c].name for c in symptom.cautions if c in diagnosis.conclusion.cautions
        ),
        for_owner=tuple(
            Said(base.cautions[c].name, base.cautions[c].owner or "")
            for c in diagnosis.conclusion.cautions
            if base.cautions[c].owner
        ),
        measured=reckoned.measured(base, diagnosis.trace),
        misfit=unfitting,
        inseparable="" if unfitting else inseparable(base, diagnosis),
    )


def _versions(base: Base, program: str) -> tuple[Said, ...]:
    found = (Said("rules", base.version), Said("program", program))
    return (*found, Said("closed cases", base.experience.mark)) if base.experience else found


_NOT_LISTED = (
    "What was found fits none of the known causes well. Take photos and a sample, and have someone"
    " else look before anything is repaired."
)


def _ranked(standing: Standing) -> Ranked:
    cause, share = standing.cause, standing.probability
    return Ranked(cause.id, cause.name, share, standing.prior, standing.decibans)


def _why_not(base: Base, standing: Standing, diagnosis: Diagnosis) -> WhyNot:
    values = diagnosis.trace.values
    against = tuple(r for r in explain.reasons(base, standing, values) if r.decibans < 0)
    return WhyNot(
        standing.cause.name,
        standing.probability,
        against,
        explain.failed(base, standing, values),
    )


def _ruled_out(base: Base, diagnosis: Diagnosis) -> tuple[RuledOut, ...]:
    found = []
    for standing in diagnosis.differential.standings:
        for out in explain.rule_outs(base, standing.ruled_out)[:1]:
            found.append(RuledOut(standing.cause.name, out.because, out.seen))
    return tuple(found)


def _matters(base: Base, barred: Barred, diagnosis: Diagnosis) -> bool:
    """Whether anyone would think of the remedy here: it mends this, a cause asks, or it tempts."""
    symptom, remedy = diagnosis.complaint.symptom, base.remedies[barred.remedy]
    asked = any(remedy.id in (*base.mending(c, symptom), *c.also) for c in base.behind(symptom))
    named = bool(barred.cause and remedy.mends) and base.mends(remedy.id, symptom)
    warned = base.causes[barred.cause].never if barred.cause else ()
    return asked or named or any(n.remedy == remedy.id and symptom in n.tempts_at for n in warned)


def _beside(base: Base, diagnosis: Diagnosis) -> tuple[str, ...]:
    return tuple(base.remedies[r].name for r in diagnosis.conclusion.accompanying)


def _never(base: Base, diagnosis: Diagnosis) -> tuple[Said, ...]:
    """What must not be done, each once with every reason against it."""
    said: dict[str, dict[str, None]] = {}
    for barred in diagnosis.conclusion.barred:
        if _matters(base, barred, diagnosis):
            name, because = _bar(base, barred)
            said.setdefault(name, {})[because] = None
    return tuple(Said(name, " ".join(whys)) for name, whys in said.items())


def _bar(base: Base, barred: Barred) -> tuple[str, str]:
    because = barred.because
    if barred.instead:
        names = ", ".join(base.remedies[r].name.lower() for r in barred.instead)
        because = f"{because} Instead: {names}."
    return base.remedies[barred.remedy].name, because


def _correction(base: Base, diagnosis: Diagnosis) -> tuple[RemedyReport, ...]:
    """Remedies in the order in which the likeliest causes call for them."""
    shown = diagnosis.conclusion.cautions
    found = []
    for remedy_id, causes in diagnosis.conclusion.proposed:
        remedy = base.remedies[remedy_id]
        found.append(
            RemedyReport(
                remedy.id,
                remedy.name,
                tuple(base.causes[c].name for c in causes),
                chance_to_hold(base, diagnosis, remedy_id),
                remedy.applies,
                remedy.steps,
                remedy.tools,
                hours_words(remedy),
                remedy.look_again,
                remedy.warning,
                remedy.reprint,
                tuple(base.cautions[c].name for c in remedy.cautions if c in shown),
            )
        )
    return tuple(found)


def _in_order(steps: tuple[RemedyReport, ...], order: tuple[str, ...]) -> tuple[RemedyReport, ...]:
    """The steps of a plan in its order; the others after them as they were."""
    rank = {remedy: n for n, remedy in enumerate(order)}
    return tuple(sorted(steps, key=lambda step: rank.get(step.id, len(rank))))


def hours_words(remedy: Remedy) -> str:
    """Working time of a remedy in words."""
    hours = remedy.hours
    span = f"{hours.low:g}" if hours.low == hours.high else f"{hours.low:g} to {hours.high:g}"
    per = "" if hours.per == "job" else f" per {hours.per}"
    return f"{span} h{per}{_waiting(remedy)}"


def _waiting(remedy: Remedy) -> str:
    """How long a remedy rests, and when: before the work, within it or after it; or ''."""
    if not remedy.waits_hours:
        return ""
    span = long_words(remedy.waits_hours)
    match remedy.before_waiting_percent:
        case 100:
            return f", then {span} of waiting"
        case 0:
            return f" after {span} of waiting"
    return f", with {span} of waiting in between"


def long_words(hours: float) -> str:
    """A span of time in the unit that people say it in."""
    if hours < 1:
        return f"{60 * hours:.0f} min"
    return f"{hours:g} h" if hours <= _HOURS_SAID else f"{hours / 24:g} days"


_HOURS_SAID = 48


def _payments(base: Base, diagnosis: Diagnosis) -> tuple[Payment, ...]:
    values = diagnosis.trace.values
    return tuple(_payment(base, pays, values) for pays in diagnosis.conclusion.pays)


def _payment(base: Base, pays: Pays, values: Values) -> Payment:
    payer = base.payers[pays.payer]
    evidence = on_file(payer, values)
    return Payment(
        payer=payer.id,
        name=payer.name,
        because=pays.because,
        cause=base.causes[pays.cause].name,
        as_a_rule=pays.as_a_rule,
        on_file=evidence.there,
        missing=evidence.missing,
        against=evidence.against,
        papers=payer.papers,
        to_judge=evidence.to_judge,
    )


def change_words(base: Base, diagnosis: Diagnosis) -> str:
    """What would change the conclusion, in one sentence."""
    change = explain.would_change(diagnosis)
    if change is None:
        return "No single check that is left would put another cause in the lead."
    observable = base.observables[change.observable]
    answer = observable.kind.label_says(change.answer)
    return (
        f"{observable.name}: if it gives '{answer}', {explain.cause_name(base, change.leading)}"
        f" leads with {whole_percent(change.leading_probability)}. The chance that this check puts"
        f" another cause in the lead is {whole_percent(change.chance)}."
    )


def _not_checked(base: Base, diagnosis: Diagnosis) -> tuple[Unchecked, ...]:
    return tuple(
        Unchecked(
            base.observables[q.observable].name,
            sum(base.checks[a].minutes for a in q.asks),
            q.bits,
        )
        for q in diagnosis.choice.questions[:8]
    )
