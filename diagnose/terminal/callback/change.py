"""Another value for one line that was read out of a person's words."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from diagnose.dialogue.own_words import PLACE, SYMPTOM, SaidLine
from diagnose.dialogue.search import place_items, symptom_item
from diagnose.dialogue.words import number_asked, told
from diagnose.knowledge.logic.answers import Answer, BadAnswer, parse
from diagnose.knowledge.model.kinds import NumberKind
from diagnose.terminal.finder import Finder
from diagnose.terminal.frame import Frame, Listed, Typed
from diagnose.terminal.widgets import PICKS, Choice, Choices, Words


class ChangeScreen(Frame):
    """A list to find in, the answers of a check, or a line for its number."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "close", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (("Esc", "As it was", "close"), ("f1", "Help", "app.help"))

    def __init__(self, line: SaidLine, put: Callable[[Answer], None]) -> None:
        super().__init__()
        self._line = line
        self._put = put

    def head(self) -> str:
        """What is changed."""
        return f"{self._line.name}: which is it?"

    def body(self) -> Iterable[Widget]:
        """What can be chosen or typed."""
        base, subject = self.face.base, self._line.subject
        if subject in (SYMPTOM, PLACE):
            symptoms = [symptom_item(s) for s in base.symptoms.values()]
            items = symptoms if subject == SYMPTOM else place_items(base)
            yield Finder(items, "Type a word, or move with ↑↓", "Nothing found.", self.face.search)
            return
        check = base.checks[subject]
        yield Words(check.ask, id="ask")
        if isinstance(check.kind, NumberKind):
            yield Words(number_asked(check.kind), id="wrong", classes="note")
            yield Typed(placeholder="A number", id="number")
            return
        yield Choices(
            *(
                Choice(answer.says, value, key=PICKS[n] if n < len(PICKS) else "")
                for n, (value, answer) in enumerate(check.answers.items())
            )
        )

    def first(self) -> None:
        """The line or the first choice has the keys."""
        if self.query("#number"):
            self.query_one("#number").focus()
        elif not self.query(Finder):
            super().first()

    @on(Finder.Taken)
    def taken(self, message: Finder.Taken) -> None:
        """It is this."""
        self._done(message.item.id)

    def chosen(self, choice: Choice) -> None:
        """It is this answer."""
        check = self.face.base.checks[self._line.subject]
        self._done(parse(check, choice.value))

    @on(Input.Submitted, "#number")
    def entered(self, message: Input.Submitted) -> None:
        """It is this number, or what is wrong with it."""
        check = self.face.base.checks[self._line.subject]
        try:
            self._done(parse(check, message.value))
        except BadAnswer as error:
            self.query_one("#wrong", Words).say(told(check, error))

    def _done(self, value: Answer) -> None:
        self.dismiss()
        self._put(value)
