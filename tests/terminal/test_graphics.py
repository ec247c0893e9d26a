"""Drawings on the screen: a picture, blocks, or the sentence alone."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from diagnose.terminal import graphics, picture
from diagnose.terminal.picture import Picture, blocks
from tests.terminal.workshop import SIZES, flat, keys, reasoner, settle, workshop


def test_blocks_keep_within_their_room() -> None:
    """Whatever the room, no line is longer and no more lines are there than asked for."""
    for columns in (9, 10, 33, 55, 56, 120):
        for rows in (2, 3, 12, 40):
            lines = blocks("tunnelling", columns, rows)
            assert len(lines) <= rows
            assert all(len(line) <= columns for line in lines)


def test_tunnelling_and_channel_lines_differ_in_blocks() -> None:
    """Two symptoms that are mixed up are told apart on the screen as well."""
    assert blocks("tunnelling", 32, 12) != blocks("channel_lines", 32, 12)


def test_what_has_no_drawing_takes_no_room() -> None:
    """No empty box stands where nothing is drawn."""
    assert blocks("no_such_symptom", 60, 20) == ()


@pytest.mark.parametrize("size", SIZES)
async def test_without_the_drawing_library_the_look_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    """Where nothing can turn a drawing into dots, the words stand alone and nothing fails."""
    monkeypatch.setattr(picture, "_can_draw", lambda: False)
    blocks.cache_clear()
    app = workshop(tmp_path / "records.sqlite3")
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        await keys(pilot, "1", "enter")
        assert "A length of edge stands off the car." in flat(app)
    blocks.cache_clear()


@pytest.mark.filterwarnings("ignore:Image.Image.getdata is deprecated:DeprecationWarning")
@pytest.mark.parametrize("size", [*SIZES, (40, 44)])
async def test_a_terminal_with_pictures_shows_one(tmp_path: Path, size: tuple[int, int]) -> None:
    """The picture lies within its room at each size and follows the marked symptom."""
    images = pytest.importorskip("textual_image.widget")
    app = workshop(tmp_path / "records.sqlite3")
    app.pictures = images.HalfcellImage
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        await keys(pilot, "1", "enter")
        shown = app.screen.query_one(Picture)
        (image,) = shown.children
        first = image.image  # type: ignore[attr-defined]
        assert 0 < image.size.width <= shown.size.width
        assert 0 < image.size.height <= shown.size.height
        await keys(pilot, "down")
        assert image.image is not first  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("environment", "asked"),
    [
        ({"TERM": "xterm-kitty"}, True),
        ({"TERM": "xterm-256color", "TERM_PROGRAM": "WezTerm"}, True),
        ({"TERM": "xterm-256color"}, False),
        ({"TERM": "dumb"}, False),
        ({"TERM": "dumb", "DIAGNOSE_PICTURES": "1"}, True),
        ({"TERM": "xterm-kitty", "DIAGNOSE_PICTURES": "0"}, False),
    ],
)
def test_only_terminals_that_know_the_question_are_asked(
    environment: dict[str, str], asked: bool
) -> None:
    """By name, or as the switch says."""
    assert graphics._worth_asking(environment) is asked


def test_in_a_pipe_nothing_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a terminal there are no pictures, whatever is set."""
    monkeypatch.setattr("sys.stdin", io.StringIO())
    assert graphics.pictures({"DIAGNOSE_PICTURES": "1"}) is None


def test_the_reasoner_of_these_tests_draws_what_it_names() -> None:
    """The small rule base names symptoms that have drawings."""
    assert all(blocks(symptom, 40, 14) for symptom in reasoner().base.symptoms)
