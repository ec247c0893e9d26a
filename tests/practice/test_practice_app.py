"""The practice on screens, by keys and by pointing: look, believe, commit, learn."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from random import Random

import pytest
from textual.pilot import Pilot
from textual.screen import Screen
from textual_plotext import PlotextPlot

from diagnose.dialogue.visitor_cases import Shelf
from diagnose.practice.drills.drawing import drawing_drill
from diagnose.practice.items.bank import Bank
from diagnose.practice.progress.apprentice import ApprenticeDesk
from diagnose.practice.progress.apprentice_records import Book
from diagnose.practice.session.belief import spread
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Decision, Session
from diagnose.records.store.store import Store
from diagnose.report.drawings import SYMPTOM_SCENES
from diagnose.terminal.finder import Finder
from diagnose.terminal.picture import Picture
from diagnose.terminal.practice.app import PracticeApp
from diagnose.terminal.practice.belief import BeliefScreen
from diagnose.terminal.practice.case import CaseScreen, CheckScreen, PickScreen
from diagnose.terminal.practice.drill import DrillScreen
from diagnose.terminal.practice.menu import PracticeMenu
from diagnose.terminal.practice.progress import ProgressScreen
from diagnose.terminal.practice.result import FeedbackScreen, ResultScreen
from diagnose.terminal.widgets import Choice, Choices, Words

from .players import START

DOOR = "door_return_after_wash.1"
RIGHT = "edges_and_gaps_not_cleaned"
WIDE, NARROW = (80, 24), (40, 24)

Run = Pilot[None]


@pytest.fixture
def desk(bank: Bank, judge: Judge, store: Store) -> ApprenticeDesk:
    """A desk on which the door that lifts has been begun."""
    made = ApprenticeDesk(judge, bank, Book(store, "Ada"), lambda: START, Random(1))
    made.start(Session(bank.items[DOOR]))
    return made


@pytest.fixture
def app_of(store: Store) -> Callable[..., PracticeApp]:
    return lambda desk, action=None: PracticeApp(desk, Shelf(store), action)


AppOf = Callable[..., PracticeApp]


async def settled(pilot: Run) -> None:
    """Wait until everything that was begun is done."""
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def keys(pilot: Run, *pressed: str) -> None:
    for key in pressed:
        await pilot.press(key)
        await settled(pilot)


async def look(pilot: Run, name: str) -> None:
    """Type the name of a check and take it."""
    await pilot.press(*("space" if letter == " " else letter for letter in name))
    await keys(pilot, "enter")


def shown(pilot: Run, kind: type[Screen[None]]) -> Screen[None]:
    """The screen on top, which must be of a kind."""
    assert isinstance(pilot.app.screen, kind), pilot.app.screen
    return pilot.app.screen


def words(pilot: Run) -> str:
    """Everything that stands on the screen on top."""
    texts = [w.words for w in pilot.app.screen.query(Words)]
    return "\n".join([*texts, *(c.words for c in pilot.app.screen.query(Choice))])


@pytest.mark.parametrize("size", [WIDE, NARROW])
async def test_whole_case_by_keys(
    desk: ApprenticeDesk, app_of: AppOf, size: tuple[int, int]
) -> None:
    """From the menu to the feedback with keys only, at 80 and at 40 columns."""
    async with app_of(desk).run_test(size=size) as pilot:
        await settled(pilot)
        shown(pilot, PracticeMenu)
        await keys(pilot, "1")
        shown(pilot, CaseScreen)
        assert desk.bank.items[DOOR].facts["remark"] in words(pilot)
        assert desk.bank.items[DOOR].title not in words(pilot)
        await keys(pilot, "1")
        shown(pilot, CheckScreen)
        await look(pilot, "adhesive side")
        shown(pilot, CaseScreen)
        assert desk.judge.base.checks["adhesive_side"].name in words(pilot)
        await keys(pilot, "c")
        shown(pilot, BeliefScreen)
        await believe(pilot, RIGHT)
        shown(pilot, PickScreen)
        await keys(pilot, "1", "2", "1")
        shown(pilot, FeedbackScreen)
        assert f"Right: you named {desk.judge.base.causes[RIGHT].name}" in words(pilot)
        assert desk.bank.items[DOOR].lesson in words(pilot)
        await keys(pilot, "d", "escape", "m")
        shown(pilot, PracticeMenu)
        assert "1 case done so far." in words(pilot)
    (attempt,) = desk.progress.attempts
    assert (attempt.item, attempt.named, attempt.sure) == (DOOR, RIGHT, pytest.approx(1))


async def believe(pilot: Run, cause: str) -> None:
    """Give all to a cause and say it."""
    for choice in pilot.app.screen.query(Choice):
        if choice.value == cause:
            choice.focus()
    await keys(pilot, "right", "right", "left", "a", "s")


async def test_by_pointing(desk: ApprenticeDesk, app_of: AppOf) -> None:
    """The menu, a check, a belief by touching a cause, and saying it, without a key."""
    async with app_of(desk).run_test(size=(100, 40)) as pilot:
        await settled(pilot)
        await touch(pilot, "case")
        shown(pilot, CaseScreen)
        await touch(pilot, "+look")
        shown(pilot, CheckScreen)
        pilot.app.screen.query_one(Finder).mark("adhesive_side")
        await settled(pilot)
        await pilot.click("#take")
        await settled(pilot)
        screen = shown(pilot, CaseScreen)
        assert isinstance(screen, CaseScreen)
        assert [look.check for look in screen.session.looks] == ["adhesive_side"]
        await touch(pilot, "+believe")
        first = desk.judge.causes("edge_lifting")[0]
        await touch(pilot, first)
        await touch(pilot, first)
        await touch(pilot, "+say")
        assert isinstance(shown(pilot, CaseScreen), CaseScreen)
        assert screen.session.belief is not None
        assert screen.session.belief[first] == pytest.approx(0.2)


async def touch(pilot: Run, value: str) -> None:
    """Touch the choice of a value."""
    (choice,) = [c for c in pilot.app.screen.query(Choice) if c.value == value]
    choice.scroll_visible(animate=False)
    await pilot.pause()
    await pilot.click(choice)
    await settled(pilot)


async def test_leaving_keeps_all(
    desk: ApprenticeDesk, app_of: AppOf, bank: Bank, store: Store
) -> None:
    """After leaving in the middle the menu offers to go on, and all looks are there."""
    async with app_of(desk, "case").run_test(size=WIDE) as pilot:
        await settled(pilot)
        await keys(pilot, "l")
        await look(pilot, "adhesive side")
        await keys(pilot, "ctrl+c")
    again = ApprenticeDesk(desk.judge, bank, Book(store, "Ada"), lambda: START, Random(9))
    async with app_of(again).run_test(size=WIDE) as pilot:
        await settled(pilot)
        assert "Go on with the case begun" in words(pilot)
        await keys(pilot, "1")
        assert desk.judge.base.checks["adhesive_side"].name in words(pilot)


async def test_fresh_case_is_looked_for_away_from_the_screen(
    judge: Judge, bank: Bank, store: Store, app_of: AppOf
) -> None:
    """With nothing begun a new case opens; with no case at all that is said."""
    fresh = ApprenticeDesk(judge, bank, Book(store, "Ben"), lambda: START, Random(3))
    async with app_of(fresh, "case").run_test(size=WIDE) as pilot:
        await settled(pilot)
        shown(pilot, CaseScreen)
    empty = ApprenticeDesk(judge, Bank(()), Book(store, "Cem"), lambda: START, Random(3))
    async with app_of(empty, "case").run_test(size=WIDE) as pilot:
        await settled(pilot)
        assert "there is no case of grade plain" in words(pilot)


@pytest.mark.parametrize("size", [WIDE, NARROW])
async def test_a_cause_is_found_by_a_word(
    desk: ApprenticeDesk, app_of: AppOf, size: tuple[int, int]
) -> None:
    """Of fifty causes one is found by typing, marked, and given its percent."""
    async with app_of(desk, "case").run_test(size=size) as pilot:
        await settled(pilot)
        await keys(pilot, "b", "f")
        await look(pilot, "gaps and edges")
        screen = shown(pilot, BeliefScreen)
        focused = screen.focused
        assert isinstance(focused, Choice)
        assert focused.value == RIGHT
        assert screen.region.contains_region(focused.region)
        await keys(pilot, "right", "right", "s")
        case = shown(pilot, CaseScreen)
        assert isinstance(case, CaseScreen)
        assert (case.session.belief or {})[RIGHT] == pytest.approx(0.3)


async def test_a_touch_goes_on_from_what_stands_there(desk: ApprenticeDesk, app_of: AppOf) -> None:
    """A cause that nobody touched goes to the next ten above or below its share, never past it."""
    usual = desk.judge.usual("edge_lifting")
    common = max(usual, key=lambda cause: usual[cause])
    share = round(100 * usual[common])
    assert share % 10, "a share between two tens"
    for key, ten in (("right", share // 10 + 1), ("left", share // 10)):
        async with app_of(desk, "case").run_test(size=WIDE) as pilot:
            await settled(pilot)
            await keys(pilot, "b")
            screen = shown(pilot, BeliefScreen)
            for choice in screen.query(Choice):
                if choice.value == common:
                    choice.focus()
            await keys(pilot, key)
            assert f"{10 * ten}% ● {desk.judge.base.causes[common].name}" in words(pilot)


async def test_saying_nothing_is_no_belief(desk: ApprenticeDesk, app_of: AppOf) -> None:
    """A belief without any percent is not taken; percents never go over a hundred."""
    async with app_of(desk, "case").run_test(size=WIDE) as pilot:
        await settled(pilot)
        await keys(pilot, "b", "s")
        shown(pilot, BeliefScreen)
        await pilot.press(*["1"] * 12)
        await settled(pilot)
        assert "0 percent left" in words(pilot)
        await keys(pilot, "0", "2", "s")
        screen = shown(pilot, CaseScreen)
        assert isinstance(screen, CaseScreen)
        belief = screen.session.belief or {}
        second = desk.judge.causes("edge_lifting")[1]
        assert belief[second] == pytest.approx(0.1)
        await keys(pilot, "b", "s")
        assert screen.session.belief == pytest.approx(belief)


async def test_belief_of_a_case_left_since_can_be_said_again(
    desk: ApprenticeDesk, app_of: AppOf
) -> None:
    """Percents that do not come out whole never stand in the way of saying the belief again."""
    usual = desk.judge.usual("edge_lifting")
    thirds = dict(list(dict.fromkeys(usual, 33.4).items())[:2])
    desk.keep(Session(desk.bank.items[DOOR]).think(spread({**thirds, RIGHT: 33.2}, usual)))
    async with app_of(desk, "case").run_test(size=WIDE) as pilot:
        await settled(pilot)
        await keys(pilot, "b", "s")
        screen = shown(pilot, CaseScreen)
        assert isinstance(screen, CaseScreen)
        assert len(screen.session.thoughts) == 2
        assert (screen.session.belief or {})[RIGHT] == pytest.approx(0.33, abs=0.01)


@pytest.mark.parametrize("kind", ["signs", "apart", "drawing", "first", "remedy"])
async def test_drills(desk: ApprenticeDesk, app_of: AppOf, kind: str) -> None:
    """A drill is answered by digits, tells why, and gives another one."""
    async with app_of(desk, kind).run_test(size=WIDE) as pilot:
        await settled(pilot)
        shown(pilot, DrillScreen)
        await keys(pilot, "1", "s")
        assert re.search(r"^(Right|It is|Missed): .+\. .+$", words(pilot), re.MULTILINE)
        assert [a.kind for a in desk.progress.attempts] == [kind]
        await keys(pilot, "2")
        assert len(desk.progress.attempts) == 1
        await keys(pilot, "n")
        shown(pilot, DrillScreen)
        await keys(pilot, "m")
        shown(pilot, PracticeMenu)


@pytest.mark.parametrize("kind", ["signs", "apart", "first", "remedy"])
async def test_a_drill_begins_at_its_first_option(
    desk: ApprenticeDesk, app_of: AppOf, kind: str
) -> None:
    """On a small screen too the question is there to its last word, and the first option below."""
    app = app_of(desk, kind)
    async with app.run_test(size=NARROW) as pilot:
        for _ in range(4):
            await settled(pilot)
            screen = shown(pilot, DrillScreen)
            choices = screen.query_one(Choices)
            assert choices.scroll_y == 0
            assert choices.region.contains_region(choices.choices[0].region)
            ask = screen.query_one("#ask", Words)
            assert " ".join(ask.words.split()).endswith(" ".join(_seen(ask).split())[-20:])
            await keys(pilot, "n")


def _seen(ask: Words) -> str:
    """The lines of a text that have room."""
    lines = str(ask.render()).splitlines()
    return "\n".join(lines[: ask.size.height])


async def test_what_was_right_comes_into_view(desk: ApprenticeDesk, app_of: AppOf) -> None:
    """On a small screen the reason is seen at once, whichever of the options was chosen."""
    async with app_of(desk, "apart").run_test(size=NARROW) as pilot:
        await settled(pilot)
        await keys(pilot, "1")
        screen = shown(pilot, DrillScreen)
        marked = screen.query_one("#marked")
        seen = screen.query_one(Choices).region.intersection(marked.region)
        assert seen.y == marked.region.y
        assert seen.height >= min(marked.region.height, 6)


@pytest.mark.parametrize("size", [WIDE, NARROW])
async def test_a_wrong_drawing_is_shown_beside_the_right_one(
    desk: ApprenticeDesk, app_of: AppOf, size: tuple[int, int]
) -> None:
    """Who takes one drawing for another sees both, and how the one chosen would look."""
    drill = drawing_drill(desk.judge.base, SYMPTOM_SCENES, Random(4))
    wrong = next(o.id for o in drill.options if o.id not in drill.right and o.id in SYMPTOM_SCENES)
    app = app_of(desk)
    async with app.run_test(size=size) as pilot:
        await app.push_screen(DrillScreen(drill))
        await settled(pilot)
        await keys(pilot, str([o.id for o in drill.options].index(wrong) + 1))
        screen = shown(pilot, DrillScreen)
        drawn = {picture._drawing_id for picture in screen.query(Picture)}
        assert drawn == {wrong, *drill.right}
        assert " ".join(SYMPTOM_SCENES[wrong].description.split()) in " ".join(words(pilot).split())


@pytest.mark.parametrize("size", [WIDE, NARROW])
async def test_the_first_week_goes_on_from_case_to_case(
    bank: Bank, judge: Judge, store: Store, app_of: AppOf, size: tuple[int, int]
) -> None:
    """The menu leads to the week's next case; after the fifth of a day the week is shown."""
    desk = ApprenticeDesk(judge, bank, Book(store, "Ben"), lambda: START, Random(1))
    first, second, *_, last = desk.week().days[0]
    async with app_of(desk).run_test(size=size) as pilot:
        await settled(pilot)
        await keys(pilot, "2")
        screen = shown(pilot, CaseScreen)
        assert isinstance(screen, CaseScreen)
        assert screen.session.item == first
        assert desk.begun() == screen.session
        await keys(pilot, "c")
        await believe(pilot, first.right[0])
        await keys(pilot, "1", "1", "1", "n")
        screen = shown(pilot, CaseScreen)
        assert isinstance(screen, CaseScreen)
        assert screen.session.item == second
        for _ in range(4):
            session = desk.week_case()
            assert session is not None
            desk.finish(session.think(judge.full(session.item)).commit(Decision("", "", "")))
        assert last.id in desk.week().done
        await keys(pilot, "m", "2")
        assert "The five of today are done." in " ".join(words(pilot).split())
        assert "Day 1: 5 of 5 done" in words(pilot)


async def test_exam_to_its_result(desk: ApprenticeDesk, app_of: AppOf, tmp_path: object) -> None:
    """Case follows case without feedback; the result can be saved as a page, never over another."""
    exam = desk.begin_exam()
    for _ in range(len(exam.items) - 1):
        session = desk.exam_case(exam)
        assert session is not None
        belief = spread({session.item.right[0]: 100}, desk.judge.usual(session.item.symptom))
        done = session.think(belief).commit(Decision(session.item.right[0], "", ""))
        desk.finish(done, exam.id)
    async with app_of(desk).run_test(size=WIDE) as pilot:
        await settled(pilot)
        assert "Go on with the exam" in words(pilot)
        await keys(pilot, "8")
        screen = shown(pilot, CaseScreen)
        assert isinstance(screen, CaseScreen)
        assert screen.head().startswith("Exam 10/10")
        await keys(pilot, "c")
        await believe(pilot, screen.session.item.right[0])
        await keys(pilot, "1", "1", "1")
        shown(pilot, ResultScreen)
        assert "10 of 10 causes right" in words(pilot)
        await keys(pilot, "e")
        path = f"{tmp_path}/exam.html"
        pilot.app.screen.query_one("#name").value = path  # type: ignore[attr-defined]
        await keys(pilot, "enter")
        assert f"Written to {path}." in words(pilot)
        await keys(pilot, "escape", "e")
        pilot.app.screen.query_one("#name").value = path  # type: ignore[attr-defined]
        await keys(pilot, "enter")
        assert "exists already: give another name" in words(pilot)


async def test_progress_draws_plots(desk: ApprenticeDesk, app_of: AppOf) -> None:
    """Without cases there are words only; with some, weeks, points and calibration are."""
    async with app_of(desk, "progress").run_test(size=WIDE) as pilot:
        await settled(pilot)
        assert "Nothing practised yet." in words(pilot)
    for number in range(3):
        session = Session(desk.bank.items[DOOR])
        belief = spread({RIGHT: 70}, desk.judge.usual("edge_lifting"))
        desk.clock = lambda number=number: START + timedelta(days=number)  # type: ignore[misc]
        desk.finish(session.think(belief).commit(Decision(RIGHT, "", "")))
    async with app_of(desk, "progress").run_test(size=WIDE) as pilot:
        await settled(pilot)
        shown(pilot, ProgressScreen)
        drawn = [plot.plt.build() for plot in pilot.app.screen.query(PlotextPlot)]
        assert "points a case, week by week" in drawn[0]
        assert "points, case by case" in drawn[1]
        assert "percent right against percent said" in drawn[2]
        assert "said 70%: right in 100% of 3" in words(pilot)


async def test_help_and_colours(desk: ApprenticeDesk, app_of: AppOf, store: Store) -> None:
    """The help tells how it is scored; the colours chosen are there at the next start."""
    async with app_of(desk).run_test(size=WIDE) as pilot:
        await settled(pilot)
        await keys(pilot, "f1")
        assert "Naming the right cause never costs" in " ".join(words(pilot).split())
        await keys(pilot, "escape", "t")
        chosen = pilot.app.theme
    assert app_of(desk).theme == chosen
