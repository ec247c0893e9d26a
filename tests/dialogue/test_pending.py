"""What was chosen and stands in no event yet is kept as data, and gone on from."""

from __future__ import annotations

import json

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.journals import LooseJournal
from diagnose.dialogue.own_words import PLACE, ReadText, SaidLine
from diagnose.dialogue.pending import Pending, from_data, to_data
from diagnose.dialogue.step import Stage
from diagnose.measures.quantity import Quantity
from tests.terminal.workshop import clock, reasoner


def begun() -> tuple[Dialogue, LooseJournal]:
    """A callback on the small rule base, with its journal."""
    journal = LooseJournal("2026-03-04-0001", clock())
    return Dialogue(reasoner(), journal), journal


def again(dialogue: Dialogue, journal: LooseJournal) -> Dialogue:
    """The same callback after the program was started anew, from what was written down."""
    data = json.loads(json.dumps(to_data(dialogue.pending())))
    found = Dialogue(reasoner(), journal)
    found.resume(from_data(found.base, data))
    return found


def test_a_symptom_waits_for_its_place() -> None:
    """The place is asked for again, and the complaint begins with it."""
    dialogue, journal = begun()
    dialogue.name_symptom("edge_lifting")
    later = again(dialogue, journal)

    assert later.step().stage is Stage.PANEL
    later.say_panel("roof")
    assert [(c.symptom, c.panel) for c in later.case.complaints] == [("edge_lifting", "roof")]


def test_what_own_words_gave_waits_for_the_symptom() -> None:
    """Answers and place that were confirmed are written down once the symptom is named."""
    dialogue, journal = begun()
    dialogue.opening.tell("on the roof, gloss film, half a year old or a little more")
    lines = (
        SaidLine(PLACE, "roof", "Place", "Roof", "on the roof", True),
        SaidLine("film_finish", "gloss", "Finish of the film", "gloss", "gloss film", True),
        SaidLine(
            "age_months", Quantity(6, 8), "Age of the wrap", "6 to 8 months", "half a year", True
        ),
    )
    dialogue.confirm(ReadText("as told", lines, ()))
    later = again(dialogue, journal)
    later.say_symptom("edge_lifting")

    assert [(c.symptom, c.panel) for c in later.case.complaints] == [("edge_lifting", "roof")]
    assert later.case.circumstances == {"film_finish": "gloss", "age_months": Quantity(6, 8)}


def test_asked_on_stays_asked_on() -> None:
    """Who wanted further questions after the conclusion is still asked."""
    dialogue, journal = begun()
    dialogue.name_symptom("edge_lifting")
    dialogue.say_panel("roof")
    dialogue.conclude()
    dialogue.go_on()

    assert again(dialogue, journal).step().stage is not Stage.CONCLUDED


def test_what_is_gone_is_passed_over() -> None:
    """A complaint taken back, and checks and symptoms of other rules, do no harm."""
    dialogue, _ = begun()
    data = {**to_data(Pending(number=7)), "symptom": "gone", "answers": {"gone": "x"}}
    dialogue.resume(from_data(dialogue.base, data))

    assert dialogue.complaint is None
    assert dialogue.step().stage is Stage.WORDS
