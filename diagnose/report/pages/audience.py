"""Who reads a report, and what of it is theirs.

What is not theirs is taken out of the report itself, before anything is made of it, so that no
format, JSON too, can show it by mistake.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

from diagnose.knowledge.logic.answers import UNTOLD
from diagnose.reasoning.correction.verdict import Verdict
from diagnose.reasoning.explanation.said import Said
from diagnose.report.content.data import ComplaintReport, Payment, RemedyReport, Report
from diagnose.report.content.plan_data import (
    CarriesReport,
    ComplaintPlanReport,
    PlannedStep,
    PlanReport,
)
from diagnose.report.content.plan_data import StepMoney as Money


class Audience(StrEnum):
    """A reader: whoever owns the car, who made the film, or whoever keeps the file."""

    CUSTOMER = "customer"
    MAKER = "maker"
    FILE = "file"

    @property
    def words(self) -> str:
        """Whom the pages are for, as their head says it."""
        return {"customer": "For the customer", "maker": "For the film maker"}.get(
            self.value, "For the file"
        )


_MAKERS_FACTS = ("vehicle", "film", "lot", "installer", "laid on", "seen on")
_NO_MONEY = Money(0, 0, 0, (), (), ())


def for_audience(report: Report, audience: Audience, maker: str = "") -> Report:
    """The report with only what is the reader's; `maker`: the payer that the film's maker is.

    The maker gets no remark or place (words of the customer), no prices and dates of the shop, no
    counts of its closed cases, and of who carries the cost only what concerns the maker. The
    customer gets what the page in plain words says, and nothing behind it.
    """
    match audience:
        case Audience.CUSTOMER:
            return _customers(report)
        case Audience.MAKER:
            return _makers(report, maker)
        case Audience.FILE:
            return report


def _makers(report: Report, maker: str) -> Report:
    return replace(
        report,
        facts=tuple(fact for fact in report.facts if fact.name in _MAKERS_FACTS),
        complaints=tuple(_makers_complaint(c, maker) for c in report.complaints),
        plan=report.plan and _makers_plan(report.plan, maker),
        learned=(),
        like=(),
    )


def _makers_complaint(complaint: ComplaintReport, maker: str) -> ComplaintReport:
    mine = tuple(p for p in complaint.payments if p.payer == maker)
    return replace(complaint, payments=mine, for_owner=())


def _makers_plan(plan: PlanReport, maker: str) -> PlanReport:
    return replace(
        plan,
        shop="",
        letterhead=(),
        note="",
        currency="",
        start="",
        complaints=tuple(_makers_steps(c, maker) for c in plan.complaints),
        shared=tuple((name, numbers, 0.0, reached) for name, numbers, _, reached in plan.shared),
        expected=0.0,
        apart=0.0,
        ready="",
        working_days=0,
        what_if=(),
    )


def _makers_steps(plan: ComplaintPlanReport, maker: str) -> ComplaintPlanReport:
    return replace(
        plan,
        steps=tuple(map(_without_money, plan.steps)),
        expected=0.0,
        part=0.0,
        arithmetic=(),
        starts=(),
        not_the_cheapest="",
        thresholds=(),
        nothing_shows="",
        under_film=tuple((says, "") for says, _ in plan.under_film),
        impact=tuple((says, "") for says, _ in plan.impact),
        carries=_makers_side(plan.carries, maker),
    )


def _without_money(step: PlannedStep) -> PlannedStep:
    time = replace(step.time, slots=(), ready="", working_days=0, check_again="")
    return replace(step, money=replace(_NO_MONEY, film=step.money.film), time=time, dearer=())


def _makers_side(carries: CarriesReport, maker: str) -> CarriesReport:
    """What is said of the maker alone; the verdict only where the maker stands in it by itself."""
    sides = tuple(s for s in carries.sides if s.payer == maker)
    alone = len(carries.sides) == 1 and bool(sides)
    says = carries.says if alone else ""
    papers = carries.papers if sides else ()
    return replace(carries, says=says, sides=sides, would_turn=(), papers=papers)


_CUSTOMERS_FACTS = ("vehicle", "laid on", "handed on", "seen on")
_SHOWN_ANSWERS = 6


def _customers(report: Report) -> Report:
    return replace(
        report,
        facts=tuple(fact for fact in report.facts if fact.name in _CUSTOMERS_FACTS),
        circumstances=(),
        complaints=tuple(map(_customers_complaint, report.complaints)),
        vehicle_wide=(),
        plan=report.plan and _customers_plan(report.plan),
        learned=(),
        like=(),
        looked=(),
    )


def _customers_complaint(complaint: ComplaintReport) -> ComplaintReport:
    """What was found, why in plain words, what is done, who carries it, what to mind."""
    return replace(
        complaint,
        look="",
        answers=_found(complaint),
        cause="",
        mechanism="",
        origin="",
        ranked=(),
        reasons_for=(),
        reasons_against=(),
        why_not=(),
        ruled_out=(),
        correction=tuple(map(_customers_remedy, complaint.correction)),
        beside=(),
        never=(),
        should_it_be=(),
        payments=tuple(map(_customers_payment, complaint.payments[:1])),
        prevention="",
        would_change="",
        not_checked=(),
        later=(),
        contradictions=(),
        rather=(),
        cautions=(),
        measured=(),
        misfit=None,
        inseparable="",
    )


def _found(complaint: ComplaintReport) -> tuple[Said, ...]:
    """What was looked at and told something, what weighs most for or against the cause first."""
    reasons = (*complaint.reasons_for, *complaint.reasons_against)
    heaviest = sorted(reasons, key=lambda reason: -abs(reason.decibans))
    place = {seen.name: n for n, reason in reversed([*enumerate(heaviest)]) for seen in reason.seen}
    told = (said for said in complaint.answers if said.words != UNTOLD)
    ranked = sorted(told, key=lambda said: place.get(said.name, len(place)))
    return tuple(ranked[:_SHOWN_ANSWERS])


def _customers_remedy(step: RemedyReport) -> RemedyReport:
    return replace(
        step, serves=(), applies="", steps=(), tools=(), hours="", warning=None, cautions=()
    )


def _customers_payment(payment: Payment) -> Payment:
    """The payer and the rule; what is on file for and against is the shop's to weigh."""
    return replace(payment, cause="", on_file=(), missing=(), against=(), papers=(), to_judge=())


def _customers_plan(plan: PlanReport) -> PlanReport:
    return replace(
        plan,
        note="",
        complaints=tuple(map(_customers_steps, plan.complaints)),
        shared=(),
        apart=0.0,
        sheet=(),
        what_if=(),
    )


def _customers_steps(plan: ComplaintPlanReport) -> ComplaintPlanReport:
    return replace(
        plan,
        steps=tuple(map(_customers_step, plan.steps)),
        ending="" if plan.steps else plan.ending,
        stop_repairing="",
        starts=(),
        not_the_cheapest="",
        thresholds=(),
        match=(),
        match_reaches="",
        match_unknown=(),
        nothing_shows="",
        under_film=(),
        impact=(),
        carries=_customers_side(plan.carries),
    )


def _customers_step(step: PlannedStep) -> PlannedStep:
    money = replace(step.money, parts=(), film=(), assumed=())
    time = replace(step.time, slots=step.time.slots[:1])
    return replace(step, money=money, time=time, if_it_fails=(), dearer=(), risks=())


def _customers_side(carries: CarriesReport) -> CarriesReport:
    """The verdict; its words only where several share, since else the payer is named by itself."""
    says = carries.says if carries.verdict == Verdict.SHARED else ""
    return replace(carries, says=says, sides=(), would_turn=(), papers=())
