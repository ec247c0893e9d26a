"""The conclusion in short, and the whole report one key away; saving it; what may follow."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget

from diagnose.report.content.data import Report
from diagnose.report.formats.plain import words
from diagnose.report.lines.case import document
from diagnose.report.lines.short import short
from diagnose.report.style import Style
from diagnose.terminal.callback.standing import StandingFrame
from diagnose.terminal.face import Open
from diagnose.terminal.frame import Listed
from diagnose.terminal.widgets import Words

FURTHER = "r: everything behind it"
"""How the whole report is read from the conclusion."""


class DoneScreen(StandingFrame):
    """The report of the whole case."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "save", show=False),
        Binding("r", "whole", show=False),
        Binding("g,b,escape", "reopen", show=False),
        Binding("up", "scroll('up')", show=False),
        Binding("down", "scroll('down')", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (
        ("r", "Report", "whole"),
        ("e", "Save it", "save"),
        ("a", "Another", "another"),
        ("g", "Ask on", "reopen"),
        ("m", "More", "more"),
        ("q", "Done", "app.leave"),
    )

    def __init__(self) -> None:
        super().__init__()
        self._whole = False

    def head(self) -> str:
        """The case."""
        return f"Concluded: case {self.dialogue.case.id}"

    def report(self) -> Report:
        """The report as it stands now."""
        return self.face.report()

    def body(self) -> Iterable[Widget]:
        """The report, scrolled by arrows, page keys and the wheel."""
        yield VerticalScroll(Words(id="words", classes="note"), id="text")

    def first(self) -> None:
        """The text takes the keys."""
        self.query_one("#text").focus()
        self.write()

    def on_resize(self, event: events.Resize) -> None:
        """Lines as long as the screen allows."""
        self.write()

    def on_screen_resume(self) -> None:
        """Facts may have been written down meanwhile."""
        self.write()

    def write(self) -> None:
        """Show the report at this width, in short or whole."""
        width = max(24, min(78, self.size.width - 4))
        report = self.report()
        shown = document(report) if self._whole else short(report, FURTHER)
        lines = words(shown, Style(False, width), titled=False).splitlines()
        self.query_one("#words", Words).say(lines)

    def action_whole(self) -> None:
        """Everything behind the conclusion, or the conclusion alone again."""
        self._whole = not self._whole
        self.write()
        self.query_one("#text").scroll_home(animate=False)

    def action_scroll(self, way: str) -> None:
        """Move the text."""
        getattr(self.query_one("#text"), f"scroll_{way}")(animate=False)

    def action_save(self) -> None:
        """Save the report in a format."""
        self.post_message(Open("save"))

    def action_reopen(self) -> None:
        """Go on asking about this complaint."""
        self.face.act(lambda dialogue: dialogue.go_on())
