"""Whole callbacks on the screens: by keyboard only, by pointing only, with changes on the way."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from diagnose.records.case.journal import EventKind
from diagnose.records.store.database import StoreError
from diagnose.records.store.store import Store
from diagnose.terminal.callback.app import CallbackApp
from diagnose.terminal.callback.beginning.carmap import CarMap
from diagnose.terminal.widgets import Act, Choice
from tests.terminal.workshop import (
    NARROW,
    SIZES,
    WIDE,
    flat,
    keys,
    name,
    settle,
    shown,
    typed,
    workshop,
)


@pytest.fixture
def records(tmp_path: Path) -> Path:
    """Where this test keeps its records."""
    return tmp_path / "records.sqlite3"


async def to_questions(pilot: Pilot[str], symptom: str = "peeling") -> None:
    """From the start to the first question about an edge of the front door."""
    await keys(pilot, "1")
    await typed(pilot, symptom)
    await keys(pilot, "enter")
    await typed(pilot, "front door, left")
    await keys(pilot, "enter")


async def intake(pilot: Pilot[str]) -> None:
    """Answer what is asked of every vehicle: gloss, six months old."""
    await keys(pilot, "1")
    await typed(pilot, "6")
    await keys(pilot, "enter")


def answers(path: Path, case_id: str = "2026-03-04-0001") -> dict[str, str]:
    """What the records hold of the first complaint, read anew from the disk."""
    with Store.open(path) as store:
        case = store.case(case_id)
        return {check: str(a) for check, a in case.answers(case.complaints[0]).items()}


async def point(pilot: Pilot[str], words: str) -> None:
    """Touch the choice or the act that says these words."""
    app = pilot.app
    found = [
        widget
        for kind in (Choice, Act)
        for widget in app.screen.query(kind)
        if words in widget.words and widget.display
    ]
    assert found, f"nothing to touch says '{words}' in:\n{shown(app)}"  # type: ignore[arg-type]
    found[0].scroll_visible(animate=False)
    await settle(pilot)
    assert await pilot.click(found[0])
    await settle(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_a_whole_callback_by_keyboard(records: Path, size: tuple[int, int]) -> None:
    """From an empty start to the saved report without a mouse, at both sizes."""
    app = workshop(records)
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        assert "New callback" in shown(app)
        await to_questions(pilot)
        assert "What finish has the film?" in shown(app)
        for key in ("y why", "x change", "d all", "Why ask", "How"):
            assert key in shown(app), f"{key} is not shown"
        await intake(pilot)
        while name(app) == "question":
            await keys(pilot, "1")
        assert name(app) == "enough"
        await keys(pilot, "enter")

        assert name(app) == "done"
        assert "IN SHORT" not in shown(app)
        await keys(pilot, "r")
        assert "IN SHORT" in shown(app)
    assert answers(records)["film_finish"] == "gloss"
    assert answers(records)["thumb_relay"] == "holds"
    with Store.open(records) as store:
        assert store.events("2026-03-04-0001")[-1].kind is EventKind.CONCLUDED


@pytest.mark.parametrize("size", SIZES)
async def test_a_whole_callback_by_pointing(records: Path, size: tuple[int, int]) -> None:
    """From an empty start to the report without a key, the place picked on the car."""
    app = workshop(records)
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        await point(pilot, "New callback")
        await point(pilot, "Choose from a list")
        await point(pilot, "This one: Edge lifting")
        car = app.screen.query(CarMap).first()
        assert await pilot.click(car, offset=(car.size.width * 2 // 5, car.size.height // 2 + 1))
        await settle(pilot)
        await point(pilot, "Here: Front door, left")
        await point(pilot, "matte")
        await point(pilot, "Unsure")
        while name(app) == "question":
            await point(pilot, app.screen.query(Choice).last().words)
        await point(pilot, "Conclude")

        assert name(app) == "done"
    found = answers(records)
    assert found["film_finish"] == "matte"
    assert found["age_months"] == "unknown"


async def test_each_answer_is_on_the_disk_before_the_next_question(records: Path) -> None:
    """Whoever reads the records while the screens run finds every answer given so far."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await keys(pilot, "3")

        assert answers(records) == {"film_finish": "chrome"}


async def test_leaving_and_going_on(records: Path) -> None:
    """Ctrl-C leaves at once; the next start offers the unfinished case first."""
    first = workshop(records)
    async with first.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await keys(pilot, "1", "ctrl+c")
    assert first.return_value == "2026-03-04-0001"

    again = workshop(records)
    async with again.run_test(size=NARROW) as pilot:
        await settle(pilot)
        assert "Go on: Edge lifting" in shown(again)
        await keys(pilot, "enter")
        assert "How many months ago" in shown(again)


async def test_leaving_before_anything_was_said_leaves_no_case(records: Path) -> None:
    """A start that led nowhere does not fill the list of open cases."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await keys(pilot, "1", "escape", "q")
    with Store.open(records) as store:
        assert store.ids() == ()


async def test_a_new_case_at_once(records: Path) -> None:
    """Told to start anew, the screens begin with the line for own words."""
    app = workshop(records, resume=False)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        assert name(app) == "words"


async def test_undo_goes_back_through_all_steps(records: Path) -> None:
    """Back takes the last answer back, then the place, then the symptom."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await keys(pilot, "1", "b")
        assert "What finish" in shown(app)
        assert answers(records) == {}
        await keys(pilot, "b")
        assert name(app) == "place"
        await keys(pilot, "escape")
        assert name(app) == "words"


async def test_changing_an_earlier_answer(records: Path) -> None:
    """The list of answers leads to the question again; leaving it changes nothing."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await intake(pilot)
        await keys(pilot, "c", "2")
        assert "Answered before: gloss" in shown(app)
        await keys(pilot, "escape", "escape")
        assert answers(records)["film_finish"] == "gloss"
        await keys(pilot, "c", "2", "3")

        assert name(app) == "question"
    assert answers(records)["film_finish"] == "chrome"


async def test_a_number_out_of_range_stays_with_one_sentence(records: Path) -> None:
    """A wrong number is kept in its line and answered by what would be right."""
    app = workshop(records)
    async with app.run_test(size=NARROW) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await keys(pilot, "1")
        await typed(pilot, "900")
        await keys(pilot, "enter")

        assert "outside 0 to 240 months" in flat(app)
        assert app.screen.query_one(Input).value == "900"
        assert "age_months" not in answers(records)


async def test_letters_are_keys_until_a_number_is_begun(records: Path) -> None:
    """At a number, h still tells how; once a digit stands there, letters are its unit."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await keys(pilot, "1", "h")
        assert "How: Age of the wrap" in shown(app)
        await keys(pilot, "escape")
        await typed(pilot, "6 months")
        assert app.screen.query_one(Input).value == "6 months"
        await keys(pilot, "enter")
    assert answers(records)["age_months"].startswith("Quantity(low=6.0, high=6.0")


async def test_the_four_questions_are_one_key_away(records: Path) -> None:
    """Why asked, how done, why this cause, what would change it; and from each to the others."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await intake(pilot)
        for key, words in (
            ("w", "Why is this asked?"),
            ("h", "How: "),
            ("y", "Why this cause?"),
            ("x", "What would change it?"),
        ):
            await keys(pilot, key)
            assert words in shown(app)
        await keys(pilot, "escape")
        assert name(app) == "question"


async def test_what_could_not_be_checked_is_not_asked_again(records: Path) -> None:
    """'Not here' goes on to another question and stands in the list of answers."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await intake(pilot)
        asked = app.screen.query_one("#ask").words
        await keys(pilot, "n")
        assert asked not in shown(app)
        await keys(pilot, "c")
        assert "not possible here" in shown(app)


async def test_stopping_early_and_asking_on(records: Path) -> None:
    """Stop and conclude at any time; from the report, ask on where it stopped."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await intake(pilot)
        asked = app.screen.check
        await keys(pilot, "s")
        assert name(app) == "done"
        await keys(pilot, "g")
        assert app.screen.check == asked


async def test_two_answers_that_do_not_fit(records: Path) -> None:
    """They show at once with both answers; either can be changed, or both left as they are."""
    app = workshop(records)
    async with app.run_test(size=NARROW) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await intake(pilot)
        await answer_all(pilot, {"thumb_relay": "holds", "adhesive": "wet"})

        assert name(app) == "doubt"
        words = flat(app)
        assert "Wet adhesive holds nothing down." in words
        assert "Press it down: it holds" in words
        assert "The adhesive side: wet" in words
        await point(pilot, "Change: The adhesive side")
        await point(pilot, "clean")
        assert name(app) in ("question", "enough")
    assert answers(records)["adhesive"] == "clean"


async def test_it_is_rather_another_symptom(records: Path) -> None:
    """Where the answers point to another symptom, taking it keeps place and answers."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await intake(pilot)
        await answer_all(pilot, {"reach": "corner"})

        assert "This may rather be corner lifting" in shown(app)
        await keys(pilot, "1")
        assert "Corner lifting · Front door, left" in shown(app)
    assert answers(records)["reach"] == "corner"


async def answer_all(pilot: Pilot[str], wanted: dict[str, str]) -> None:
    """Answer as told where these are asked, pass others over, until all of these were asked."""
    app = pilot.app
    assert isinstance(app, CallbackApp)
    left = dict(wanted)
    while left:
        if name(app) == "enough":
            for check, answer in left.items():
                app.act(lambda d, c=check, a=answer: d.answer(c, a))
                await settle(pilot)
            return
        check = app.screen.check
        if check.id in left:
            await keys(pilot, str(1 + list(check.answers).index(left.pop(check.id))))
        else:
            await keys(pilot, "n")


async def test_another_complaint_on_the_same_vehicle(records: Path) -> None:
    """The second complaint does not ask again what holds for the vehicle."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await intake(pilot)
        await keys(pilot, "s", "a")
        await typed(pilot, "tunnel")
        await keys(pilot, "enter")
        await typed(pilot, "bonnet")
        await keys(pilot, "enter")
        if name(app) == "question":
            assert app.screen.check.id not in ("film_finish", "age_months")
        await keys(pilot, "s")

        words = shown(app)
        assert "Edge lifting, Front door, left" in words
        assert "Tunnelling under the film, Bonnet" in words


async def test_facts_are_kept_and_do_not_reopen_the_case(records: Path) -> None:
    """Vehicle and film are written down as typed; a date that is none is told, not lost."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await intake(pilot)
        await keys(pilot, "s", "v")
        await typed(pilot, "van [red]")
        await keys(pilot, "enter")
        app.screen.query_one("#laid_on").focus()
        await typed(pilot, "yesterday")
        await keys(pilot, "escape")
        assert "'yesterday' is no date" in shown(app)
        app.screen.query_one("#laid_on", Input).value = "20.1.2026"
        await keys(pilot, "escape")

        assert name(app) == "done"
        await keys(pilot, "r")
        assert "van [red]" in app.screen.query_one("#words").words
    with Store.open(records) as store:
        facts = store.case("2026-03-04-0001").facts
    assert facts == {"vehicle": "van [red]", "laid_on": "2026-01-20"}


@pytest.mark.parametrize(
    ("key", "ending", "begins"),
    [
        ("5", ".txt", b"WRAP DIAGNOSIS"),
        ("6", ".md", b"# Wrap diagnosis"),
        ("7", ".json", b"{"),
        ("4", ".html", b"<!DOCTYPE html>"),
        ("2", ".pdf", b"%PDF"),
        ("1", ".customer.pdf", b"%PDF"),
        ("3", ".maker.pdf", b"%PDF"),
    ],
)
async def test_the_report_is_saved_once(
    records: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    key: str,
    ending: str,
    begins: bytes,
) -> None:
    """Each format goes to a new file; a file that is there already is not touched."""
    if ending.endswith("pdf"):
        pytest.importorskip("typst")
    monkeypatch.chdir(tmp_path)
    app = workshop(records)
    async with app.run_test(size=NARROW) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await intake(pilot)
        await keys(pilot, "s", "e")
        app.screen.query(Choice).first().focus()
        await keys(pilot, key)
        file = tmp_path / f"report-2026-03-04-0001{ending}"
        assert file.read_bytes().upper().startswith(begins.upper())
        file.write_text("mine", encoding="utf-8")
        await keys(pilot, key)

        assert "exists already" in flat(app)
        assert file.read_text(encoding="utf-8") == "mine"


async def test_looking_up_a_term(records: Path) -> None:
    """Any word finds symptom, cause, check or remedy, and shows what is known of it."""
    app = workshop(records)
    async with app.run_test(size=NARROW) as pilot:
        await settle(pilot)
        await keys(pilot, "f")
        await typed(pilot, "new piece")
        await keys(pilot, "enter")

        words = shown(app)
        assert "Lay a new piece" in words
        assert "Cut away from the hand" in words


async def test_colours_are_remembered(records: Path) -> None:
    """The chosen set of colours is there at the next start."""
    first = workshop(records)
    async with first.run_test(size=WIDE) as pilot:
        await keys(pilot, "t")
        chosen = first.theme
    again = workshop(records)
    async with again.run_test(size=WIDE):
        assert again.theme == chosen


async def test_colours_that_cannot_be_kept_are_said_and_worn(
    records: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk does not close the screens."""

    def full(*_: object) -> None:
        raise StoreError("the disk is full")

    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        before = app.theme
        monkeypatch.setattr(app.shelf, "keep_colours", full)
        await keys(pilot, "t")

        assert app.theme != before
        assert "the disk is full." in flat(app)


@pytest.mark.parametrize("words", ["[bold]door[/]", "[@click=app.bell]x[/]", "a\x1b[2Jb", "[[["])
async def test_what_a_person_types_is_never_markup(records: Path, words: str) -> None:
    """Brackets stay brackets and control characters vanish, wherever a fact is shown."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        app.dialogue.note("title", words)
        app.dialogue.note("remark", words)
        await keys(pilot, "s", "r")
        assert words.replace("\x1b", "") in app.screen.query_one("#words").words
        await keys(pilot, "q")
    again = workshop(records)
    async with again.run_test(size=WIDE) as pilot:
        await settle(pilot)
        await point(pilot, "Open cases")
        assert words.replace("\x1b", "") in shown(again)


@pytest.mark.parametrize("size", [(20, 8), (40, 44), (200, 50)])
async def test_resizing_at_any_moment(records: Path, size: tuple[int, int]) -> None:
    """On every screen the size may change; what is to be done next stays in reach."""
    app = workshop(records)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        for step in (
            "1",
            "enter",
            "enter",
            "enter",
            "1",
            "u",
            "w",
            "escape",
            "c",
            "escape",
            "s",
            "e",
        ):
            await keys(pilot, step)
            await pilot.resize_terminal(*size)
            await settle(pilot)
            focused = app.screen.focused
            assert focused is not None
            assert focused.region.width > 0
            await pilot.resize_terminal(*WIDE)
        assert name(app) == "save"


@pytest.mark.parametrize("size", SIZES)
async def test_nothing_scrolls_out_of_reach(records: Path, size: tuple[int, int]) -> None:
    """On the questions every choice can be brought fully into view, and the keys always show."""
    app = workshop(records)
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        await to_questions(pilot)
        await intake(pilot)
        while name(app) == "question":
            for choice in app.screen.query(Choice):
                choice.focus()
                await settle(pilot)
                assert app.screen.find_widget(choice).visible_region.height >= 1
                assert "▶" in shown(app)
            for act in app.screen.query(Act):
                assert act.region.bottom <= size[1]
            await keys(pilot, "u")
