"""What was told in own words: one act, not asked, and the places that it may mean stand first."""

from __future__ import annotations

import pytest

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.journals import LooseJournal
from diagnose.dialogue.search import place_items, symptom_items
from diagnose.dialogue.step import Stage
from diagnose.reasoning.diagnose import Reasoner
from tests.terminal.workshop import clock

SAID = "rear door edge coming up after a jet wash, oily glue, satin film, resprayed last year"


@pytest.fixture
def told(reasoner: Reasoner) -> Dialogue:
    """A callback whose words were taken as they were read; the side of the door is open."""
    dialogue = Dialogue(reasoner, LooseJournal("2026-11-30-0001", clock()))
    dialogue.opening.tell(SAID)
    dialogue.confirm(dialogue.opening.proposed())
    return dialogue


def test_the_places_that_the_words_may_mean_stand_first(told: Dialogue) -> None:
    """Two rear doors before all other places, on screens, lines and phone alike."""
    said = told.opening.places()
    items = place_items(told.base, said)

    assert told.step().stage is Stage.PANEL
    assert [item.id for item in items[:2]] == ["rear_door_left", "rear_door_right"]
    assert len({item.id for item in items}) == len(items) == len(place_items(told.base))


def test_the_symptoms_that_the_words_are_only_like_stand_first(reasoner: Reasoner) -> None:
    """What was like several is to be chosen among these, and not among all."""
    dialogue = Dialogue(reasoner, LooseJournal("2026-11-30-0001", clock()))
    dialogue.opening.tell("perhaps bubbles, perhaps a crease on the bonnet")
    dialogue.confirm(dialogue.opening.proposed())
    said = dialogue.opening.symptoms()
    items = symptom_items(dialogue.base, said)

    assert dialogue.step().stage is Stage.SYMPTOM
    assert {"air_bubbles", "creases"} <= set(said)
    assert [item.id for item in items[: len(said)]] == list(said)
    assert len({item.id for item in items}) == len(items) == len(dialogue.base.symptoms)


def test_back_at_the_first_question_leads_back_to_the_words(told: Dialogue) -> None:
    """All that was read out of them is taken back at once, not answer by answer."""
    told.say_panel("rear_door_left")
    assert len(told.answered()) >= 4

    told.undo()

    assert told.step().stage is Stage.CONFIRM
    assert told.answered() == ()
    assert told.opening.text() == SAID


def test_what_was_told_counts_as_asked_nowhere(told: Dialogue) -> None:
    """The pause after many questions comes after questions that were asked."""
    told.say_panel("rear_door_left")
    before = told._count()
    check = told.step().check
    assert check is not None
    told.could_not_tell(check.id)
    named = set(told.base.intake)

    assert before == 0
    assert told._count() == (check.id not in named)


@pytest.mark.parametrize("complaints", [1, 2])
def test_who_can_tell_nothing_is_asked_little_after_much_was_told(
    told: Dialogue, complaints: int
) -> None:
    """What was told in own words, or of another complaint, promises no answer to what is asked."""
    told.say_panel("rear_door_left")
    for _ in range(complaints - 1):
        told.conclude()
        told.another_complaint()
        told.opening.tell("front bumper frayed where he jet washes it")
        told.confirm(told.opening.proposed())
    while (check := told.step().check) is not None and told.step().stage is Stage.CHECK:
        told.could_not_tell(check.id)

    assert 3 <= told._count() <= 8
