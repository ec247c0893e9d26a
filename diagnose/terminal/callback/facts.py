"""Facts of the vehicle and the film, as typed; each is kept as soon as its line is left."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Input

from diagnose.dialogue.facts import FIELDS, as_fact, wrong_fact
from diagnose.records.store.database import StoreError
from diagnose.terminal.frame import Frame, Listed, Typed
from diagnose.terminal.widgets import Words
from diagnose.typed import clean


class FactsScreen(Frame):
    """One line for each fact."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "close", show=False),
        Binding("up", "app.focus_previous", show=False),
        Binding("down", "app.focus_next", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (("Esc", "Back", "close"), ("⏎", "Keep, next", "next"))

    def head(self) -> str:
        """The title."""
        return "Vehicle and film: what is known, the rest stays empty"

    def body(self) -> Iterable[Widget]:
        """Name, line and what was wrong with it, for each fact."""
        facts = self.dialogue.case.facts
        parts: list[Widget] = []
        for key, name, hint in FIELDS:
            parts.append(Words(name, classes="note", id=f"name-{key}"))
            parts.append(Typed(value=facts.get(key, ""), placeholder=hint, id=key))
        yield VerticalScroll(*parts, id="text")

    def first(self) -> None:
        """Begin at the first line."""
        self.query_one("#vehicle").focus()

    @on(Input.Submitted)
    def entered(self, message: Input.Submitted) -> None:
        """Keep it and go to the next line."""
        if self._keep(message.input):
            self.focus_next()

    @on(Input.Blurred)
    def left(self, message: Input.Blurred) -> None:
        """Keep it."""
        self._keep(message.input)

    def action_next(self) -> None:
        """Keep this line and go to the next."""
        self.focus_next()

    def action_close(self) -> None:
        """Keep the line and go back, unless its date is none."""
        if not isinstance(self.focused, Input) or self._keep(self.focused):
            self.dismiss()

    def _keep(self, line: Input) -> bool:
        """Write a fact down if it changed; False where it is no date."""
        key, today = line.id or "", self.face.clock().date()
        value = as_fact(self.face.base, key, clean(line.value), today)
        name = next(words for k, words, _ in FIELDS if k == key)
        said = self.query_one(f"#name-{key}", Words)
        if wrong := wrong_fact(key, value):
            said.say(f"{name}  ! {wrong}")
            return False
        said.say(name)
        if value != self.dialogue.case.facts.get(key, ""):
            try:
                self.dialogue.note(key, value)
            except StoreError as error:
                self.face.refuse(error)
                return False
        return True
