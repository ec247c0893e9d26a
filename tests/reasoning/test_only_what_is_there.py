"""Only what is there is asked about, over drawn callbacks of the shipped base."""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest

from diagnose.dialogue.dialogue import PAUSE, Dialogue
from diagnose.dialogue.journals import LooseJournal
from diagnose.dialogue.step import Stage
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer
from diagnose.knowledge.model.conditions import NoneOf
from diagnose.knowledge.panels import PANELS, sideless
from diagnose.measures.quantity import exact
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.questions.question import Stop
from tests.terminal.workshop import clock

UNSURE = 0.4
"""Share of the drawn answers that are 'could not tell'."""


def callbacks(reasoner: Reasoner, count: int) -> Iterator[tuple[AnsweredComplaint, str]]:
    """Moments of drawn callbacks, each with the check that is asked then."""
    draw, base = random.Random(17), reasoner.base
    symptoms, panels = list(base.symptoms), list(PANELS)
    while count > 0:
        symptom, panel = draw.choice(symptoms), draw.choice(panels)
        given: dict[str, Answer] = {n: _drawn(base, n, draw) for n in base.intake}
        for _ in range(draw.randint(1, 12)):
            its = AnsweredComplaint(symptom, dict(given), panel=panel)
            questions = reasoner.choose(its).questions
            if not questions:
                break
            check = draw.choice(questions[:4]).asks[0]
            yield its, check
            count -= 1
            given[check] = _drawn(base, check, draw)


def _drawn(base: Base, check: str, draw: random.Random) -> Answer:
    its = base.checks[check]
    if draw.random() < UNSURE:
        return UNKNOWN
    if its.number is not None:
        return exact(round(draw.uniform(its.number.low, its.number.high), 1))
    return draw.choice(list(its.answers))


def test_nothing_is_asked_about_what_is_not_there(reasoner: Reasoner, campaign: int) -> None:
    """No metal under plastic, no recess without one, no follow-up to an answer nobody could give."""
    base, seen = reasoner.base, 0
    for complaint, name in callbacks(reasoner, 300 if campaign < 400 else 5000):
        check, values = base.checks[name], reasoner.trace(complaint).values
        told = (complaint.symptom, complaint.panel, name)

        assert name not in base.symptoms[complaint.symptom].shows, told
        assert base.makes_sense(check, complaint.symptom), told
        kinds = [base.place_kinds[kind].panels for kind in check.not_on]
        assert all(sideless(complaint.panel) not in panels for panels in kinds), told
        for test in check.asked_when.tests if check.asked_when else ():
            holds = test.holds(values[test.subject]) if test.subject in values else None
            assert holds is not False, told
            assert holds or isinstance(test, NoneOf), told
        assert check.place != "lab", told
        assert check.harm != "destructive", told
        seen += 1
    assert seen >= 300


def test_a_recess_has_no_bump_to_feel_and_no_lines_to_look_at(reasoner: Reasoner) -> None:
    """What tells a symptom from its look-alikes is asked only where there is that to look at."""
    dialogue = Dialogue(reasoner, LooseJournal("2026-03-04-0001", clock()))
    dialogue.say_symptom("recess_pop_out")
    dialogue.say_panel("front_bumper")
    asked = []
    while (step := dialogue.step()).stage is Stage.CHECK:
        assert step.check is not None
        asked.append(step.check.id)
        if step.check.id == "film_class":
            dialogue.answer("film_class", "cast_pvc")
            continue
        dialogue.could_not_tell(step.check.id)

    told = {other.check for other in reasoner.base.symptoms["recess_pop_out"].confused_with}
    assert {"bump_feel", "line_form", "pin_prick"} <= told
    assert not {"bump_feel", "line_form", "pin_prick"} & set(asked)
    assert "recess_state" in asked


FLAT = ("silvering", "channel_lines", "staining", "fading", "sheen_patches", "stretch_marks")
"""Symptoms at which nothing is raised."""

HOLDING = ("wash_marring", "squeegee_scratches", "fading", "chalking", "edge_retreat", "staining")
"""Symptoms at which the film holds to its end."""

COVERED = ("grit_bumps", "orange_peel", "creases", "heat_marks", "print_flaws", "air_bubbles")
"""Symptoms at which no paint lies bare that was under the film."""


@pytest.mark.parametrize(
    ("symptoms", "checks"),
    [
        (FLAT, ("bump_feel", "bump_size_mm", "bump_count_dm2", "pin_prick", "bump_loupe")),
        (HOLDING, ("thumb_relay", "relay_after_clean", "lift_length_mm", "lift_depth_mm")),
        (COVERED, ("water_break", "dyne_pen_mnm", "knife_line_in_paint", "uncovered_strip")),
        (("knife_cuts", "impact_damage", "fading"), ("heat_relax", "sound_tap", "press_clears")),
        (("grit_bumps", "fibre_inclusion", "creases"), ("haze_layer", "wipe_test")),
    ],
)
def test_what_an_installer_would_laugh_at_is_not_asked(
    base: Base, symptoms: tuple[str, ...], checks: tuple[str, ...]
) -> None:
    """No bump at a flat mark, no edge to press back where film holds, no bare paint under film.

    Not even to tell the symptom from one that has it: the symptom was chosen by its look.
    """
    for symptom in symptoms:
        for check in checks:
            assert not base.makes_sense(base.checks[check], symptom), (symptom, check)


@pytest.mark.parametrize("symptom", ["edge_lifting", "tunnelling", "gas_blisters", "staining"])
def test_who_can_tell_nothing_is_not_asked_on_and_on(reasoner: Reasoner, symptom: str) -> None:
    """With everything unsure the questions end early, and say that no check would tell enough."""
    base = reasoner.base
    given: dict[str, Answer] = dict.fromkeys(base.intake, UNKNOWN)
    while (
        choice := reasoner.choose(AnsweredComplaint(symptom, given))
    ).questions and not choice.stop:
        given[choice.questions[0].asks[0]] = UNKNOWN

    assert len(given) - len(base.intake) <= 8
    assert choice.stop is not None


def test_who_can_tell_nothing_is_not_asked_about_look_alikes_either(reasoner: Reasoner) -> None:
    """The honest state comes after a few questions; no other symptom is asked about before it."""
    dialogue = Dialogue(reasoner, LooseJournal("2026-03-04-0001", clock()))
    dialogue.say_symptom("edge_retreat")
    dialogue.say_panel("front_door_left")
    while (step := dialogue.step()).stage is Stage.CHECK:
        assert step.check is not None
        dialogue.could_not_tell(step.check.id)

    assert len(dialogue.answered()) - len(reasoner.base.intake) <= 8
    assert step.stop is Stop.NOTHING_TELLS


def test_after_many_checks_it_is_said_where_it_stands(reasoner: Reasoner) -> None:
    """A pause after so many checks set aside or told; whoever goes on is asked on as before."""
    draw = random.Random(3)
    dialogue = Dialogue(reasoner, LooseJournal("2026-03-04-0001", clock()))
    dialogue.say_symptom("edge_lifting")
    dialogue.say_panel("front_door_left")
    for name in reasoner.base.intake:
        dialogue.could_not_tell(name)
    while dialogue.step().stage is Stage.CHECK and len(dialogue.answered()) < 40:
        check = dialogue.step().check
        assert check is not None
        dialogue.answer(check.id, _drawn(reasoner.base, check.id, draw))

    assert len(dialogue.answered()) <= PAUSE + len(reasoner.base.intake)
    assert dialogue.step().stage is Stage.ENOUGH
    if dialogue.step().stop is Stop.MANY_ASKED:
        dialogue.go_on()
        assert dialogue.step().stop is not Stop.MANY_ASKED
