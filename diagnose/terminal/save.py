"""Saving the report: to a new file here, or as a download where the screens are in a browser."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar, Literal

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from diagnose.knowledge.base import Base
from diagnose.report.content.data import Report
from diagnose.report.handing import as_json
from diagnose.report.pages.audience import Audience
from diagnose.report.pages.files import CannotWrite, safe_name, write
from diagnose.report.text import markdown, text
from diagnose.terminal.frame import Frame, Listed, Typed
from diagnose.terminal.widgets import Choice, Choices, Words


@dataclass(frozen=True, slots=True)
class Kind:
    """A way to save a report: its name, the ending of the file, and how its bytes are made."""

    words: str
    ending: str
    make: Callable[[Report, Base], bytes]


def _words(make: Callable[[Report], str]) -> Callable[[Report, Base], bytes]:
    return lambda report, base: make(report).encode()


def _pages(kind: Literal["html", "pdf"], audience: str) -> Callable[[Report, Base], bytes]:
    def made(report: Report, base: Base) -> bytes:
        from diagnose.report.pages import Setting, render
        from diagnose.report.pages.command import titles

        setting = Setting(audience=Audience(audience), titles=titles(report, base))
        return render(report, kind, setting)

    return made


TEXT = Kind("Plain text", ".txt", _words(text))
KINDS = (
    Kind("PDF for the customer", ".customer.pdf", _pages("pdf", "customer")),
    Kind("PDF for the file, with everything", ".pdf", _pages("pdf", "file")),
    Kind("PDF for the film maker", ".maker.pdf", _pages("pdf", "maker")),
    Kind("A page for a browser", ".html", _pages("html", "file")),
    TEXT,
    Kind("Markdown", ".md", _words(markdown)),
    Kind("JSON, for other programs", ".json", lambda report, base: as_json(report, Audience.FILE)),
)


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
            *(Choice(kind.words, kind.ending, key=str(n)) for n, kind in enumerate(KINDS, 1))
        )

    def chosen(self, choice: Choice) -> None:
        """Save it in this format."""
        self._save(next(kind for kind in KINDS if kind.ending == choice.value))

    @on(Input.Submitted)
    def entered(self, message: Input.Submitted) -> None:
        """Enter in the name saves as its ending says, else as text."""
        typed = message.value.strip().lower()
        fitting = [kind for kind in KINDS if typed.endswith(kind.ending)]
        self._save(max(fitting, key=lambda kind: len(kind.ending), default=TEXT))

    def _save(self, kind: Kind) -> None:
        from diagnose.report.pages.pdf import CannotPrint

        typed = self.query_one("#name", Input).value.strip() or f"report-{self._report.case}"
        stem = typed[: -len(kind.ending)] if typed.lower().endswith(kind.ending) else typed
        try:
            content = kind.make(self._report, self.face.base)
            said = self._hand_over(Path(stem), kind.ending, content)
        except (CannotPrint, CannotWrite) as error:
            said = f"! {str(error).removesuffix(', or say --overwrite')}."
        self.query_one("#said", Words).say(said)

    def _hand_over(self, stem: Path, ending: str, content: bytes) -> str:
        path = stem.expanduser().with_name(safe_name(stem.name, ending))
        if self.app.is_web:
            name = re.sub(r"[^\w.-]+", "_", path.name, flags=re.ASCII)
            self.app.deliver_binary(io.BytesIO(content), save_filename=name)
            return f"{name} is on its way to your downloads."
        write(path, content)
        return f"Saved: {path.resolve()}"
