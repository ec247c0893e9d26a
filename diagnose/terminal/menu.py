"""Everything that can be done in a callback, in one list."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from diagnose.terminal.frame import Frame, Listed, do_below
from diagnose.terminal.widgets import Choice, Choices

ITEMS = (
    ("y", "Why this cause?", "cause"),
    ("x", "What would change it?", "change"),
    ("d", "All causes, and why not each", "causes"),
    ("l", "Closed cases like this one", "like"),
    ("c", "Change an earlier answer", "answers"),
    ("a", "Another complaint on this vehicle", "another"),
    ("s", "Stop asking and conclude", "conclude"),
    ("v", "Vehicle, film, lot, installer", "facts"),
    ("f", "Look up any term", "app.find"),
    ("t", "Colours", "app.colours"),
    ("f1", "Help", "app.help"),
    ("q", "Leave; go on later", "app.leave"),
)


class MenuScreen(Frame):
    """The list; each line has the key that does the same without it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,b,m", "close", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        *(
            Binding(key, f"do('{action}')", show=False)
            for key, _, action in ITEMS
            if not action.startswith("app.")
        ),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (("b", "Back", "close"),)

    def head(self) -> str:
        """The title."""
        return "What else?"

    def body(self) -> Iterable[Widget]:
        """One choice for each act."""
        yield Choices(*(Choice(words, action, key=key) for key, words, action in ITEMS))

    def chosen(self, choice: Choice) -> None:
        """Do it."""
        self.action_do(choice.value)

    def action_do(self, action: str) -> None:
        """Do it on the screen below."""
        self.app.call_later(do_below, self.app, action)
