"""Enough is known, or nothing more would tell: conclude, or go on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from diagnose.dialogue.step import Step
from diagnose.dialogue.words import enough_words, later_words, sure_words
from diagnose.terminal.callback.standing import StandingFrame
from diagnose.terminal.frame import Listed
from diagnose.terminal.widgets import Choice, Choices, Words

CONCLUDE, ON, ANSWERS, BACK, ANOTHER = "+conclude", "+on", "+answers", "+back", "+another"


class EnoughScreen(StandingFrame):
    """Why no further check is needed, and what to do."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("g", "on", show=False),
        Binding("b,escape", "back", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (
        ("y", "Why this", "cause"),
        ("x", "Changes", "change"),
        ("c", "Answers", "answers"),
        ("b", "Back", "back"),
        ("v", "Vehicle", "facts"),
        ("m", "More", "more"),
    )

    def __init__(self, step: Step) -> None:
        super().__init__()
        assert step.stop is not None
        self._stop, self._more = step.stop, step.more

    def body(self) -> Iterable[Widget]:
        """The reason, how sure, and the ways on."""
        why, *more = enough_words(self.face.base, self.diagnosis, self._stop)
        said, *rest = more or [sure_words(self.face.base, self.diagnosis)]
        later = later_words(self.face.base, self.diagnosis)
        with Horizontal(id="body"):
            with Vertical(id="main"):
                yield Words(why, id="ask")
                yield Choices(
                    Words(said, classes="note"),
                    *self.doubt_choices(),
                    *self._ways(),
                    *([Words(rest, classes="note")] if rest else ()),
                    *([Words(later, classes="note")] if later else ()),
                )
            with Vertical(id="beside"):
                yield self.bars()
        yield self.lead()

    def _ways(self) -> Iterable[Widget]:
        ways = [("s", "Conclude and show the report", CONCLUDE)]
        if self._more:
            ways.append(("g", "Go on asking all the same", ON))
        ways += [
            ("a", "Conclude, and another complaint on this vehicle", ANOTHER),
            ("c", "Change an earlier answer", ANSWERS),
            ("b", "Back to the last question", BACK),
        ]
        for key, words, value in ways:
            yield Choice(words, value, key=key)

    def first(self) -> None:
        """Concluding is the next thing."""
        for choice in self.query(Choice):
            if choice.value == CONCLUDE:
                choice.focus(scroll_visible=False)

    def chosen(self, choice: Choice) -> None:
        """Go the way chosen."""
        match choice.value:
            case "+conclude":
                self.action_conclude()
            case "+on":
                self.action_on()
            case "+answers":
                self.action_answers()
            case "+back":
                self.action_back()
            case "+another":
                self.action_another()
            case _:
                super().chosen(choice)

    def action_on(self) -> None:
        """Go on although it is enough."""
        if self._more:
            self.face.act(lambda dialogue: dialogue.go_on())

    def action_back(self) -> None:
        """Undo the last entry."""
        self.face.undo()
