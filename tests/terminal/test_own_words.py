"""A callback that begins in own words: read, confirmed line by line, kept in the journal."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from textual.events import Key
from textual.pilot import Pilot
from textual.widgets import Input

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.journals import LooseJournal
from diagnose.dialogue.own_words import PLACE, SYMPTOM
from diagnose.dialogue.step import Stage
from diagnose.folders import program
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.journal import EventKind
from diagnose.records.store.store import Store
from diagnose.records.tables import case_page
from diagnose.report.content.whole import whole
from diagnose.report.plan_command import example_terms
from diagnose.terminal.callback.app import CallbackApp
from diagnose.terminal.callback.plain import Leave, Plain
from diagnose.terminal.finder import Finder
from diagnose.terminal.widgets import Choice
from tests.terminal.workshop import NARROW, SIZES, WIDE, clock, keys, name, settle, shown, typed

SAID = (
    "front bumper, film pops out of the fog lamp pocket, three weeks old, no bubbles, customer pays"
    " by instalments"
)


def dialogue_of(reasoner: Reasoner) -> Dialogue:
    """A dialogue in memory with the shipped base."""
    return Dialogue(reasoner, LooseJournal("2026-03-04-0001", clock()))


def heard(reasoner: Reasoner, *lines: str) -> tuple[Dialogue, str]:
    """Have a plain callback with these lines; what it came to and what was said."""
    dialogue = dialogue_of(reasoner)
    out = io.StringIO()
    try:
        Plain(dialogue, io.StringIO("".join(f"{line}\n" for line in lines)), out).run()
    except Leave:
        out.write("(left)")
    return dialogue, out.getvalue()


def number_of(reasoner: Reasoner, text: str, subject: str) -> str:
    """The number of the line about a subject."""
    dialogue = dialogue_of(reasoner)
    dialogue.opening.tell(text)
    lines = dialogue.opening.proposed().lines
    return str(1 + next(n for n, line in enumerate(lines) if line.subject == subject))


def test_a_sentence_begins_the_complaint(reasoner: Reasoner) -> None:
    """Told, confirmed with Enter: symptom, place and answers are events like any other."""
    dialogue, said = heard(reasoner, SAID, "")
    complaint = dialogue.complaint

    assert complaint is not None
    assert (complaint.symptom, complaint.panel) == ("recess_pop_out", "front_bumper")
    assert complaint.answers["zone"] == "concave_recess"
    assert '[x] Symptom: Recess pop-out (film standing across a hollow) ← "film pops out"' in said
    assert dialogue.case.facts["told"] == SAID
    kinds = [event.kind for event in dialogue.events()]
    assert kinds[:3] == [EventKind.NOTED, EventKind.NOTED, EventKind.COMPLAINED]
    assert set(kinds[3:]) == {EventKind.ANSWERED}


def test_what_was_told_is_not_asked_again(reasoner: Reasoner) -> None:
    """The age was in the sentence; the questions go on with what is open."""
    dialogue, said = heard(reasoner, SAID, "")

    assert "How many months ago was it laid?" not in said
    assert dialogue.step().stage is Stage.CHECK


def test_what_finds_no_home_is_kept_and_stands_in_the_report(reasoner: Reasoner) -> None:
    """In the person's words, as facts of the case."""
    dialogue, said = heard(reasoner, SAID, "")
    kept = "no bubbles\ncustomer pays by instalments"
    now = clock()()
    terms = example_terms(reasoner.base, now.replace(tzinfo=None))
    report = whole(reasoner, dialogue.case, now, program(), terms)

    assert dialogue.case.facts["not_understood"] == kept
    assert "Kept in your words: no bubbles; customer pays by instalments" in said
    in_report = {fact.name: fact.words for fact in report.facts}["not understood"]
    assert in_report == "no bubbles; customer pays by instalments"


def test_a_line_is_struck_and_what_it_said_is_not_taken(reasoner: Reasoner) -> None:
    """The number of a line strikes it; struck, the place is asked for."""
    dialogue, said = heard(reasoner, SAID, number_of(reasoner, SAID, PLACE), "", "roof")

    assert "Where on the vehicle?" in said
    assert dialogue.complaint is not None
    assert dialogue.complaint.panel == "roof"
    assert dialogue.complaint.answers["zone"] == "concave_recess"


def test_a_line_is_changed(reasoner: Reasoner) -> None:
    """C and the number asks for another value; that one is taken."""
    text = "edge lifting on the hood, matte film"
    change = f"c{number_of(reasoner, text, PLACE)}"
    dialogue, _ = heard(reasoner, text, change, "roof", "")

    assert dialogue.complaint is not None
    assert dialogue.complaint.panel == "roof"


def test_what_is_only_like_something_is_taken_by_nobody_but_the_person(reasoner: Reasoner) -> None:
    """A guess is shown without a mark; its number takes it."""
    said = "edge lifting on the roof, perhaps tyre dressing"
    unasked, shown_ = heard(reasoner, said, "")
    line = next(row for row in shown_.splitlines() if "tyre dressing" in row and "[" in row)
    number = line.strip().split(".")[0]
    asked, _ = heard(reasoner, said, number, "")

    assert "[ ]" in line
    assert "chemicals" not in unasked.case.circumstances
    assert "chemicals" in asked.case.circumstances


def test_all_of_it_can_be_undone(reasoner: Reasoner) -> None:
    """Back through the answers to the complaint, then the words are before us again, then gone."""
    dialogue, _ = heard(reasoner, SAID, "")
    while dialogue.complaint is not None:
        dialogue.undo()

    assert dialogue.step().stage is Stage.CONFIRM
    while dialogue.case.facts:
        dialogue.undo()
    assert dialogue.step().stage is Stage.WORDS


def test_an_empty_line_goes_to_the_list(reasoner: Reasoner) -> None:
    """Nobody has to find words."""
    _, said = heard(reasoner, "", "edge lifting", "left front door")

    assert "Symptom: edge lifting" in said
    assert "Edge lifting" in said


@pytest.mark.parametrize(
    ("place", "panel"),
    [
        ("left front door", "front_door_left"),
        ("hood", "bonnet"),
        ("fender right", "front_wing_right"),
        ("winscreen", "windscreen"),
    ],
)
def test_a_place_is_understood_at_its_prompt(reasoner: Reasoner, place: str, panel: str) -> None:
    """Any order, either English, one slip."""
    dialogue, _ = heard(reasoner, "", "edge lifting", place)

    assert dialogue.complaint is not None
    assert dialogue.complaint.panel == panel


def test_a_second_complaint_begins_in_own_words_too(reasoner: Reasoner) -> None:
    """What was told of the vehicle stays; the second sentence is a line of its own."""
    dialogue, _ = heard(reasoner, SAID, "", "a", "bubbles all over the bonnet", "")

    assert [c.panel for c in dialogue.case.complaints] == ["front_bumper", "bonnet"]
    assert dialogue.case.facts["told"].split("\n") == [SAID, "bubbles all over the bonnet"]
    assert f"told: {SAID}; bubbles all over the bonnet" in case_page(dialogue.case, reasoner.base)


def test_who_leaves_before_confirming_finds_the_words_again(
    reasoner: Reasoner, tmp_path: Path
) -> None:
    """What was told is on the disk before it is read."""
    from diagnose.dialogue.journals import StoredJournal

    with Store.open(tmp_path / "records.sqlite3") as store:
        first = Dialogue(reasoner, StoredJournal(store, None, clock()))
        first.opening.tell(SAID)
        again = Dialogue(reasoner, StoredJournal(store, first.case.id, clock()))

        assert again.step().stage is Stage.CONFIRM
        assert again.opening.proposed().symptom == "recess_pop_out"


# On screens


def screens(reasoner: Reasoner, records: Path) -> CallbackApp:
    """The screens with the shipped base."""
    return CallbackApp(reasoner, Store.open(records), clock())


async def tell(pilot: Pilot[str], text: str) -> None:
    """From the start, the sentence and Enter."""
    await keys(pilot, "1")
    pilot.app.screen.query_one(Input).value = text
    await settle(pilot)
    await keys(pilot, "enter")
    await settle(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_own_words_on_the_screens(
    reasoner: Reasoner, tmp_path: Path, size: tuple[int, int]
) -> None:
    """Told, shown with the words behind each line, confirmed with Enter; the questions follow."""
    app = screens(reasoner, tmp_path / "records.sqlite3")
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        await tell(pilot, SAID)
        assert name(app) == "confirm"
        assert "film pops out" in shown(app)
        assert any(c.ticked for c in app.screen.query(Choice))
        await keys(pilot, "enter")
        await settle(pilot)

        assert name(app) == "question"
        assert app.dialogue.complaint is not None
        assert app.dialogue.complaint.symptom == "recess_pop_out"


async def test_a_line_is_struck_by_its_digit_and_changed_by_c(
    reasoner: Reasoner, tmp_path: Path
) -> None:
    """1 strikes the symptom; c on the place opens the list of places."""
    app = screens(reasoner, tmp_path / "records.sqlite3")
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await tell(pilot, "edge lifting on the hood")
        await keys(pilot, "1")
        assert not app.screen.query(Choice).first().ticked
        place = number_of(reasoner, "edge lifting on the hood", PLACE)
        await keys(pilot, "1", place, place, "c")
        assert name(app) == "change"
        await typed(pilot, "left front door")
        await keys(pilot, "enter")
        assert name(app) == "confirm"
        assert "Front door, left" in shown(app)
        await keys(pilot, "g")
        await settle(pilot)
        assert app.dialogue.complaint is not None
        assert app.dialogue.complaint.panel == "front_door_left"


async def test_enter_goes_on_after_a_digit(reasoner: Reasoner, tmp_path: Path) -> None:
    """A number takes a line or strikes it; the Enter after it does not turn it back."""
    app = screens(reasoner, tmp_path / "records.sqlite3")
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await tell(pilot, "edge lifting on the hood")
        place = number_of(reasoner, "edge lifting on the hood", PLACE)
        await keys(pilot, place, "enter")
        await settle(pilot)

        assert name(app) == "place"
        assert app.dialogue.symptom == "edge_lifting"


async def test_escape_says_it_again(reasoner: Reasoner, tmp_path: Path) -> None:
    """From the reading back to the line, and from there to the start."""
    app = screens(reasoner, tmp_path / "records.sqlite3")
    async with app.run_test(size=NARROW) as pilot:
        await settle(pilot)
        await tell(pilot, SAID)
        await keys(pilot, "escape")
        assert name(app) == "words"
        await keys(pilot, "escape")
        assert name(app) == "start"


@pytest.mark.parametrize("size", SIZES)
async def test_a_word_that_is_in_no_name_is_found_in_the_list(
    reasoner: Reasoner, tmp_path: Path, size: tuple[int, int]
) -> None:
    """Curling, popped, fender, white patches: what the words mean is marked."""
    app = screens(reasoner, tmp_path / "records.sqlite3")
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        await keys(pilot, "1", "enter")
        for text, symptom in (
            ("film popped out of the recess", "recess_pop_out"),
            ("white patches under the film", "silvering"),
        ):
            app.screen.query_one(Input).value = text
            await settle(pilot)
            marked = app.screen.query_one(Finder).marked
            assert marked is not None
            assert marked.id == symptom


async def test_what_is_typed_at_once_leaves_no_old_choice_under_enter(
    reasoner: Reasoner, tmp_path: Path
) -> None:
    """A burst of letters that finds nothing takes nothing, however fast Enter follows."""
    app = screens(reasoner, tmp_path / "records.sqlite3")
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await keys(pilot, "1", "enter")
        finder = app.screen.query_one(Finder)
        line = app.screen.query_one(Input)
        for text in ("b", "bu", "bub", "zzzzqqqq"):
            line.value = text
        line.post_message(Input.Submitted(line, line.value))
        await settle(pilot)

        assert name(app) == "symptom"
        assert finder.marked is None
        assert not app.screen.query_one("#take", Choice).display
        assert "Nothing found" in shown(app)


async def test_keys_in_a_burst_act_in_their_order(reasoner: Reasoner, tmp_path: Path) -> None:
    """What is taken out and what is typed after it, faster than the line is drawn."""
    app = screens(reasoner, tmp_path / "records.sqlite3")
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await keys(pilot, "1", "enter", *"zbub")
        for key in ("backspace", "backspace", "backspace", "backspace", *"chalk", "home", *"so"):
            app.post_message(Key(key, key if len(key) == 1 else None))
        await settle(pilot)

        assert app.screen.query_one(Input).value == "sochalk"


def test_symptoms_places_and_answers_stand_in_the_order_of_the_text(reasoner: Reasoner) -> None:
    """First what is wrong, then where, then the answers as they were said."""
    dialogue = dialogue_of(reasoner)
    dialogue.opening.tell("matte film, parked in the sun, edge lifting on the roof")
    subjects = [line.subject for line in dialogue.opening.proposed().lines]

    assert subjects[0] == SYMPTOM
    assert subjects.index(PLACE) < subjects.index("film_finish") < subjects.index("parking")
