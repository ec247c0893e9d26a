"""What does not fit, with the answers it rests on and a way to change any of them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from diagnose.dialogue.step import Stage, Step
from diagnose.dialogue.words import Doubt, changeable
from diagnose.terminal.face import Open
from diagnose.terminal.frame import Frame, Listed
from diagnose.terminal.widgets import Choice, Choices, Words

KEEP, RATHER = "+keep", "+rather"


class DoubtScreen(Frame):
    """Two answers that cannot both be right, or a symptom that this may rather be."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,b", "close", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (("b", "Back", "close"), ("f1", "Help", "app.help"))

    def __init__(self, doubt: Doubt) -> None:
        super().__init__()
        self._doubt = doubt

    def head(self) -> str:
        """The title."""
        return "! Is it something else?" if self._doubt.symptom else "! This does not fit together"

    def body(self) -> Iterable[Widget]:
        """What does not fit; then the ways out."""
        listed = list(self._ways())
        yield Choices(
            Words(f"! {self._doubt.says}", classes="caution"),
            *(Choice(words, value, key=str(n)) for n, (words, value) in enumerate(listed, 1)),
        )

    def _ways(self) -> Iterable[tuple[str, str]]:
        base = self.face.base
        if self._doubt.symptom:
            yield f"Yes, it is {base.symptoms[self._doubt.symptom].name.lower()}", RATHER
        for subject, name, words in self._doubt.answers:
            for check in changeable(base, subject, self.dialogue):
                of = "" if check == subject else f" ({base.checks[check].name})"
                yield f"Change: {name}: {words}{of}", check
        yield "Leave it as it is, and go on", KEEP

    def chosen(self, choice: Choice) -> None:
        """Go the way chosen."""
        match choice.value:
            case "+keep":
                self.dismiss()
            case "+rather":
                self.face.act(lambda dialogue: dialogue.rather(self._doubt.symptom))
            case check:
                self.post_message(Open(Step(Stage.CHECK, self.face.base.checks[check])))
