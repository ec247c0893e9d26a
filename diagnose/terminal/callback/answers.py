"""The answers so far; choosing one asks it again, with the old answer until a new one is given."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from diagnose.dialogue.step import Stage, Step
from diagnose.knowledge.logic.answers import says
from diagnose.terminal.face import Open
from diagnose.terminal.frame import Frame, Listed
from diagnose.terminal.widgets import PICKS, Choice, Choices, Words


class AnswersScreen(Frame):
    """All answers of the complaint and the vehicle, the latest first."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,b", "close", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (("b", "Back", "close"), ("f1", "Help", "app.help"))

    def head(self) -> str:
        """The title."""
        return "Answers: choose one to change it"

    def body(self) -> Iterable[Widget]:
        """One choice for each answer, and for each check that was set aside."""
        dialogue = self.dialogue
        answered = [(c.id, f"{c.name}: {says(c, a)}") for c, a in reversed(dialogue.answered())]
        complaint = dialogue.complaint
        given = {name for name, _ in answered}
        for name in complaint.set_aside if complaint else ():
            if name in dialogue.base.checks and name not in given:
                answered.append((name, f"{dialogue.base.checks[name].name}: not possible here"))
        yield Words("Which one?" if answered else "Nothing is answered yet.", id="ask")
        yield Choices(
            *(
                Choice(words, name, key=PICKS[n] if n < len(PICKS) else "")
                for n, (name, words) in enumerate(answered)
            )
        )

    def chosen(self, choice: Choice) -> None:
        """Ask it again."""
        self.post_message(Open(Step(Stage.CHECK, self.face.base.checks[choice.value])))
