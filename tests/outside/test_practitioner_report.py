"""A practitioner's facts where a customer meets them: in the report with its plan.

All of them are common practice, no source.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from datetime import datetime
from textwrap import dedent

import pytest

from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case.casefile import read_case
from diagnose.report.content.case import build
from diagnose.report.content.plan import build_plan
from diagnose.report.plan_command import terms_of
from diagnose.report.plan_options import add_plan_options
from tests.lines import text

BLOW = """
    case: blow_at_the_harbour_gate
    title: Blow against the rear wing
    vehicle: coupe
    circumstances:
      {{film_class: {film}, age_months: 8, events_since: collision, event_report: on_file}}
    complaints:
      - symptom: impact_damage
        panel: rear_quarter_left
        answers: {{damage_point: dent_under_film}}
    """

SHORT_PIECE = """
    case: short_piece_on_the_bonnet
    title: A shiny band on a matte bonnet
    vehicle: coupe
    circumstances: {film_finish: matte, film_class: cast_pvc, age_months: 0}
    complaints:
      - symptom: sheen_patches
        panel: bonnet
        answers:
          band_border: starts_on_a_line
          relaid_stretched: cut_short_and_drawn
          view_angle: one_side_or_light_only
          first_seen: in_bay
    """

PRINT_OFF = """
    case: wave_that_breaks_at_the_door
    title: A printed wave that does not meet
    vehicle: large van
    circumstances: {film_finish: print_with_gloss_laminate}
    complaints:
      - symptom: print_misalignment
        panel: front_door_left
        answers:
          artwork_kind: gradient_over_panels
          misalign_mm: 4
          misalign_course: constant
          first_seen: in_bay
    """

TOLD: dict[str, tuple[str, tuple[str, ...]]] = {
    "dark marks after a blow on vinyl are adhesive": (
        BLOW.format(film="cast_pvc"),
        ("Dark marks", "with a finger and a little heat"),
    ),
    "the shiny piece is taken off and a new one laid, never stretched again": (
        SHORT_PIECE,
        ("Film stretched past its limit", "[Nn]ew piece|[Rr]eplace", "No second stretch"),
    ),
    "laying again: washed warm, gaps blown out, edges wiped last, dry, pulled along the edge": (
        SHORT_PIECE,
        (
            "Wash with warm water",
            "blow them out",
            "edges, returns and gaps last",
            "Lay dry",
            "Pull along the edge",
        ),
    ),
    "a printed piece slightly off is printed, laminated and laid anew": (
        PRINT_OFF,
        ("Print, and keep a strip", "Laminate with a pair", "lay the new one"),
    ),
}


@pytest.mark.parametrize("fact", TOLD)
def test_the_report_tells_it(reasoner: Reasoner, fact: str) -> None:
    """What the practitioner says of such a car stands in its report."""
    case, words = TOLD[fact]
    report = told(reasoner, case)

    missing = [word for word in words if not re.search(word, report)]

    assert not missing


def told(reasoner: Reasoner, case_text: str) -> str:
    """The report of a case with its plan, on one line."""
    case_file, problems = read_case("case.yaml", dedent(case_text), reasoner.base)
    assert case_file, problems
    case = case_file.case
    car = reasoner.car([AnsweredComplaint(c.symptom, case.answers(c)) for c in case.complaints])
    terms = terms_of(reasoner.base, case, options(), datetime(2026, 3, 2, 8))
    plan = build_plan(reasoner.base, case, car, terms)
    report = build(reasoner.base, case, car, "2026-03-02 08:00", "0", plan)
    return " ".join(text(report).split())


def options(*words: str) -> argparse.Namespace:
    """Options of the plan as a person types them."""
    parser = argparse.ArgumentParser()
    add_plan_options(parser)
    found: Sequence[str] = words
    return parser.parse_args(found)
