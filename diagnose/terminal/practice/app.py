"""The practice on screens: every look and every belief is kept before the screen moves."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import ClassVar, TypeVar

from textual import work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.screen import Screen

from diagnose.dialogue.visitor_cases import Shelf
from diagnose.practice import progress_words
from diagnose.practice.drills import drill as drills
from diagnose.practice.drills.drill import NoDrill
from diagnose.practice.progress.apprentice import ApprenticeDesk
from diagnose.practice.progress.exam import Exam
from diagnose.practice.progress.plan import EmptyBank
from diagnose.practice.session.session import Session
from diagnose.practice.wording import SCORING
from diagnose.records.store.database import StoreError
from diagnose.report.drawings import SYMPTOM_SCENES
from diagnose.terminal.frame import ReadingScreen
from diagnose.terminal.practice.menu import PracticeMenu
from diagnose.terminal.styles import CSS, THEMES

GUIDE = (
    "A case opens as it came in. You choose checks; each costs its minutes, some harm the film.",
    "The case answers from its record, and says when it does not know.",
    "Say what you believe whenever you like, as percent for one or several causes. Then commit to"
    " a cause, a first remedy and a payer.",
    "",
    SCORING,
    "",
    "What comes next is what you are about to forget or have taken for something else, then what"
    " is new. t changes the colours, q leaves; everything is kept.",
)

_Made = TypeVar("_Made")


class PracticeApp(App[None]):
    """The practice as screens; `action` goes straight to one thing."""

    CSS = CSS
    TITLE = "Practice"
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (74, "-wide")]  # noqa: RUF012 (as the App types it)
    VERTICAL_BREAKPOINTS = [(0, "-short"), (30, "-tall")]  # noqa: RUF012 (as the App types it)
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c,ctrl+q", "leave", priority=True, show=False),
        Binding("f1,question_mark", "help", show=False),
        Binding("t", "colours", show=False),
        Binding("q", "leave", show=False),
    ]

    def __init__(self, desk: ApprenticeDesk, shelf: Shelf, action: str | None = None) -> None:
        super().__init__()
        self.desk = desk
        self.base = desk.judge.base
        self.exam: Exam | None = None
        self._shelf = shelf
        self._action = action
        self._busy = False
        self._in_week = False
        for theme in THEMES:
            self.register_theme(theme)
        kept = shelf.colours()
        names = [theme.name for theme in THEMES]
        self.theme = kept if kept in names else names[0]

    def on_mount(self) -> None:
        """The choice of what to do, or one thing at once."""
        self.push_screen(PracticeMenu())
        if self._action:
            self.do(self._action)

    # What can be done

    def do(self, action: str) -> None:
        """Begin one of the things of the menu."""
        if self._busy:
            return
        acts: dict[str, Callable[[], object]] = {
            "case": self.next_case,
            "week": self.next_of_week,
            "exam": self.next_of_exam,
            "progress": self.show_progress,
            **{kind: lambda kind=kind: self.drill(kind) for kind in drills.KINDS},  # type: ignore[misc]
        }
        acts[action]()

    @work(exclusive=True, group="reckon")
    async def next_case(self) -> None:
        """The case begun before, or the one that serves best now."""
        self.exam, self._in_week = None, False
        try:
            session = self.desk.begun() or self.desk.start(await self.away(self.desk.fresh))
        except EmptyBank as error:
            self.push_screen(ReadingScreen("Practice", [f"{error}."]))
            return
        await self.open(session)

    @work(exclusive=True, group="reckon")
    async def next_of_week(self) -> None:
        """The next case of the first week; the whole week where today's five are done."""
        self.exam, self._in_week = None, True
        week = await self.away(self.desk.week)
        # The records are used from the thread that opened them.
        session = self.desk.week_case()
        if session is not None:
            await self.open(session)
            return
        told = progress_words.RESTS if week.next else progress_words.WEEK_DONE
        lines = [told, "", *progress_words.week_plan(self.base, week)]
        await self.push_screen(ReadingScreen(progress_words.week_head(week), lines))

    @work(exclusive=True, group="reckon")
    async def next_of_exam(self) -> None:
        """The next case of the exam, or its result."""
        begun = self.desk.exam_begun()
        self.exam = begun or self.desk.start_exam(await self.away(self.desk.fresh_exam))
        session = self.desk.exam_case(self.exam)
        if session is not None:
            await self.open(session)
            return
        from diagnose.terminal.practice.result import ResultScreen

        result = self.desk.exam_result(self.exam)
        self.exam = None
        await self.only_menu()
        self.push_screen(ResultScreen(result))

    async def away(self, reckon: Callable[[], _Made]) -> _Made:
        """Reckon something away from the screen, which says so meanwhile."""
        self._busy = True
        waiting = ReadingScreen("Practice", ["Looking for the case that serves you best…"])
        await self.push_screen(waiting)
        try:
            return await asyncio.to_thread(reckon)
        finally:
            self._busy = False
            await self.only_menu()

    async def open(self, session: Session) -> None:
        """Show a case."""
        from diagnose.terminal.practice.case import CaseScreen

        await self.only_menu()
        await self.push_screen(CaseScreen(session))

    async def only_menu(self) -> None:
        """Close everything above the menu."""
        while len(self.screen_stack) > 2:
            await self.pop_screen()

    @property
    def exam_id(self) -> str:
        """The exam under way, or ''."""
        return self.exam.id if self.exam else ""

    def decided(self, session: Session) -> None:
        """A case is decided: write it down, then its feedback, or the next case of the exam."""
        self.desk.finish(session, self.exam_id)
        if self.exam:
            self.next_of_exam()
        else:
            self.show_feedback(session)

    @work(exclusive=True, group="reckon")
    async def show_feedback(self, session: Session) -> None:
        """What a decided case teaches."""
        from diagnose.terminal.practice.result import FeedbackScreen

        await self.only_menu()
        await self.push_screen(FeedbackScreen(session, "week" if self._in_week else "case"))

    def show_progress(self) -> None:
        """How the apprentice stands."""
        from diagnose.terminal.practice.progress import ProgressScreen

        self.push_screen(ProgressScreen())

    def drill(self, kind: str) -> None:
        """One drill."""
        from diagnose.terminal.practice.drill import DrillScreen

        try:
            screen: Screen[None] = DrillScreen(self.desk.drill(kind, SYMPTOM_SCENES))
        except NoDrill as error:
            screen = ReadingScreen("Drill", [f"{error}."])
        self.push_screen(screen)

    # Keys that always work

    def action_leave(self) -> None:
        """Leave; everything is kept."""
        self.exit()

    def action_colours(self) -> None:
        """The next set of colours."""
        names = [theme.name for theme in THEMES]
        self.theme = names[(names.index(self.theme) + 1) % len(names)]
        try:
            self._shelf.keep_colours(self.theme)
        except StoreError as error:
            words = "The colours last until you leave."
            self.push_screen(ReadingScreen("! This could not be kept", [f"{error}.", words]))

    def action_help(self) -> None:
        """How it goes."""
        self.push_screen(ReadingScreen("How practice goes", GUIDE))
