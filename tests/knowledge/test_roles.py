"""What the program itself has to know of a base is named there by a role, not by an id."""

from __future__ import annotations

import ast
from datetime import datetime
from pathlib import Path

import pytest

import diagnose
from diagnose.knowledge.base import Base
from diagnose.knowledge.soundness.walk import NAMED
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case.casefile import read_case
from diagnose.report.content.whole import whole
from diagnose.report.pages import Audience
from diagnose.report.pages.audience import for_audience
from tests.lines import text
from tests.reasoning import plan_cases
from tests.small import REST, problems, small


def test_the_shipped_base_fills_every_role(base: Base) -> None:
    """Age, length of the edge, who laid it, print, the maker, nobody, no cost, what comes first."""
    assert {role: names for role, names in base.roles.items() if role != "nobody"} == {
        "age": ("age_months",),
        "edge_length": ("lift_length_mm",),
        "printed": ("printed_film",),
        "film_maker": ("film_maker",),
        "same_roll": ("other_jobs_same_roll",),
        "who_laid_it": ("laid_by",),
        "rules_first": ("defer",),
        "no_cost": ("nobody",),
    }
    assert base.roles["nobody"] == ("shared", "undetermined")


@pytest.mark.parametrize(
    ("was", "becomes", "says"),
    [
        (
            "{id: owner, name: The owner,",
            "{id: owner, role: film_maker, name: The owner,",
            "",
        ),
        (
            "{id: owner, name: The owner,",
            "{id: owner, role: nobody, name: The owner,",
            "",
        ),
        (
            "{id: ink, name: Ink,",
            "{id: ink, role: age, name: Ink,",
            "the role 'age' asks for a number in months",
        ),
        (
            "{id: panel_c, name: Panel,",
            "{id: panel_c, role: edge_length, name: Panel,",
            "the role 'edge_length' asks for a number in mm",
        ),
    ],
)
def test_a_role_must_fit_what_has_it(was: str, becomes: str, says: str) -> None:
    """An age is a number in months, a length one in millimetres; a payer needs nothing more."""
    found = [str(p) for p in problems(REST.replace(was, becomes))]

    assert [says in problem for problem in found] == [True] * bool(says)


def test_two_entries_cannot_have_one_role() -> None:
    """The second is told which one has it; nobody in particular may be several."""
    maker = REST.replace("{id: owner,", "{id: owner, role: film_maker,")
    twice = maker.replace("{id: installer,", "{id: installer, role: film_maker,")

    (problem,) = problems(twice)

    assert "installer has the role 'film_maker' already: one entry has it" in str(problem)
    assert not problems(twice.replace("film_maker", "nobody"))


def test_an_unknown_role_is_refused() -> None:
    """Only what the program reckons with is a role."""
    assert problems(REST.replace("{id: owner,", "{id: owner, role: uncle,"))


def test_rules_that_come_first_stand_in_the_report_of_a_base_that_has_them() -> None:
    """The words are those of the caution; a base without one says nothing in its place."""
    caution = "{id: first, name: First, role: rules_first, say: The law is first., source: memory}"
    told = REST.replace("cautions:\n", f"cautions:\n  - {caution}\n")

    assert "The law is first." in lifted(small(told))
    assert "BEFORE ANY WORK" not in lifted(small())


def lifted(base: Base) -> str:
    """The report of a lifted edge in lines."""
    case = "case: x\ncomplaints: [{symptom: lifting, panel: bonnet, answers: {cut: gapes}}]\n"
    found, faults = read_case("x.yaml", case, base)
    assert found is not None, faults
    return text(whole(Reasoner(base), found.case, datetime(2026, 11, 25), "0", None))


def test_an_own_name_for_the_check_of_the_length_prices_the_same() -> None:
    """Call it what you like: the role tells the price how many metres there are."""
    renamed = plan_cases.RULES.replace("id: lift_length_mm", "id: how_long")

    def cost(rules: str, check: str) -> float:
        base = plan_cases.base(rules)
        pricer = plan_cases.pricer(base)
        place = plan_cases.WorkPlace(1, "bonnet", {check: plan_cases.exact(2500)}, (1, 1))
        return pricer.price(base.remedies["relay"], [place]).likely

    usual = cost(renamed, "lift_length_mm")
    assert cost(renamed, "how_long") == cost(plan_cases.RULES, "lift_length_mm") != usual


def test_pages_for_the_maker_are_cut_for_the_payer_that_is_one(
    base: Base, reasoner: Reasoner
) -> None:
    """Of who pays only the maker's own side is left, by whatever id the base calls it."""
    case = (
        "case: x\ncircumstances: {age_months: 30}\n"
        "complaints: [{symptom: yellowing, panel: bonnet, answers: {first_seen: years}}]\n"
    )
    found, faults = read_case("x.yaml", case, base)
    assert found is not None, faults
    report = whole(reasoner, found.case, datetime(2026, 11, 25), "0", None)
    payers = {p.payer for c in report.complaints for p in c.payments}
    assert len(payers) > 1

    for payer in payers:
        cut = for_audience(report, Audience.MAKER, payer)
        assert {p.payer for c in cut.complaints for p in c.payments} == {payer}


def test_a_print_is_told_by_its_role(reasoner: Reasoner) -> None:
    """On printed film the finding with that role is found."""
    values = reasoner.trace(
        AnsweredComplaint("edge_lifting", {"film_finish": "print_with_gloss_laminate"})
    ).values

    assert values[reasoner.base.role("printed")] == "found"


WORDS = {"film_maker", "edge_length", "rules_first", "end_of_life", "all_symptoms"}
"""Roles, origins and all symptoms: words of the file format, which a base may also use as ids."""


def test_no_id_of_the_shipped_base_stands_in_the_program(base: Base) -> None:
    """Measures name their inputs and drawings what they draw; nothing else knows a base by ids."""
    ids = {name for section in NAMED for name in getattr(base, section) if "_" in name} - WORDS
    root = Path(diagnose.__file__).parent
    elsewhere = (root / "measures", root / "report" / "drawings")
    found = [
        f"{path.relative_to(root)}:{node.lineno} {node.value}"
        for path in sorted(root.rglob("*.py"))
        if not path.is_relative_to(elsewhere[0]) and not path.is_relative_to(elsewhere[1])
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in ids
    ]

    assert len(ids) > 500
    assert found == []
