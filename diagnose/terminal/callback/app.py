"""The callback on screens: each act is kept on the disk before the screen moves."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from datetime import datetime
from functools import cached_property
from typing import ClassVar, assert_never

from textual import work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.elsewhere import entered_elsewhere
from diagnose.dialogue.journals import ChangedElsewhere
from diagnose.dialogue.search import Find, Search
from diagnose.dialogue.step import Stage, Step
from diagnose.dialogue.visitor_cases import Shelf
from diagnose.dialogue.words import Doubt, doubts, taken_back
from diagnose.folders import program
from diagnose.knowledge.words.understanding import Understanding
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.store.database import StoreError
from diagnose.records.store.store import Store
from diagnose.report.content.data import Report
from diagnose.terminal.face import Beside, Open
from diagnose.terminal.styles import CSS, THEMES
from diagnose.terminal.widgets import TALL

LOOK_SECONDS = 2
"""How often it is looked whether another program works on the same case."""

SHOWN = 2
"""Screens of the app where nothing lies above the one shown."""

SEEN_SECONDS = 4
"""How long it stands on the screen what was taken back."""


class CallbackApp(App[str]):
    """The callback as screens; `result` is the id of the case that was worked on, or None.

    `resume` False goes straight to a new case. `owner` restricts what is seen to the cases of one
    visitor; None sees all. `pictures` is the widget that shows pictures (graphics.pictures()).
    """

    CSS = CSS
    TITLE = "Callback"
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (74, "-wide")]  # noqa: RUF012 (as the App types it)
    VERTICAL_BREAKPOINTS = [(0, "-short"), (TALL, "-tall")]  # noqa: RUF012 (as the App types it)
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c,ctrl+q", "leave", priority=True, show=False),
        Binding("f1,question_mark", "help", show=False),
        Binding("f", "find", show=False),
        Binding("t", "colours", show=False),
        Binding("q", "leave", show=False),
    ]

    def __init__(
        self,
        reasoner: Reasoner,
        store: Store,
        clock: Callable[[], datetime],
        resume: bool = True,
        owner: str | None = None,
        pictures: type[Widget] | None = None,
    ) -> None:
        super().__init__()
        self.pictures = pictures
        self.reasoner = reasoner
        self.base = reasoner.base
        self.clock = clock
        self.program = program()
        self.shelf = Shelf(store, owner)
        self.dialogue = self._dialogue(None)
        self._resume = resume
        self._busy = False
        self._reckoning = threading.Lock()
        self._told: set[tuple[int | None, str]] = set()
        for theme in THEMES:
            self.register_theme(theme)
        kept = self.shelf.colours()
        names = [theme.name for theme in THEMES]
        self.theme = kept if kept in names else names[0]

    def report(self) -> Report:
        """The report of the case as it stands now."""
        from diagnose.report.content.whole import whole
        from diagnose.report.plan_command import example_terms

        now, dialogue = self.clock(), self.dialogue
        terms = example_terms(self.base, now.replace(tzinfo=None))
        past = self.shelf.past(self.base, dialogue.case)
        return whole(self.reasoner, dialogue.case, now, self.program, terms, dialogue.car(), past)

    def _dialogue(self, case_id: str | None) -> Dialogue:
        journal = self.shelf.journal(case_id, self.clock)
        return Dialogue(
            self.reasoner,
            journal,
            lambda: self.understanding,
            lambda symptom: self.shelf.closed(self.base, symptom, case_id or ""),
        )

    @cached_property
    def understanding(self) -> Understanding:
        """What reads own words; made once, when first needed."""
        return Understanding(self.base)

    @cached_property
    def search(self) -> Find:
        """Finds symptoms, places and terms in whatever words."""
        return Search(lambda: self.understanding)

    # Going on

    def on_mount(self) -> None:
        """The start, or a new case at once."""
        from diagnose.terminal.callback.beginning.own_words import WordsScreen
        from diagnose.terminal.callback.beginning.start import StartScreen

        self.push_screen(StartScreen() if self._resume else WordsScreen())
        self.set_interval(LOOK_SECONDS, self.look_elsewhere)

    def look_elsewhere(self) -> None:
        """Say what another program entered on this case, and ask on from there.

        What is being typed stays, and so does what lies above the question.
        """
        if self._busy:
            return
        try:
            told = entered_elsewhere(self.base, self.dialogue.news())
        except StoreError:
            return  # The next entry will say so.
        if told:
            self.notify(told, timeout=2 * SEEN_SECONDS, markup=False)
            typed = any(field.value for field in self.screen.query(Input))
            if len(self.screen_stack) <= SHOWN and not typed:
                self.advance()

    def begin(self, case_id: str | None) -> None:
        """Start a new case (None), or go on with one."""
        self.dialogue = self._dialogue(case_id)
        self._told.clear()
        self.advance()

    def act(self, doing: Callable[[Dialogue], object]) -> None:
        """Do something, which keeps it on the disk, and go to what comes next."""
        if self._busy:
            return
        try:
            doing(self.dialogue)
        except ChangedElsewhere as error:
            self.notify(f"{error}.", timeout=2 * SEEN_SECONDS, markup=False)
            self.look_elsewhere()
            self.advance()
        except StoreError as error:
            self.refuse(error)
        else:
            self.advance()

    def undo(self) -> None:
        """Take back the last entry, and say which it was."""

        def back(dialogue: Dialogue) -> None:
            event = dialogue.undo()
            if event is not None:
                self.notify(taken_back(self.base, event), timeout=SEEN_SECONDS, markup=False)

        self.act(back)

    def refuse(self, error: StoreError) -> None:
        """Say that something could not be kept, and stay where it was."""
        from diagnose.terminal.frame import ReadingScreen

        words = "It was not kept. Free the disk or close the other program, then enter it again."
        self.push_screen(ReadingScreen("! This could not be kept", [f"{error}.", words]))

    def advance(self) -> None:
        """Reckon what comes next, away from the screen, and show it."""
        self._busy = True
        self.dialogue.read_past()
        self._go_on()

    @work(exclusive=True, group="reckon")
    async def _go_on(self) -> None:
        try:
            step = await asyncio.to_thread(self._reckon)
            await self._show(self._screen(step))
        finally:
            self._busy = False
        self._tell()

    def _reckon(self) -> Step:
        with self._reckoning:
            step = self.dialogue.step()
            if step.stage is Stage.CONFIRM:
                self.dialogue.opening.proposed()
            return step

    def _screen(self, step: Step) -> Screen[None]:
        match step.stage:
            case Stage.WORDS:
                from diagnose.terminal.callback.beginning.own_words import WordsScreen

                return WordsScreen()
            case Stage.CONFIRM:
                from diagnose.terminal.callback.beginning.own_words import ConfirmScreen

                return ConfirmScreen(self.dialogue.opening.proposed())
            case Stage.SYMPTOM:
                from diagnose.terminal.callback.beginning.symptom import SymptomScreen

                return SymptomScreen()
            case Stage.PANEL:
                from diagnose.terminal.callback.beginning.place import PlaceScreen

                return PlaceScreen()
            case Stage.CHECK:
                from diagnose.terminal.callback.question import QuestionScreen

                return QuestionScreen(step)
            case Stage.ENOUGH:
                from diagnose.terminal.callback.enough import EnoughScreen

                return EnoughScreen(step)
            case Stage.CONCLUDED:
                from diagnose.terminal.callback.done import DoneScreen

                return DoneScreen()
        assert_never(step.stage)

    def on_open(self, message: Open) -> None:
        """Show the screen that another one asked for, above it."""
        message.stop()
        self.push_screen(self._beside(message.beside))

    def _beside(self, beside: Beside) -> Screen[None]:
        match beside:
            case Doubt():
                from diagnose.terminal.callback.doubt import DoubtScreen

                return DoubtScreen(beside)
            case Step():
                from diagnose.terminal.callback.question import QuestionScreen

                return QuestionScreen(beside, again=True)
            case "answers":
                from diagnose.terminal.callback.answers import AnswersScreen

                return AnswersScreen()
            case "cases":
                from diagnose.terminal.callback.beginning.start import CasesScreen

                return CasesScreen(self.shelf.open_cases())
            case "causes":
                from diagnose.terminal.callback.causes import CausesScreen

                return CausesScreen()
            case "facts":
                from diagnose.terminal.callback.facts import FactsScreen

                return FactsScreen()
            case "more":
                from diagnose.terminal.menu import MenuScreen

                return MenuScreen()
            case "save":
                from diagnose.terminal.save import SaveScreen

                return SaveScreen(self.report())
        assert_never(beside)

    def leave_symptom(self) -> None:
        """From choosing a symptom back to the complaint before it, or to the start."""
        from diagnose.terminal.callback.beginning.start import StartScreen

        complaints = self.dialogue.case.complaints
        if complaints:
            self.act(lambda dialogue: dialogue.look_at(complaints[-1].number))
        else:
            self.switch_screen(StartScreen())

    async def _show(self, screen: Screen[None]) -> None:
        """Put a screen in the place of the one shown, closing what lies above it."""
        while len(self.screen_stack) > SHOWN:
            await self.pop_screen()
        await self.switch_screen(screen)

    def _tell(self) -> None:
        """Show once what does not fit, as soon as it does not."""
        from diagnose.terminal.callback.doubt import DoubtScreen

        diagnosis = self.dialogue.diagnosis()
        complaint = self.dialogue.complaint
        for doubt in doubts(self.base, diagnosis) if diagnosis and complaint else ():
            if (complaint.number if complaint else None, doubt.id) not in self._told:
                self._told.add((complaint.number if complaint else None, doubt.id))
                self.push_screen(DoubtScreen(doubt))
                return

    @work(thread=True, group="words")
    def warm_words(self) -> None:
        """Make ready what reads own words, while they are being typed."""
        self.understanding.read("")

    @work(thread=True, group="warm")
    def warm(self, symptom: str) -> None:
        """Make ready what a symptom needs, while its place is being picked."""
        answers = self.dialogue.case.circumstances
        with self._reckoning:
            self.reasoner.diagnose(AnsweredComplaint(symptom, answers))

    # Keys that always work

    def action_leave(self) -> None:
        """Leave; everything is kept."""
        self.exit(self.dialogue.case.id or None)

    def action_colours(self) -> None:
        """The next set of colours."""
        names = [theme.name for theme in THEMES]
        self.theme = names[(names.index(self.theme) + 1) % len(names)]
        try:
            self.shelf.keep_colours(self.theme)
        except StoreError as error:
            self.refuse(error)

    def action_help(self) -> None:
        """The help page."""
        from diagnose.terminal.frame import ReadingScreen
        from diagnose.terminal.guide import GUIDE

        self.push_screen(ReadingScreen("Help", GUIDE))

    def action_find(self) -> None:
        """Look up any term."""
        from diagnose.terminal.lookup import LookupScreen

        self.push_screen(LookupScreen())
