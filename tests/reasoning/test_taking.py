"""What measures take of a case, what the tool asks for them, and cases that a measure decides."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer, parse
from diagnose.measures.quantity import Quantity, exact
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.chain import Chain
from diagnose.reasoning.evidence.columns import columns, with_measures
from diagnose.reasoning.evidence.measure_inputs import fits, inputs, needed
from diagnose.reasoning.explanation.reckoned import measured
from diagnose.records.case.casefile import read_case
from tests.small import REST, problems

CASES = Path(__file__).resolve().parents[2] / "cases"

PRINT: dict[str, Answer] = {
    "film_finish": "print_with_gloss_laminate",
    "ink_kind": "solvent_or_eco",
    "print_to_laminate_h": exact(50),
    "first_seen": "weeks",
}


def told(base: Base, name: str, **changed: str | None) -> AnsweredComplaint:
    """A worked case as it stands on record, with some answers changed or taken out."""
    path = CASES / f"{name}.yaml"
    case_file, faults = read_case(path.name, path.read_text(encoding="utf-8"), base)
    assert case_file is not None, faults
    complaint = case_file.case.complaints[0]
    answers = dict(case_file.case.answers(complaint))
    for check, words in changed.items():
        answers.pop(check, None)
        if words is not None:
            answers[check] = parse(base.checks[check], words)
    return AnsweredComplaint(complaint.symptom, answers)


def leading(reasoner: Reasoner, complaint: AnsweredComplaint) -> str:
    """The cause in front."""
    first = reasoner.differential(complaint).leading
    return first.cause.id if first else ""


DECIDED = [
    ("gun_left_at_bare_metal", {"gun_setting": "0.95"}, "bridged_then_pushed"),
    ("still_wet_after_three_summers", {"pocket_height_mm": "3"}, "pressure_lance"),
]


@pytest.mark.parametrize(("name", "otherwise", "then"), DECIDED)
def test_one_reading_behind_a_measure_changes_the_diagnosis(
    base: Base,
    reasoner: Reasoner,
    name: str,
    otherwise: Mapping[str, str],
    then: str,
) -> None:
    """The gun's setting, the cold of the drying room, the height of a pocket: by a measure only."""
    path = CASES / f"{name}.yaml"
    case_file, _ = read_case(path.name, path.read_text(encoding="utf-8"), base)
    assert case_file is not None
    outcome = case_file.case.complaints[0].outcome
    assert outcome is not None
    (changed,) = otherwise
    read = {
        s for cause in base.causes.values() for sign in cause.signs for s in sign.when.subjects()
    }

    assert changed not in read
    assert leading(reasoner, told(base, name)) == outcome.cause
    assert leading(reasoner, told(base, name, **otherwise)) == then


def test_one_reading_behind_a_measure_unsettles_a_diagnosis(base: Base, reasoner: Reasoner) -> None:
    """In a cold room the print was laid too soon, clearly; in a warm one that is an open question."""
    name = "hung_two_days_in_the_boathouse"
    cold, warm = (
        reasoner.differential(told(base, name, **air)).of("insufficient_degassing").probability
        for air in ({}, {"drying_air_c": "24"})
    )

    assert cold >= base.scales.probable_percent / 100
    assert warm < base.scales.possible_percent / 100


def test_what_has_no_value_of_its_own_is_needed(base: Base) -> None:
    """Hours and ink are needed for the wait; load, room and rack are taken widely if not known."""
    use = base.measures["print_wait_share"]

    assert needed(base, use) == ("print_to_laminate_h", "ink_kind")
    assert "recess_wall_deg" in needed(base, base.measures["demand_vs_limit"])


def test_a_choice_is_taken_where_the_measure_knows_its_word(base: Base) -> None:
    """A film that is not printed has no ink to wait for, and no number is made up for it."""
    use = base.measures["print_wait_share"]

    assert fits(base, use, "ink_kind", "latex")
    assert not fits(base, use, "ink_kind", "no_print")
    assert inputs(base, use, {"ink_kind": "no_print", "print_to_laminate_h": exact(2)}) == {
        "print_to_laminate_h": exact(2)
    }


ROWS: list[dict[str, Quantity | str]] = [
    {"ink_kind": "solvent_or_eco", "print_to_laminate_h": exact(50)},
    {"ink_kind": "no_print", "print_to_laminate_h": exact(50)},
    {"print_to_laminate_h": exact(50)},
    {"ink_kind": "latex", "print_to_laminate_h": exact(50), "drying_posture": "tight_roll"},
    {
        "ink_kind": "solvent_or_eco",
        "print_to_laminate_h": Quantity(40, 50),
        "drying_posture": "flat_or_hung_with_air",
        "drying_air_c": exact(10),
        "ink_load_percent": exact(300),
    },
    {"film_finish": "chrome", "post_heat_c": exact(70)},
    {"film_finish": "matte", "post_heat_c": exact(70), "gun_setting": exact(0.8)},
    {"came_in_c": exact(-4), "install_air_temp_c": exact(21), "bay_minutes": exact(8),
     "install_rh_percent": exact(60), "substrate": "painted_plastic"},
]  # fmt: skip


def test_many_rows_and_one_case_reckon_alike(base: Base) -> None:
    """Choices, needed and assumed inputs give the same number in a backlog and in a callback."""
    table = with_measures(base, columns(base, ROWS))
    chain = Chain(base, "edge_lifting")

    for place, row in enumerate(ROWS):
        values = chain.run(row).values
        for use in base.measures.values():
            ends = table.numbers.get(use.id)
            low, high = (float(its[place]) for its in ends) if ends else (float("nan"),) * 2
            assert values.get(use.id) == (None if low != low else Quantity(low, high))


def test_what_was_assumed_is_asked_where_it_keeps_a_number_open(
    base: Base, reasoner: Reasoner
) -> None:
    """Fifty hours may be too few in a cold room with heavy ink: the tool asks, and is told why."""
    complaint = AnsweredComplaint("laminate_delamination", PRINT)
    diagnosis = reasoner.diagnose(complaint)
    (wait,) = (m for m in measured(base, diagnosis.trace) if m.name.startswith("Wait"))
    asked = {q.observable: q.asks for q in reasoner.choose(complaint).questions}

    room = "Air where the print dried"
    assert f"on both sides of 1 and tells less than it could: find out '{room}'" in wait.unsettled
    assert asked["print_wait_share"] == ("drying_air_c",)

    cold = {**PRINT, "drying_air_c": exact(12)}
    then = reasoner.choose(AnsweredComplaint("laminate_delamination", cold)).questions

    assert {q.observable: q.asks for q in then}["print_wait_share"] == ("ink_load_percent",)


def test_what_cannot_be_found_out_is_not_asked_again(reasoner: Reasoner) -> None:
    """Neither load nor room can be told: the measure stays open, and the tool asks other things."""
    closed = {**PRINT, "ink_load_percent": UNKNOWN, "drying_air_c": UNKNOWN}
    asked = reasoner.choose(AnsweredComplaint("laminate_delamination", closed)).questions

    assert "print_wait_share" not in {q.observable for q in asked}


def test_a_reading_on_chrome_is_refused_in_the_words_of_the_checks(
    base: Base, reasoner: Reasoner
) -> None:
    """A mirror shows the room: no number, and the way to one that is true."""
    answers: dict[str, Answer] = {"film_finish": "chrome", "post_heat_c": exact(70)}
    diagnosis = reasoner.diagnose(AnsweredComplaint("recess_pop_out", answers))
    (heat,) = measured(base, diagnosis.trace)

    assert "stick matt tape on the film" in heat.says
    assert "post_heat_margin_k" not in diagnosis.trace.values


FAULTS = [
    ("air_temp_c: adhesive, humidity_percent: 50", "takes a number, and adhesive is not that"),
    ("air_temp_c: panle_c, humidity_percent: 50", "no check or measure is called 'panle_c'"),
    ("humidity_percent: 50", "needs the input 'air_temp_c'"),
]


@pytest.mark.parametrize(("given", "said"), FAULTS)
def test_an_input_that_no_answer_can_fill_is_refused(given: str, said: str) -> None:
    """A choice for a number, a misspelt check, a missing input: a sentence with its place."""
    measures = f"""
measures:
  - {{id: dew, name: Dew, function: dew_point_c, unit: °C, source: common-practice,
     inputs: {{{given}}}}}
"""

    assert any(said in str(problem) for problem in problems(REST + measures))


def test_a_word_is_taken_from_a_check_that_can_give_it() -> None:
    """Answers of which none is a word of the input are refused; so is a need for nothing."""
    measures = """
measures:
  - {id: wait, name: Wait, function: print_wait_share, unit: ratio, source: common-practice,
     needed: [stacking], inputs: {print_to_laminate_h: panel_c, ink: adhesive}}
"""
    said = "\n".join(map(str, problems(REST + measures)))

    assert "none of the answers of adhesive is a word of ink" in said
    assert "needs 'stacking', and nothing is named for it under inputs" in said
