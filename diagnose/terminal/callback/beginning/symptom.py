"""What is wrong: all symptoms by group, found by any word for them, with drawing and look."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from diagnose.dialogue.search import symptom_items
from diagnose.terminal.finder import Finder
from diagnose.terminal.frame import Frame, Listed
from diagnose.terminal.picture import Picture
from diagnose.terminal.widgets import Choice, Words


class SymptomScreen(Frame):
    """Choose the symptom."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", show=False)]
    acts: ClassVar[tuple[Listed, ...]] = (
        ("Esc", "Back", "back"),
        ("↓", "Next", "next"),
        ("f1", "Help", "app.help"),
    )

    def head(self) -> str:
        """Which step this is."""
        return "What is wrong with the wrap?"

    def body(self) -> Iterable[Widget]:
        """The search on one side, the marked symptom on the other, the choice below."""
        items = symptom_items(self.face.base, self.dialogue.opening.symptoms())
        nothing = "Nothing found: try another word, such as 'peeling'."
        with Horizontal(id="body"):
            yield Finder(items, "Type a word, or move with ↑↓", nothing, self.face.search)
            with Vertical(id="shown"):
                yield Words(id="look", classes="note")
                yield Picture(id="picture")
        yield Choice("This one", "take", key="⏎", id="take")

    def first(self) -> None:
        """The search has the keys."""

    @on(Finder.Marked)
    def marked(self, message: Finder.Marked) -> None:
        """Show what is marked."""
        item = message.item
        symptom = self.face.base.symptoms[item.id] if item else None
        self.query_one("#take", Choice).display = symptom is not None
        self.query_one("#look", Words).say(symptom.look if symptom else "")
        self.query_one(Picture).show(symptom.id if symptom else "")
        if symptom:
            self.query_one("#take", Choice).say(f"This one: {symptom.name}")

    @on(Finder.Taken)
    def taken(self, message: Finder.Taken) -> None:
        """It is this symptom; make its engine ready while the place is picked."""
        symptom = message.item.id
        self.face.act(lambda dialogue: dialogue.say_symptom(symptom))
        self.face.warm(symptom)

    def chosen(self, choice: Choice) -> None:
        """Take the marked one."""
        self.query_one(Finder).take()

    def action_next(self) -> None:
        """Mark the next one."""
        self.query_one(Finder).action_list("cursor_down")

    def action_back(self) -> None:
        """Back to the own words."""
        self.face.undo()
