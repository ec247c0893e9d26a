"""What a callback waits for, as a face shows it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from diagnose.knowledge.model import Check
from diagnose.reasoning.questions.question import Question, Stop


class Stage(StrEnum):
    """What the dialogue waits for."""

    WORDS = "words"
    CONFIRM = "confirm"
    SYMPTOM = "symptom"
    PANEL = "panel"
    CHECK = "check"
    ENOUGH = "enough"
    CONCLUDED = "concluded"


@dataclass(frozen=True, slots=True)
class Step:
    """What to show: the stage and what belongs to it.

    `check` and `question` at CHECK (no question for what is asked of every callback); `stop` at
    ENOUGH, with whether there is more to ask; `rather` are symptoms that the answers point to
    instead, with what tells them apart; `between` says what closed cases and the answers make of
    it, where the check decides between them.
    """

    stage: Stage
    check: Check | None = None
    question: Question | None = None
    stop: Stop | None = None
    more: bool = False
    rather: tuple[tuple[str, str, str], ...] = ()
    between: str = ""
