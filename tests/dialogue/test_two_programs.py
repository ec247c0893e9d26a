"""Two programs on one case: each sees the other's answers, and neither overwrites them."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.elsewhere import entered_elsewhere
from diagnose.dialogue.journals import ChangedElsewhere, StoredJournal
from diagnose.records.case.journal import EventKind
from diagnose.records.store.database import StoreError
from diagnose.records.store.store import Store
from diagnose.terminal.callback.app import CallbackApp
from diagnose.terminal.callback.plain import Leave, Plain
from tests.terminal.workshop import WIDE, clock, keys, reasoner, settle, shown, workshop

CASE = "2026-03-04-0001"


@pytest.fixture
def stores(tmp_path: Path) -> Iterator[tuple[Store, Store]]:
    """The same records opened by two programs, with a case that was begun."""
    path = tmp_path / "records.sqlite3"
    with Store.open(path) as here, Store.open(path) as there:
        begun = Dialogue(reasoner(), StoredJournal(here, None, clock()))
        begun.name_symptom("edge_lifting")
        begun.say_panel("roof")
        yield here, there


@pytest.fixture
def two(stores: tuple[Store, Store]) -> tuple[Dialogue, Dialogue]:
    """Two programs that both go on with it."""
    here, there = (Dialogue(reasoner(), StoredJournal(s, CASE, clock())) for s in stores)
    return here, there


def test_answers_to_different_questions_are_both_kept(two: tuple[Dialogue, Dialogue]) -> None:
    """One asks the customer for the finish, the other presses the edge down."""
    here, there = two
    there.answer("thumb_relay", "creeps_up")
    here.answer("film_finish", "gloss")

    assert {check.id for check, _ in here.answered()} == {"thumb_relay", "film_finish"}
    assert entered_elsewhere(here.base, here.news()) == (
        "Entered by another program meanwhile: Press it down: it creeps up again."
    )
    assert not here.news()
    assert [e.key for e in there.news()] == ["film_finish"]
    assert here.case == there.case


def test_an_answer_is_not_overwritten_unseen(two: tuple[Dialogue, Dialogue]) -> None:
    """Both answer the same question: the first stands, the second is told, and may then change."""
    here, there = two
    there.answer("film_finish", "matte")
    with pytest.raises(ChangedElsewhere, match="not taken"):
        here.answer("film_finish", "gloss")

    assert here.case.circumstances["film_finish"] == "matte"
    assert "matte" in entered_elsewhere(here.base, here.news())
    here.answer("film_finish", "gloss")
    assert [e.key for e in there.news()] == ["film_finish"]
    assert there.case.circumstances["film_finish"] == "gloss"


def test_taking_back_and_concluding_mean_what_was_seen(two: tuple[Dialogue, Dialogue]) -> None:
    """Who takes back the last entry means the one on the screen, and no other's."""
    here, there = two
    here.answer("film_finish", "gloss")
    there.news()
    there.answer("thumb_relay", "holds")
    with pytest.raises(ChangedElsewhere):
        here.undo()
    here.answer("adhesive", "clean")
    with pytest.raises(ChangedElsewhere):
        there.conclude()

    kinds = {e.kind for e in here.events()}
    assert not kinds & {EventKind.UNDONE, EventKind.CONCLUDED}
    assert {check.id for check, _ in here.answered()} == {"film_finish", "thumb_relay", "adhesive"}


def test_a_complaint_taken_back_elsewhere_is_asked_about_no_more(
    two: tuple[Dialogue, Dialogue],
) -> None:
    """The other program takes the complaint back: here it is asked what is wrong."""
    here, there = two
    there.undo()
    with pytest.raises(ChangedElsewhere):
        here.answer("thumb_relay", "holds")

    assert here.complaint is None
    assert here.step().stage == "words"
    assert "taken back" in entered_elsewhere(here.base, here.news())


def test_a_case_deleted_elsewhere_is_said_to_be(
    stores: tuple[Store, Store], two: tuple[Dialogue, Dialogue]
) -> None:
    """Nothing can be added to it, and that is one sentence."""
    stores[1].delete(CASE)
    assert not two[0].news()
    with pytest.raises(StoreError, match="deleted by another program"):
        two[0].answer("film_finish", "gloss")


def test_in_lines_the_others_answer_is_said_before_the_next_question(
    stores: tuple[Store, Store], two: tuple[Dialogue, Dialogue]
) -> None:
    """The same question answered twice: the line is not taken, and the other's answer is told."""
    here, there = two
    there.answer("film_finish", "matte")
    out = io.StringIO()
    here._journal.news = lambda: ()  # type: ignore[method-assign]
    with pytest.raises(Leave):
        Plain(here, io.StringIO("gloss\n"), out).run()
    assert "it was not taken" in out.getvalue()

    out = io.StringIO()
    again = Dialogue(reasoner(), StoredJournal(stores[0], CASE, clock()))
    there.could_not_tell("age_months")
    with pytest.raises(Leave):
        Plain(again, io.StringIO(""), out).run()
    assert "Entered by another program meanwhile: Age of the wrap" in out.getvalue()


def told(app: CallbackApp) -> str:
    """What stands in the corner of the screen for a while."""
    return " ".join(note.message for note in app._notifications)


async def test_on_screens_the_others_answer_moves_the_question_on(tmp_path: Path) -> None:
    """It is said, and what was answered elsewhere is not asked here."""
    path = tmp_path / "records.sqlite3"
    app = workshop(path)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        app.begin(None)
        await settle(pilot)
        app.act(lambda dialogue: dialogue.name_symptom("edge_lifting"))
        await settle(pilot)
        app.act(lambda dialogue: dialogue.say_panel("roof"))
        await settle(pilot)
        assert "What finish has the film?" in shown(app)
        with Store.open(path) as store:
            there = Dialogue(reasoner(), StoredJournal(store, CASE, clock()))
            there.answer("film_finish", "matte")
            app.look_elsewhere()
            await settle(pilot)
            assert "How many months ago" in shown(app)
            assert "Finish of the film: matte" in told(app)
            there.could_not_tell("age_months")
        await keys(pilot, "u")
        assert "it was not taken" in told(app)
