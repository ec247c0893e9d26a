"""What to practise: the choice that the practice begins with and comes back to."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.widget import Widget

from diagnose.practice.drills import drill as drills
from diagnose.practice.progress_words import stand
from diagnose.terminal.frame import Listed
from diagnose.terminal.practice.frame import PracticeFrame
from diagnose.terminal.widgets import Choice, Choices, Words


class PracticeMenu(PracticeFrame):
    """What to practise."""

    acts: ClassVar[tuple[Listed, ...]] = (
        ("t", "Colours", "app.colours"),
        ("f1", "Help", "app.help"),
        ("q", "Leave", "app.leave"),
    )

    def head(self) -> str:
        """Whose practice it is."""
        return f"Practice of {self.desk.book.name}"

    def body(self) -> Iterable[Widget]:
        """One choice for each thing."""
        yield Words("What comes next?", id="ask")
        yield Choices(Words(id="stand", classes="note dim"))

    def on_screen_resume(self) -> None:
        """What is begun and what was done may have changed."""
        self.run_worker(self._fill(), exclusive=True)

    async def _fill(self) -> None:
        choices = self.query_one(Choices)
        await choices.query(Choice).remove()
        rows = [*self._rows()]
        await choices.mount(
            *(Choice(words, value, key=str(n)) for n, (value, words) in enumerate(rows, 1)),
            before=0,
        )
        self.query_one("#stand", Words).say(stand(self.desk.progress, self.desk.clock()))
        choices.fit()
        self.first()

    def _rows(self) -> Iterable[tuple[str, str]]:
        exam = self.desk.exam_begun()
        yield "case", "Go on with the case begun" if self.desk.begun() else "Next case"
        yield "week", "First week: five cases a day"
        for kind, asks in drills.NAMES.items():
            yield kind, f"Drill: {asks}"
        yield "exam", "Go on with the exam" if exam else "Exam of ten cases"
        yield "progress", "Progress"

    def chosen(self, choice: Choice) -> None:
        """Begin it."""
        self.room.do(choice.value)
