"""A check that mended the fault is the repair in small: it raises the chance, and comes first."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.reasoning.correction.situation import chance_if, tried_odds
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.casefile import read_case
from diagnose.report.content.data import ComplaintReport, Report
from diagnose.report.content.plan_data import ComplaintPlanReport
from diagnose.report.content.whole import whole
from diagnose.report.plan_command import example_terms

NOW = datetime(2026, 11, 30, 8)
DOOR = Path("cases/door_return_after_wash.yaml")
HELD = "      relay_after_clean: holds\n"

FRESH = """
case: fresh
circumstances: {film_finish: gloss}
complaints:
  - {symptom: gas_blisters, panel: front_bumper, answers: {paint_age_days: 4}}
  - {symptom: edge_lifting, panel: front_wing_left, answers: {paint_age_days: 4, zone: flat_field}}
"""


@pytest.fixture(scope="module")
def told(base: Base, reasoner: Reasoner) -> Callable[[str], Report]:
    """The report of a case file with its plan, each made once."""
    made: dict[str, Report] = {}

    def report(text: str) -> Report:
        if text not in made:
            found, problems = read_case("told.yaml", text, base)
            assert found is not None, problems
            made[text] = whole(reasoner, found.case, NOW, "0", example_terms(base, NOW))
        return made[text]

    return report


def first(report: Report, number: int = 1) -> tuple[ComplaintReport, ComplaintPlanReport]:
    """A complaint with its plan."""
    plan = report.plan.of(number) if report.plan else None
    assert plan is not None
    return next(c for c in report.complaints if c.number == number), plan


def test_cleaned_and_laid_back_it_holds_so_that_is_done_first(
    told: Callable[[str], Report],
) -> None:
    """Trimming costs one in a hundred less on average, which is no reason to cut the film."""
    text = DOOR.read_text()
    assert HELD in text

    _, held = first(told(text))
    _, untried = first(told(text.replace(HELD, "")))

    assert held.steps[0].id == "clean_and_relay_edge"
    assert untried.steps[0].id == "trim_back_edge"
    now, before = ({s[0]: s[2] for s in p.starts} for p in (held, untried))
    assert now["Clean and re-lay the edge"] > before["Clean and re-lay the edge"]
    assert held.expected == pytest.approx(sum(p * m for _, p, m in held.arithmetic))


def test_a_trial_raises_the_odds_by_bayes_rule(base: Base) -> None:
    """Of repairs that fail 30 in 100 pass the trial: odds of 1 to 1 become 10 to 3."""
    remedy = base.remedies["clean_and_relay_edge"]
    odds = tried_odds(remedy, {"relay_after_clean": "holds"})
    cause = next(c for c in base.causes.values() if c.remedies.get(remedy.id) == 50)

    assert odds == pytest.approx(100 / 30)
    assert chance_if(cause, remedy.id, odds) == pytest.approx(10 / 13)
    assert tried_odds(remedy, {"relay_after_clean": "creeps_up"}) == 1


def test_a_trial_does_not_make_possible_what_a_cause_forbids(base: Base) -> None:
    """What must never be done under a cause has no chance there, whatever held for ten minutes."""
    forbidding = [
        (cause, remedy)
        for cause in base.causes.values()
        for remedy in base.remedies.values()
        if remedy.tried and any(never.remedy == remedy.id for never in cause.never)
    ]

    assert forbidding
    assert all(chance_if(cause, remedy.id, 5.0) == 0 for cause, remedy in forbidding)


def test_a_remedy_has_one_figure_wherever_it_is_named(told: Callable[[str], Report]) -> None:
    """In the plan, among other beginnings, at the break-even and under the correction."""
    compared = 0
    for text in (DOOR.read_text(), FRESH):
        report = told(text)
        for complaint in report.complaints:
            _, plan = first(report, complaint.number)
            holds = {step.name: step.holds for step in complaint.correction}
            elsewhere = [
                *((s.name, s.holds) for s in plan.steps),
                *((name, chance) for name, _, chance, _ in plan.starts),
                *((name, chance) for name, _, chance in plan.thresholds),
            ]
            for name, chance in elsewhere:
                assert chance == pytest.approx(holds[name]), name
                compared += 1
    assert compared > 10


def test_wait_and_work_stand_in_the_order_of_doing(told: Callable[[str], Report]) -> None:
    """Film off, thirty days of curing, then the new film: in words and in the calendar."""
    complaint, plan = first(told(FRESH))
    step = plan.steps[0]
    stages = [name for name, _, _ in step.time.slots]

    assert step.id == "strip_and_wait_for_cure"
    assert complaint.correction[0].hours == "2 to 6 h per piece, with 30 days of waiting in between"
    assert stages.index("take off and make ready") < stages.index("wait") < stages.index("lay")
    assert stages[-1] != "wait"
