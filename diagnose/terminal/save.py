"""Saving the report: to a new file here, or as a download where the screens are in a browser."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from diagnose.report.content import Report
from diagnose.report.text import data, markdown, text
from diagnose.terminal.frame import Frame, Listed, Typed
from diagnose.terminal.widgets import Choice, Choices, Words

FORMATS: Mapping[str, tuple[str, Callable[[Report], str]]] = {
    ".txt": ("Plain text", text),
    ".md": ("Markdown", markdown),
    ".json": (
        "JSON, for other programs",
        lambda r: json.dumps(data(r), ensure_ascii=False, indent=1),
    ),
}


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
        where = "It comes as a download." if self.app.is_web else f"In {Path.cwd()}"
        yield Words(f"Under which name, and as what? {where}", id="ask")
        yield Typed(value=name, id="name", placeholder="name of the file")
        yield Words("", id="said", classes="note")
        yield Choices(
            *(
                Choice(words, ending, key=str(n))
                for n, (ending, (words, _)) in enumerate(FORMATS.items(), 1)
            )
        )

    def chosen(self, choice: Choice) -> None:
        """Save it in this format."""
        self._save(choice.value)

    @on(Input.Submitted)
    def entered(self, message: Input.Submitted) -> None:
        """Enter in the name saves as its ending says, else as text."""
        ending = Path(message.value).suffix.lower()
        self._save(ending if ending in FORMATS else ".txt")

    def _save(self, ending: str) -> None:
        typed = self.query_one("#name", Input).value.strip() or f"report-{self._report.case}"
        path = Path(typed) if typed.lower().endswith(ending) else Path(typed + ending)
        words = FORMATS[ending][1](self._report)
        self.query_one("#said", Words).say(self._hand_over(path, words))

    def _hand_over(self, path: Path, words: str) -> str:
        if self.app.is_web:
            path = Path(re.sub(r"[^\w.-]+", "_", path.name, flags=re.ASCII))
            self.app.deliver_text(io.StringIO(words), save_filename=path.name)
            return f"{path.name} is on its way to your downloads."
        try:
            with path.expanduser().open("x", encoding="utf-8") as file:
                file.write(words)
        except FileExistsError:
            return f"! {path} exists already: give another name."
        except OSError as error:
            return f"! {path} cannot be written: {error.strerror}."
        return f"Saved: {path.expanduser().resolve()}"
