"""What shows where there is little room, and where there is much: cautions, answers, causes."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from textual.pilot import Pilot

from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.store.store import Store
from diagnose.terminal.callback.app import CallbackApp
from diagnose.terminal.widgets import Choice, bar
from tests.small import SCALES, small
from tests.terminal.workshop import (
    RULES,
    WIDE,
    clock,
    flat,
    keys,
    name,
    settle,
    shown,
    typed,
    workshop,
)

LONG = "Cut away from the hand with the other hand behind the blade and never into the paint. " * 16
FINISHES = ", ".join(f"f{n}: {{says: finish {n}, usual: 8}}" for n in range(1, 12))


def changed(path: Path, before: str, after: str) -> CallbackApp:
    """The app on the small rule base with a part of its text changed."""
    assert before in RULES
    base = small(RULES.replace(before, after), SCALES)
    return CallbackApp(Reasoner(base), Store.open(path), clock(), resume=False)


async def asked(pilot: Pilot[str]) -> None:
    """To the first question about an edge of the front door."""
    await settle(pilot)
    await typed(pilot, "peeling")
    await keys(pilot, "enter")
    await typed(pilot, "front door, left")
    await keys(pilot, "enter")


@pytest.mark.parametrize(
    ("size", "whole"), [((80, 24), False), ((80, 60), True)], ids=("little", "much")
)
async def test_cautions_never_push_the_answers_off_the_screen(
    tmp_path: Path, size: tuple[int, int], whole: bool
) -> None:
    """Where there is little room they are named, with the key that tells them whole."""
    app = changed(tmp_path / "r.sqlite3", "Cut away from the hand and never into the paint.", LONG)
    async with app.run_test(size=size) as pilot:
        await asked(pilot)
        await keys(pilot, "1")
        await typed(pilot, "6")
        await keys(pilot, "enter")
        while app.screen.check.id != "relief_cut":
            await keys(pilot, "u")
        words = flat(app)

        assert all(answer in words for answer in ("the cut gapes", "it stays closed"))
        assert ("behind the blade" in words) == whole
        assert ("Caution: marks the film; blade (h tells)" in words) != whole
        await keys(pilot, "h")
        assert "behind the blade" in flat(app)
        assert "leaves a small mark" in flat(app)


async def test_the_eleventh_answer_has_a_letter(tmp_path: Path) -> None:
    """After ten digits letters go on, and one chooses the answer that it stands before."""
    app = changed(
        tmp_path / "r.sqlite3",
        "answers: {gloss: {says: gloss, usual: 60}, matte: {says: matte, usual: 30},\n"
        "               chrome: {says: chrome, usual: 10}}}",
        f"answers: {{{FINISHES}, f12: {{says: finish 12, usual: 12}}}}}}",
    )
    async with app.run_test(size=(80, 40)) as pilot:
        await asked(pilot)
        lines = [line.split() for line in shown(app).splitlines()]
        assert [key for key, *rest in lines if rest[:2] == ["finish", "12"]] == ["j"]
        await keys(pilot, "j")

        assert app.dialogue.case.circumstances["film_finish"] == "f12"


@pytest.mark.parametrize(("width", "least"), [(80, 31), (120, 44)])
async def test_the_causes_take_the_room_that_there_is(
    tmp_path: Path, width: int, least: int
) -> None:
    """On a wide screen the names of causes are not cut as on a narrow one."""
    app = workshop(tmp_path / "r.sqlite3", resume=False)
    async with app.run_test(size=(width, 30)) as pilot:
        await asked(pilot)

        assert app.screen.query_one("#stands").size.width >= least


@pytest.mark.parametrize("key", ["b", "escape"])
async def test_what_is_taken_back_is_said(tmp_path: Path, key: str) -> None:
    """Whichever key takes an answer back, the screen says which answer it was."""
    app = workshop(tmp_path / "r.sqlite3", resume=False)
    async with app.run_test(size=WIDE, notifications=True) as pilot:
        await asked(pilot)
        await keys(pilot, "2", key)
        await settle(pilot)

        assert "What finish" in shown(app)
        assert "Taken back: Finish of the film: matte." in flat(app).replace("▌ ", "")


async def test_another_complaint_is_one_key_away_at_every_question(tmp_path: Path) -> None:
    """The one at hand is concluded as it stands, and both stand in the report."""
    app = workshop(tmp_path / "r.sqlite3", resume=False)
    async with app.run_test(size=WIDE) as pilot:
        await asked(pilot)
        await keys(pilot, "1", "a")
        assert name(app) == "words"
        await typed(pilot, "tunnel")
        await keys(pilot, "enter")
        await typed(pilot, "roof")
        await keys(pilot, "enter", "s")

        assert [c.number for c in app.dialogue.case.complaints] == [1, 2]
        assert "Edge lifting, Front door, left" in flat(app)
        assert "Tunnelling under the film, Roof" in flat(app)


async def test_another_complaint_is_offered_where_enough_is_known(tmp_path: Path) -> None:
    """It stands beside concluding, with its key."""
    app = workshop(tmp_path / "r.sqlite3", resume=False)
    async with app.run_test(size=WIDE) as pilot:
        await asked(pilot)
        while name(app) == "question":
            await keys(pilot, "u")
        assert name(app) == "enough"
        (offered,) = (c for c in app.screen.query(Choice) if c.value == "+another")
        offered.action_choose()
        await settle(pilot)

        assert name(app) == "words"


async def test_only_what_can_be_made_is_offered_to_be_saved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without what sets a PDF the pages for each reader come for a browser."""
    monkeypatch.setitem(sys.modules, "typst", None)
    monkeypatch.chdir(tmp_path)
    app = workshop(tmp_path / "r.sqlite3", resume=False)
    async with app.run_test(size=WIDE) as pilot:
        await asked(pilot)
        await keys(pilot, "s", "e")
        offered = [choice.words for choice in app.screen.query(Choice)]
        app.screen.query(Choice).first().focus()
        await keys(pilot, "1")

        assert not any("PDF" in words for words in offered)
        assert (tmp_path / "report-2026-03-04-0001.customer.html").exists()


@pytest.mark.parametrize(
    ("share", "says"), [(0.998, ">99%"), (0.002, "<1%"), (0.993, "99%"), (0.5, "50%"), (0.0, "0%")]
)
def test_no_bar_says_that_a_cause_is_sure_or_impossible_while_it_is_not(
    share: float, says: str
) -> None:
    """The number behind a bar is rounded, but never to all or nothing."""
    assert bar(share, 20).split()[-1] == says
