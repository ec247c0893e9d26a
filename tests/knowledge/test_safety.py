"""Where work can hurt someone, the cautions stand whole: read off the steps of the shipped base.

A remedy, a check or a step of laying that warms, wipes or leaves film loose on the road is known by
its words, so that a new entry cannot leave its cautions out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Check, Remedy
from diagnose.reasoning.correction.aftermath import opens_film
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint

HEAT = frozenset(
    [
        "heat_gun",
        "hot_metal",
        "air_first",
        "airbag",
        "sensors",
        "pressurised_parts",
        "gas_on_board",
        "ev_heat",
        "glass_shock",
    ]
)
SOLVENT = frozenset(
    ["solvent_fire", "solvent_health", "solvent_paint", "skin", "waste", "air_first"]
)
ROAD = frozenset(["road_safety", "lights_plates", "sensors"])

WARMS = re.compile(
    r"heat gun|steamer|heat lamp|with heat\b|\boff warm|\bwarm and (slow|press)"
    r"|\b(warm|heat) (it|them|each|both|every|the (film|span|area|spot|place|piece|mark|bump)"
    r"|a (patch|hand)|slowly|evenly)\b|take the (old )?film off",
    re.IGNORECASE,
)
WIPES = re.compile(
    r"\balcohol\b|\bsolvent\b|degreas|\bremover\b|\bcleaner\b|\bpromoter\b|\btest inks?\b"
    r"|\bclean a hidden place\b",
    re.IGNORECASE,
)
LOOSE = (
    "edge_lifting",
    "corner_lifting",
    "seam_opening",
    "recess_pop_out",
    "panel_loss",
    "torn_edges",
    "laminate_delamination",
)
"""Symptoms at which film can come loose in the wind of a drive."""


def of_a_remedy(remedy: Remedy) -> str:
    """What is done, and with what."""
    return " ".join((*remedy.steps, *remedy.tools))


def of_a_check(check: Check) -> str:
    """What is done at the car, and with what; a question that reads papers does nothing there."""
    return f"{check.tool} {check.how}" if check.place.value != "paperwork" else ""


def entries(base: Base) -> Iterator[tuple[str, str, frozenset[str]]]:
    """Name, words and cautions of whatever is done to a car."""
    for remedy in base.remedies.values():
        yield remedy.id, of_a_remedy(remedy), frozenset(remedy.cautions)
    for check in base.checks.values():
        yield check.id, of_a_check(check), frozenset(check.cautions)


@pytest.mark.parametrize(
    ("words", "needed", "asked_only", "least"),
    [
        (WARMS, HEAT, set(), 25),
        (WIPES, SOLVENT, {"solvent_smell", "residue_place", "warm_growth"}, 15),
    ],
)
def test_what_warms_or_wipes_carries_its_whole_set(
    base: Base, words: re.Pattern[str], needed: frozenset[str], asked_only: set[str], least: int
) -> None:
    """No set has a gap, wherever a step warms or wipes.

    `asked_only` names checks that speak of warmth or of a cleaner only to say that it is not used.
    """
    found = {name: has for name, text, has in entries(base) if words.search(text)}
    gaps = {n: sorted(needed - has) for n, has in found.items() if n not in asked_only}

    assert {n: gap for n, gap in gaps.items() if gap} == {}
    assert asked_only <= found.keys()
    assert len(found) >= least


def test_what_lays_film_anew_carries_what_the_steps_of_laying_call_for(base: Base) -> None:
    """The sheet of laying warms and wipes; a remedy that ends in it carries both sets."""
    steps = " ".join(step.says for step in base.work_steps.values())
    laying = [r for r in base.remedies.values() if r.kind == "replace"]

    assert WARMS.search(steps) or "Heat every" in steps
    assert WIPES.search(steps)
    assert {r.id: sorted((HEAT | SOLVENT) - set(r.cautions)) for r in laying} == {
        r.id: [] for r in laying
    }
    assert len(laying) >= 5


def test_what_takes_film_off_carries_the_set_for_heat(base: Base) -> None:
    """Film comes off warm, whether the step says so or not."""
    off = [r for r in base.remedies.values() if r.kind == "removal" and opens_film(base, [r.id])]

    assert off
    assert all(set(r.cautions) >= HEAT for r in off)


def test_loose_film_warns_of_the_road_whatever_the_cause(base: Base, reasoner: Reasoner) -> None:
    """The set for the road belongs to the symptom and stands before any cause is known."""
    assert {s: sorted(ROAD - set(base.symptoms[s].cautions)) for s in LOOSE} == {
        s: [] for s in LOOSE
    }
    for symptom in LOOSE:
        shown = reasoner.diagnose(AnsweredComplaint(symptom, {})).conclusion.cautions
        assert set(shown) >= ROAD, symptom


def test_what_smells_is_aired_before_it_is_warmed(base: Base) -> None:
    """Whatever warms says to air first, and so does the check that looks for the smell."""
    assert "still smells is not warmed" in base.cautions["air_first"].say
    assert "air_first" in base.checks["solvent_smell"].cautions
    assert base.cautions["air_first"].when is None
