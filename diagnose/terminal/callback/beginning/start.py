"""The start: what to do, with the most likely thing first."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from diagnose.dialogue.words import case_words, place_words
from diagnose.records.store.summary import CaseSummary
from diagnose.terminal.face import Open
from diagnose.terminal.frame import Frame, Listed
from diagnose.terminal.widgets import Choice, Choices, Words

NEW, CASES, FIND, HELP = "+new", "+cases", "+find", "+help"


class StartScreen(Frame):
    """New callback, going on with the unfinished one, the open cases, help."""

    acts: ClassVar[tuple[Listed, ...]] = (
        ("t", "Colours", "app.colours"),
        ("f1", "Help", "app.help"),
        ("q", "Leave", "app.leave"),
    )

    def head(self) -> str:
        """What this is."""
        return "Wrap callback: complaint, cause, correction"

    def body(self) -> Iterable[Widget]:
        """One choice for each thing that can be begun."""
        unfinished = self.face.shelf.unfinished()
        count = len(self.face.shelf.open_cases())
        listed = []
        if unfinished:
            listed.append((f"Go on: {case_words(self.face.base, unfinished)}", unfinished.id))
        listed.append(("New callback: a wrapped vehicle has come back", NEW))
        if count:
            listed.append((f"Open cases ({count})", CASES))
        listed += [("Look up a symptom, cause, check or remedy", FIND), ("Help", HELP)]
        says = "What comes next?" if unfinished or count else "Nothing is begun yet: start with 1."
        yield Words(says, id="ask")
        yield Choices(
            *(Choice(words, value, key=str(n)) for n, (words, value) in enumerate(listed, 1)),
            Words(WELCOME, classes="note dim"),
        )

    def chosen(self, choice: Choice) -> None:
        """Begin it."""
        match choice.value:
            case "+new":
                self.face.begin(None)
            case "+cases":
                self.post_message(Open("cases"))
            case "+find":
                self.face.action_find()
            case "+help":
                self.face.action_help()
            case case_id:
                self.face.begin(case_id)


WELCOME = (
    "You say what is wrong and where; then come short questions, each with what to look at and"
    " how. Every answer is kept at once: leave at any moment and go on later."
)


class CasesScreen(Frame):
    """The open cases, the last changed first."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,b", "close", show=False)]
    acts: ClassVar[tuple[Listed, ...]] = (("b", "Back", "close"), ("q", "Leave", "app.leave"))

    def __init__(self, cases: tuple[CaseSummary, ...]) -> None:
        super().__init__()
        self._cases = cases

    def head(self) -> str:
        """The title."""
        return "Open cases"

    def body(self) -> Iterable[Widget]:
        """One choice for each case."""
        yield Words("Which one?", id="ask")
        yield Choices(
            *(
                Choice(self._line(c), c.id, key=str(n) if n < 10 else "")
                for n, c in enumerate(self._cases, 1)
            )
        )

    def _line(self, case: CaseSummary) -> str:
        base = self.face.base
        named = "; ".join(place_words(base, symptom, panel) for symptom, panel in case.complaints)
        about = " · ".join(w for w in (case.title, case.vehicle, named) if w)
        return f"{case.id}  {about or 'no complaint yet'}"

    def chosen(self, choice: Choice) -> None:
        """Go on with it."""
        self.face.begin(choice.value)
