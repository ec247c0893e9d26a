"""A picture of each screen at both sizes, compared with the one that was looked at.

Drawn anew with --snapshot-update, under the Textual version that they were drawn with only: another
one draws frames and scroll bars differently, and the difference would hide what really changed.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import textual
from textual.pilot import Pilot

from tests.terminal.test_callback_screens import answer_all, intake, to_questions
from tests.terminal.workshop import SIZES, keys, settle, typed, workshop

DRAWN_WITH = (Path(__file__).parent / "__snapshots__" / "textual_version.txt").read_text().strip()

Compare = Callable[..., bool]


async def start(pilot: Pilot[str]) -> None:
    """The empty start."""


async def words(pilot: Pilot[str]) -> None:
    """The line for own words."""
    await keys(pilot, "1")


async def symptom(pilot: Pilot[str]) -> None:
    """Choosing the symptom."""
    await keys(pilot, "1", "enter")


async def place(pilot: Pilot[str]) -> None:
    """Choosing the place."""
    await keys(pilot, "1", "enter", "enter")
    await typed(pilot, "front door")


async def question(pilot: Pilot[str]) -> None:
    """A question with a drawing of the movement."""
    await to_questions(pilot)
    await intake(pilot)


async def number(pilot: Pilot[str]) -> None:
    """A number with a wrong entry."""
    await to_questions(pilot)
    await keys(pilot, "1")
    await typed(pilot, "900")
    await keys(pilot, "enter")


async def caution(pilot: Pilot[str]) -> None:
    """A check that harms, with its caution before it."""
    await question(pilot)
    while pilot.app.screen.check.id != "relief_cut":
        await keys(pilot, "u")


async def how(pilot: Pilot[str]) -> None:
    """How a check is done."""
    await question(pilot)
    await keys(pilot, "h")


async def causes(pilot: Pilot[str]) -> None:
    """All causes."""
    await question(pilot)
    await keys(pilot, "d")


async def answers(pilot: Pilot[str]) -> None:
    """The answers, to be changed."""
    await question(pilot)
    await keys(pilot, "c")


async def doubt(pilot: Pilot[str]) -> None:
    """Two answers that do not fit."""
    await question(pilot)
    await answer_all(pilot, {"thumb_relay": "holds", "adhesive": "wet"})


async def enough(pilot: Pilot[str]) -> None:
    """Nothing left that would tell."""
    await question(pilot)
    while type(pilot.app.screen).__name__ == "QuestionScreen":
        await keys(pilot, "1")


async def report(pilot: Pilot[str]) -> None:
    """The conclusion."""
    await question(pilot)
    await keys(pilot, "2", "s")


async def facts(pilot: Pilot[str]) -> None:
    """Vehicle and film."""
    await question(pilot)
    await keys(pilot, "v")
    await typed(pilot, "van")


async def menu(pilot: Pilot[str]) -> None:
    """Everything else."""
    await question(pilot)
    await keys(pilot, "m")


async def guide(pilot: Pilot[str]) -> None:
    """The help page."""
    await keys(pilot, "f1")


SCREENS = (
    start,
    words,
    symptom,
    place,
    question,
    number,
    caution,
    how,
    causes,
    answers,
    doubt,
    enough,
    report,
    facts,
    menu,
    guide,
)


@pytest.fixture
def same_textual(request: pytest.FixtureRequest) -> None:
    """Only under the version of Textual that the pictures were drawn with."""
    if textual.__version__ != DRAWN_WITH:
        if request.config.option.update_snapshots:
            pytest.fail(f"draw the pictures anew under Textual {DRAWN_WITH}, or all by hand")
        pytest.skip(f"the pictures are those of Textual {DRAWN_WITH}")


@pytest.mark.usefixtures("same_textual")
@pytest.mark.parametrize("size", SIZES, ids=("80x24", "40x24"))
@pytest.mark.parametrize("screen", SCREENS, ids=lambda screen: screen.__name__)
def test_the_screen_looks_as_it_was_seen(
    snap_compare: Compare,
    tmp_path: Path,
    screen: Callable[[Pilot[str]], object],
    size: tuple[int, int],
) -> None:
    """Each screen is drawn as in its picture."""

    async def there(pilot: Pilot[str]) -> None:
        await settle(pilot)
        await screen(pilot)  # type: ignore[misc]
        await settle(pilot)

    app = workshop(tmp_path / "records.sqlite3")
    assert snap_compare(app, terminal_size=size, run_before=there)


@pytest.mark.usefixtures("same_textual")
@pytest.mark.parametrize("theme", ["overcast", "chalk"])
def test_the_other_colours_look_as_they_were_seen(
    snap_compare: Compare, tmp_path: Path, theme: str
) -> None:
    """Light and high contrast, on a question."""

    async def there(pilot: Pilot[str]) -> None:
        await settle(pilot)
        await question(pilot)
        pilot.app.theme = theme
        await settle(pilot)

    assert snap_compare(
        workshop(tmp_path / "records.sqlite3"), terminal_size=(80, 24), run_before=there
    )
