"""The same callback on lines, on screens and on pages: one dialogue, whatever its face."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.journals import StoredJournal
from diagnose.dialogue.step import Stage
from diagnose.knowledge.logic.answers import Answer, Unknown, write
from diagnose.knowledge.panels import PANELS
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.store.store import Store
from diagnose.terminal.callback.app import CallbackApp
from diagnose.terminal.callback.plain import Plain
from diagnose.terminal.callback.question import QuestionScreen
from diagnose.terminal.widgets import Choice
from tests.serve.visiting import served, serving, visitor
from tests.terminal.workshop import WIDE, clock, name, settle, typed
from tests.terminal.workshop import reasoner as small
from tests.worked_cases import read_all


@dataclass(frozen=True)
class Play:
    """What a person finds at the car; what is not in it cannot be told."""

    symptom: str
    panel: str
    answers: Mapping[str, Answer]

    def words(self, check: str) -> list[str]:
        """An answer as a person gives it; nothing where it cannot be told."""
        answer = self.answers.get(check)
        if answer is None or isinstance(answer, Unknown):
            return []
        said = write(answer)
        return [str(part) for part in said] if isinstance(said, list) else [str(said)]


@dataclass
class Played:
    """What one face asked, in order, and what it kept."""

    asked: list[str] = field(default_factory=list)
    kept: list[tuple[object, ...]] = field(default_factory=list)

    def read(self, path: Path) -> Played:
        """Take what stands on the disk."""
        with Store.open(path) as store:
            (case_id,) = store.ids()
            self.kept = [
                (e.kind, e.key, e.text, e.answer, e.complaint, e.undoes, _data(e.data))
                for e in store.events(case_id)
            ]
        return self


def _data(data: Mapping[str, object]) -> dict[str, object]:
    """What an event carries besides the mark of the form that it came by."""
    return {key: value for key, value in data.items() if key != "form"}


class Mouth(io.TextIOBase):
    """Answers every prompt of the lines from a play."""

    def __init__(self, dialogue: Dialogue, play: Play, played: Played) -> None:
        self._dialogue, self._play, self._played = dialogue, play, played

    def readline(self, size: int = -1) -> str:  # type: ignore[override]
        """What is typed next."""
        step = self._dialogue.step()
        match step.stage:
            case Stage.WORDS:
                return f"{self._dialogue.base.symptoms[self._play.symptom].name}\n"
            case Stage.PANEL:
                return f"{PANELS[self._play.panel]}\n"
            case Stage.CHECK:
                assert step.check is not None
                self._played.asked.append(step.check.id)
                between = " and " if step.check.several else " or "
                return f"{between.join(self._play.words(step.check.id)) or 'u'}\n"
        return "s\n"


async def on_lines(reasoner: Reasoner, play: Play, folder: Path) -> Played:
    """The callback line by line."""
    played = Played()
    with Store.open(folder / "records.sqlite3") as store:
        dialogue = Dialogue(reasoner, StoredJournal(store, None, clock()))
        Plain(dialogue, Mouth(dialogue, play, played), io.StringIO()).run()
    return played.read(folder / "records.sqlite3")


async def on_screens(reasoner: Reasoner, play: Play, folder: Path) -> Played:
    """The callback on screens."""
    played = Played()
    with Store.open(folder / "records.sqlite3") as store:
        app = CallbackApp(reasoner, store, clock(), resume=False)
        async with app.run_test(size=WIDE) as pilot:
            await settle(pilot)
            while name(app) != "done":
                screen = app.screen
                match name(app):
                    case "words":
                        await typed(pilot, app.base.symptoms[play.symptom].name)
                        await pilot.press("enter")
                    case "place":
                        app.act(lambda dialogue: dialogue.say_panel(play.panel))
                    case "doubt":
                        screen.dismiss()
                    case "enough":
                        await pilot.press("s")
                    case _:
                        assert isinstance(screen, QuestionScreen)
                        played.asked.append(screen.check.id)
                        _answer(screen, play.words(screen.check.id))
                await settle(pilot)
    return played.read(folder / "records.sqlite3")


def _answer(screen: QuestionScreen, words: list[str]) -> None:
    """Mark and choose on a question's screen."""
    if not words:
        screen.action_unknown()
        return
    choices = {choice.value: choice for choice in screen.query(Choice)}
    several = screen.check.several
    if "+number" in choices:
        screen._number(words[0])
        return
    for word in words if several else words[:-1]:
        if word in choices:
            choices[word].tick()
    screen.chosen(choices["+all"] if several else choices[words[-1]])


async def on_pages(reasoner: Reasoner, play: Play, folder: Path) -> Played:
    """The callback on pages."""
    played = Played()
    async with served(serving(folder, reasoner)) as running, visitor(running) as phone:
        await phone.open("/case/new/")
        await phone.send("words", text=reasoner.base.symptoms[play.symptom].name)
        await phone.open(f"{phone.case}/place?panel={play.panel}")
        await phone.send("place", panel=play.panel)
        while phone.at != "done":
            if phone.at.startswith("doubt/"):
                await phone.open(f"{phone.case}/")
            elif phone.at == "enough":
                await phone.send("go", do="conclude")
            else:
                check = phone.at.removeprefix("ask/")
                played.asked.append(check)
                words = play.words(check)
                number = reasoner.base.checks[check].number is not None
                several = reasoner.base.checks[check].several
                ticked = [word for word in words if not (several and word == "none")]
                given = {"number": words[0]} if words and number else {"answer": ticked}
                await phone.send(phone.at, **(given if words else {"do": "unknown"}))
    return played.read(folder / "records.sqlite3")


FACES: tuple[Callable[..., object], ...] = (on_lines, on_screens, on_pages)

SMALL = (
    Play("edge_lifting", "roof", {"film_finish": "gloss", "thumb_relay": "creeps_up"}),
    Play("edge_lifting", "sill_left", {"thumb_relay": "holds", "adhesive": "wet"}),
    Play("edge_lifting", "bonnet", {"reach": "corner"}),
    Play("tunnelling", "front_door_left", {}),
)


async def _all(reasoner: Reasoner, play: Play, tmp_path: Path) -> list[Played]:
    found = []
    for face in FACES:
        folder = tmp_path / face.__name__
        folder.mkdir()
        found.append(await face(reasoner, play, folder))  # type: ignore[misc]
    return found


@pytest.mark.parametrize("play", SMALL, ids=lambda play: f"{play.symptom}-{play.panel}")
async def test_a_small_callback_is_the_same_on_every_face(tmp_path: Path, play: Play) -> None:
    """What is asked, in which order, what is kept of it and what is concluded."""
    lines, screens, pages = await _all(small(), play, tmp_path)

    assert len(lines.asked) > 1
    assert screens == lines
    assert pages == lines


@pytest.mark.parametrize("place", [0, 60, 120, 180])
async def test_a_worked_case_is_the_same_on_every_face(
    tmp_path: Path, reasoner: Reasoner, place: int
) -> None:
    """The first complaint of a case of the shipped collection, asked from the beginning."""
    case = read_all(reasoner.base)[place]
    complaint = case.complaints[0]
    play = Play(complaint.symptom, complaint.panel, case.answers(complaint))
    lines, screens, pages = await _all(reasoner, play, tmp_path)

    assert len(lines.asked) > 2
    assert screens == lines
    assert pages == lines
