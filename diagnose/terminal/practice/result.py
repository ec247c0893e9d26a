"""After a case: what it teaches; after an exam: its result, to read and to save."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Input

from diagnose.files import CannotWrite, write
from diagnose.practice import exam_page, wording
from diagnose.practice.progress.exam import Result
from diagnose.practice.session.feedback import Feedback, feedback
from diagnose.practice.session.session import Session
from diagnose.terminal.frame import Drawn, Listed, ReadingScreen
from diagnose.terminal.practice.frame import PracticeFrame
from diagnose.terminal.widgets import Words


class FeedbackScreen(PracticeFrame):
    """What a decided case teaches, reckoned away from the screen; `then` follows on it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,m", "close", show=False),
        Binding("n,enter", "next", show=False),
        Binding("d", "drawing", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (
        ("n", "Next", "next"),
        ("d", "The sign", "drawing"),
        ("m", "Menu", "close"),
        ("q", "Leave", "app.leave"),
    )

    def __init__(self, session: Session, then: str = "case") -> None:
        super().__init__()
        self._session = session
        self._then = then
        self._ready = False
        self._found: Feedback | None = None

    def head(self) -> str:
        """The case by its title, which may now be told."""
        return f"What it was: {self._session.item.title}"

    def body(self) -> Iterable[Widget]:
        """The words, scrolled by arrows and by the wheel."""
        yield VerticalScroll(
            Words("Reckoning what each check told…", id="words", classes="note"), id="text"
        )

    def first(self) -> None:
        """The text takes the keys."""
        self.query_one("#text").focus()
        self.reckon()

    @work
    async def reckon(self) -> None:
        """Both paths, check by check."""
        before = self.desk.before()
        found = await asyncio.to_thread(feedback, self.desk.judge, self._session, before)
        self._found = found
        self._ready = True
        self.query_one("#words", Words).say(wording.feedback_lines(self.room.base, found))

    def action_next(self) -> None:
        """The next case."""
        if self._ready:
            self.room.do(self._then)

    def action_close(self) -> None:
        """Back to the menu, once the engine is free again."""
        if self._ready:
            super().action_close()

    def action_drawing(self) -> None:
        """The sign that told it, or that was missed, drawn, with how it is looked for."""
        found = self._found
        if not self._ready or found is None:
            return
        base = self.room.base
        missed = wording.missed_lines(base, found.missed)
        lines = [*wording.apart_lines(base, found), "", "The sign you missed", *missed, ""]
        how = [base.checks[c].how for c in (found.missed.checks if found.missed else ())]
        picture = found.drawn[0] if found.drawn else ""
        self.app.push_screen(Drawn("The sign that told it", [*lines, *how], picture))


class ResultScreen(PracticeFrame):
    """The result of an exam."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,m", "close", show=False),
        Binding("e", "save", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (("e", "Save it", "save"), ("m", "Menu", "close"))

    def __init__(self, result: Result) -> None:
        super().__init__()
        self.result = result

    def head(self) -> str:
        """The verdict in one word."""
        return "Exam: passed" if self.result.passed else "Exam: not passed"

    def body(self) -> Iterable[Widget]:
        """The result as it prints."""
        lines = exam_page.text(self.room.base, self.result).splitlines()
        yield VerticalScroll(Words(lines, id="words", classes="note"), id="text")

    def first(self) -> None:
        """The text takes the keys."""
        self.query_one("#text").focus()

    def action_save(self) -> None:
        """Save it to print."""
        self.app.push_screen(SaveResult(self.result))


class SaveResult(PracticeFrame):
    """Save a result: the ending of the name says whether it is a page or text."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "close", show=False)]
    acts: ClassVar[tuple[Listed, ...]] = (("⏎", "Save", "save"), ("Esc", "Back", "close"))

    def __init__(self, result: Result) -> None:
        super().__init__()
        self._result = result

    def head(self) -> str:
        """What is asked."""
        return "Save the result as (.html to print, .txt)"

    def body(self) -> Iterable[Widget]:
        """The name of the file."""
        yield Input(f"exam-{self._result.on}.html", id="name")
        yield Words(id="wrong", classes="caution")

    def first(self) -> None:
        """The name is to be typed."""
        self.query_one(Input).focus()

    @on(Input.Submitted)
    def entered(self) -> None:
        """Enter saves."""
        self.action_save()

    def action_save(self) -> None:
        """Write the file, unless one of that name is there."""
        path = Path(self.query_one(Input).value.strip()).expanduser()
        is_page = path.suffix.lower() in (".html", ".htm")
        render = exam_page.html if is_page else exam_page.text
        try:
            write(path, render(self.room.base, self._result).encode())
        except CannotWrite as error:
            self._wrong(f"{error}.")
        else:
            self.dismiss()
            self.app.push_screen(ReadingScreen("Saved", [f"Written to {path}."]))

    def _wrong(self, words: str) -> None:
        self.query_one("#wrong", Words).say(f"! {words}")
