"""What screens of the practice know of the app they stand in, and how they ask it for things."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol, cast

from diagnose.terminal.frame import Frame

if TYPE_CHECKING:
    from diagnose.knowledge.base import Base
    from diagnose.practice.progress.apprentice import ApprenticeDesk
    from diagnose.practice.progress.exam import Exam
    from diagnose.practice.session.session import Session


class Room(Protocol):
    """The practice's app as its screens see it."""

    desk: ApprenticeDesk
    base: Base
    exam: Exam | None

    @property
    def exam_id(self) -> str:
        """The exam under way, or ''."""

    def do(self, action: str) -> None:
        """Begin one of the things of the menu."""

    def decided(self, session: Session) -> None:
        """A case is decided: write it down, then its feedback, or the next case of the exam."""


class PracticeFrame(Frame):
    """A screen of the practice."""

    @property
    def room(self) -> Room:
        """The app, as screens see it."""
        return cast("Room", self.app)

    @property
    def desk(self) -> ApprenticeDesk:
        """The apprentice's desk."""
        return self.room.desk
