"""What screens of the callback know of the app they stand in, and how they ask for a screen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Literal, Protocol

from textual.message import Message

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.search import Find
from diagnose.dialogue.step import Step
from diagnose.dialogue.words import Doubt

if TYPE_CHECKING:
    from textual.worker import Worker

    from diagnose.dialogue.visitor_cases import Shelf
    from diagnose.knowledge.base import Base
    from diagnose.records.store.database import StoreError
    from diagnose.report.content.data import Report

Beside = Literal["answers", "cases", "causes", "facts", "more", "save"] | Doubt | Step
"""A screen that may lie above the one shown; a step asks its check once more."""


class Open(Message):
    """A screen asks for another one beside it; the app alone knows which that is."""

    def __init__(self, beside: Beside) -> None:
        super().__init__()
        self.beside: Beside = beside


class Face(Protocol):
    """The callback's app as its screens see it."""

    dialogue: Dialogue
    base: Base
    shelf: Shelf
    clock: Callable[[], datetime]

    @property
    def search(self) -> Find:
        """Finds symptoms, places and terms in whatever words."""

    def warm_words(self) -> Worker[None]:
        """Make ready what reads own words, while they are being typed."""

    def begin(self, case_id: str | None) -> None:
        """Start a new case (None), or go on with one."""

    def act(self, doing: Callable[[Dialogue], object]) -> None:
        """Do something, which keeps it on the disk, and go to what comes next."""

    def undo(self) -> None:
        """Take back the last entry, and say which it was."""

    def refuse(self, error: StoreError) -> None:
        """Say that something could not be kept, and stay where it was."""

    def leave_symptom(self) -> None:
        """From choosing a symptom back to the complaint before it, or to the start."""

    def warm(self, symptom: str) -> Worker[None]:
        """Make ready what a symptom needs, while its place is being picked."""

    def report(self) -> Report:
        """The report of the case as it stands now."""

    def action_find(self) -> None:
        """Look up any term."""

    def action_help(self) -> None:
        """The help page."""
