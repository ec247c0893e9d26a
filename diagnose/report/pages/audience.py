"""Who reads a report, and what of it is theirs.

What is not theirs is taken out of the report itself, before any page is made of it, so that no
format can show it by mistake.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

from diagnose.report.content import ComplaintReport, Report
from diagnose.report.plan_data import CarriesReport, ComplaintPlanReport, PlannedStep, PlanReport
from diagnose.report.plan_data import StepMoney as Money


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


MAKER = "film_maker"
"""The payer by whose eyes the pages for a maker are cut."""

_MAKERS_FACTS = ("vehicle", "film", "lot", "installer", "laid on", "seen on")
_NO_MONEY = Money(0, 0, 0, (), (), ())


def for_audience(report: Report, audience: Audience) -> Report:
    """The report with only what is the reader's.

    The maker gets no remark or place (words of the customer), no prices and dates of the shop, no
    counts of its closed cases, and of who carries the cost only what concerns the maker. The
    customer's pages draw on the whole report and say only what concerns a customer.
    """
    if audience is not Audience.MAKER:
        return report
    return replace(
        report,
        facts=tuple((name, words) for name, words in report.facts if name in _MAKERS_FACTS),
        complaints=tuple(map(_makers_complaint, report.complaints)),
        plan=report.plan and _makers_plan(report.plan),
        learned=(),
    )


def _makers_complaint(complaint: ComplaintReport) -> ComplaintReport:
    mine = tuple(p for p in complaint.payments if p.payer == MAKER)
    return replace(complaint, payments=mine, for_owner=())


def _makers_plan(plan: PlanReport) -> PlanReport:
    return replace(
        plan,
        shop="",
        note="",
        currency="",
        start="",
        complaints=tuple(map(_makers_steps, plan.complaints)),
        shared=tuple((name, numbers, 0.0, reached) for name, numbers, _, reached in plan.shared),
        expected=0.0,
        apart=0.0,
        ready="",
        working_days=0,
        what_if=(),
    )


def _makers_steps(plan: ComplaintPlanReport) -> ComplaintPlanReport:
    return replace(
        plan,
        steps=tuple(map(_without_money, plan.steps)),
        expected=0.0,
        part=0.0,
        arithmetic=(),
        starts=(),
        not_the_cheapest="",
        thresholds=(),
        under_film=tuple((says, "") for says, _ in plan.under_film),
        impact=tuple((says, "") for says, _ in plan.impact),
        carries=_makers_side(plan.carries),
    )


def _without_money(step: PlannedStep) -> PlannedStep:
    time = replace(step.time, slots=(), ready="", working_days=0, check_again="")
    return replace(step, money=replace(_NO_MONEY, film=step.money.film), time=time, dearer=())


def _makers_side(carries: CarriesReport) -> CarriesReport:
    """What is said of the maker alone; the verdict only where the maker stands in it by itself."""
    sides = tuple(s for s in carries.sides if s.payer == MAKER)
    alone = len(carries.sides) == 1 and bool(sides)
    says = carries.says if alone else ""
    papers = carries.papers if sides else ()
    return replace(carries, says=says, sides=sides, would_turn=(), papers=papers)
