"""A picture of each practice screen at both sizes, compared with the one that was looked at.

On a small rule base and three small cases, whose words never change. Drawn anew as in
`test_pictures`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from textual.pilot import Pilot

from diagnose.dialogue.visitor_cases import Shelf
from diagnose.measures.quantity import Quantity
from diagnose.practice.items.bank import Bank, PracticeItem
from diagnose.practice.progress.apprentice import ApprenticeDesk
from diagnose.practice.progress.apprentice_records import Book
from diagnose.practice.session.belief import spread
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Decision, Session
from diagnose.records.case.journal import Outcome
from diagnose.records.store.store import Store
from diagnose.terminal.practice.app import PracticeApp
from tests.terminal.test_pictures import Compare, same_textual
from tests.terminal.workshop import SIZES, clock, keys, reasoner, settle, typed

__all__ = ["same_textual"]

GIVEN = {"film_finish": "gloss", "age_months": Quantity(1, 1)}
DOOR = PracticeItem(
    id="door.1",
    case="door",
    number=1,
    grade="plain",
    symptom="edge_lifting",
    panel="front_door_left",
    facts={
        "vehicle": "hatchback",
        "film": "film A",
        "laid_on": "2026-02-01",
        "seen_on": "2026-03-02",
        "remark": "It came up after the first hot day.",
    },
    given=GIVEN,
    record={**GIVEN, "thumb_relay": "creeps_up", "relief_cut": "gapes"},
    outcome=Outcome(
        "pulled", "Two cuts gaped by a millimetre.", remedy="relay", held=True, payer="shop"
    ),
    title="A door edge drawn too far",
    lesson="What creeps up again after the thumb is under pull.",
)
DIRT = replace(
    DOOR,
    id="dirt.1",
    case="dirt",
    record={**GIVEN, "thumb_relay": "does_not_stick", "adhesive": "dusty"},
    outcome=Outcome("dirty_edge", "Grey dust on the adhesive.", remedy="renew", payer="shop"),
    title="A gap not cleaned",
    lesson="Look at the adhesive first.",
)
COLD = replace(
    DOOR,
    id="cold.1",
    case="cold",
    symptom="tunnelling",
    record=GIVEN,
    outcome=Outcome("cold_bay", "The log of the bay: 9 degrees.", remedy="relay", payer="shop"),
    title="A cold morning",
    lesson="Read the log.",
)
BANK = Bank((DOOR, DIRT, COLD))

Run = Pilot[None]


def decided(
    desk: ApprenticeDesk, item: PracticeItem, sure: dict[str, float], cause: str
) -> Session:
    """A session of two looks, committed."""
    session = Session(item).look(desk.judge.base, "adhesive")
    session = session.think(spread(sure, desk.judge.usual(item.symptom)))
    return session.commit(Decision(cause, "relay", "shop"))


async def menu(pilot: Run) -> None:
    """What to practise."""


async def opened(pilot: Run) -> None:
    """A case as it came in."""
    await keys(pilot, "1")


async def check(pilot: Run) -> None:
    """A check that harms is marked."""
    await keys(pilot, "1", "l")
    await typed(pilot, "relief")


async def found(pilot: Run) -> None:
    """Two checks are done, one of them harmful, and one is not on record."""
    await keys(pilot, "1")
    for name in ("relief", "adhesive"):
        await keys(pilot, "l")
        await typed(pilot, name)
        await keys(pilot, "enter")


async def belief(pilot: Run) -> None:
    """A belief as a spread over causes."""
    await found(pilot)
    await keys(pilot, "b", "down", "right", "right", "right")


async def find(pilot: Run) -> None:
    """Finding a cause by a word."""
    await keys(pilot, "1", "b", "f")
    await typed(pilot, "clean")


async def believed(pilot: Run) -> None:
    """The belief beside the case."""
    await belief(pilot)
    await keys(pilot, "s")


async def cause(pilot: Run) -> None:
    """Committing to a cause, the likeliest by one's own belief first."""
    await believed(pilot)
    await keys(pilot, "c", "s")


async def feedback(pilot: Run) -> None:
    """What it was, the score, both paths."""
    await cause(pilot)
    await keys(pilot, "1", "2", "1")


async def feedback_below(pilot: Run) -> None:
    """The same further down: the missed sign and the lesson."""
    await feedback(pilot)
    await keys(pilot, "end")


async def missed(pilot: Run) -> None:
    """The sign that was missed, with its drawing."""
    await feedback(pilot)
    await keys(pilot, "d")


async def signs(pilot: Run) -> None:
    """A drill from a cause to its signs, marked."""
    await keys(pilot, "3", "1", "2", "s")


async def apart(pilot: Run) -> None:
    """A drill of two causes."""
    await keys(pilot, "4")


async def apart_marked(pilot: Run) -> None:
    """The same answered: what each cause would show."""
    await keys(pilot, "4", "1")


async def drawing(pilot: Run) -> None:
    """A drill of a drawing."""
    await keys(pilot, "5")


async def exam(pilot: Run) -> None:
    """The first case of an exam."""
    await keys(pilot, "8")


async def result(pilot: Run) -> None:
    """The result of an exam, one case of three not found."""
    desk = pilot.app.desk  # type: ignore[attr-defined]
    under_way = desk.begin_exam()
    named = {"door": "dirty_edge", "dirt": "dirty_edge", "cold": "cold_bay"}
    for _ in under_way.items[:-1]:
        session = desk.exam_case(under_way)
        right = named[session.item.case]
        desk.finish(decided(desk, session.item, {right: 70.0}, right), under_way.id)
    last = desk.exam_case(under_way).item
    await keys(pilot, "8", "c", "a", "s", "1", "1", "1")
    assert last.case in named


async def progress(pilot: Run) -> None:
    """What is known and what is confused, after some cases."""
    desk = pilot.app.desk  # type: ignore[attr-defined]
    for item, right in ((DOOR, "dirty_edge"), (DIRT, "dirty_edge"), (DOOR, "pulled")):
        desk.finish(decided(desk, item, {right: 70.0}, right))
    await keys(pilot, "9")


async def guide(pilot: Run) -> None:
    """How it goes and how it is scored."""
    await keys(pilot, "f1")


SCREENS = (
    menu, opened, check, found, belief, find, believed, cause, feedback, feedback_below, missed, signs,
    apart, apart_marked, drawing, exam, result, progress, guide,
)  # fmt: skip


@pytest.fixture
def app(tmp_path: Path):
    """The practice of one apprentice with one case begun."""
    with Store.open(tmp_path / "records.sqlite3") as store:
        desk = ApprenticeDesk(Judge(reasoner()), BANK, Book(store, "Ada"), clock(), Random(3))
        desk.start(Session(DOOR))
        yield PracticeApp(desk, Shelf(store), None)


@pytest.mark.usefixtures("same_textual")
@pytest.mark.parametrize("size", SIZES, ids=("80x24", "40x24"))
@pytest.mark.parametrize("screen", SCREENS, ids=lambda screen: screen.__name__)
def test_the_practice_looks_as_it_was_seen(
    snap_compare: Compare,
    app: PracticeApp,
    screen: Callable[[Run], object],
    size: tuple[int, int],
) -> None:
    """Each screen is drawn as in its picture."""

    async def there(pilot: Run) -> None:
        await settle(pilot)  # type: ignore[arg-type]
        await screen(pilot)  # type: ignore[misc]
        await settle(pilot)  # type: ignore[arg-type]

    assert snap_compare(app, terminal_size=size, run_before=there)
