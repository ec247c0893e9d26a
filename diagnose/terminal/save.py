"""Saving the report to a new file here."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from diagnose.files import CannotWrite, safe_name, write
from diagnose.report.content.data import Report
from diagnose.report.saving import Kind, kinds
from diagnose.terminal.frame import Frame, Listed, Typed
from diagnose.terminal.widgets import Choice, Choices, Words


class SaveScreen(Frame):
    """Choose a format; the name is proposed and may be changed."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "close", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (("Esc", "Back", "close"),)

    def __init__(self, report: Report) -> None:
        super().__init__()
        self._report = report

    def head(self) -> str:
        """The title."""
        return "Save the report"

    def body(self) -> Iterable[Widget]:
        """The name, then the formats."""
        name = f"report-{self._report.case}"
        yield Words(f"Under which name, and as what? In {Path.cwd()}", id="ask")
        yield Typed(value=name, id="name", placeholder="name of the file")
        yield Words("", id="said", classes="note")
        yield Choices(
            *(Choice(kind.words, kind.ending, key=str(n)) for n, kind in enumerate(kinds(), 1))
        )

    def chosen(self, choice: Choice) -> None:
        """Save it in this format."""
        self._save(next(kind for kind in kinds() if kind.ending == choice.value))

    @on(Input.Submitted)
    def entered(self, message: Input.Submitted) -> None:
        """Enter in the name saves as its ending says, else as text."""
        typed = message.value.strip().lower()
        text = next(kind for kind in kinds() if kind.format == "text")
        fitting = [kind for kind in kinds() if typed.endswith(kind.ending)]
        self._save(max(fitting, key=lambda kind: len(kind.ending), default=text))

    def _save(self, kind: Kind) -> None:
        typed = self.query_one("#name", Input).value.strip() or f"report-{self._report.case}"
        stem = typed[: -len(kind.ending)] if typed.lower().endswith(kind.ending) else typed
        try:
            content = kind.make(self._report, self.face.base)
            said = self._hand_over(Path(stem), kind.ending, content)
        except CannotWrite as error:
            said = f"! {error}."
        self.query_one("#said", Words).say(said)

    def _hand_over(self, stem: Path, ending: str, content: bytes) -> str:
        path = stem.expanduser().with_name(safe_name(stem.name, ending))
        write(path, content)
        return f"Saved: {path.resolve()}"
