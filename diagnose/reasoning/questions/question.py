"""What is asked and what is known: the words of choosing, without the arithmetic."""

from __future__ import annotations

from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from enum import StrEnum

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause, Check
from diagnose.knowledge.model.conditions import Values


class Stop(StrEnum):
    """Why no further check is needed."""

    CAUSE_SAFE = "cause_safe"
    SAME_TO_DO = "same_to_do"
    NOTHING_FITS = "nothing_fits"
    NOTHING_TELLS = "nothing_tells"


STOP_WORDS: Mapping[Stop, str] = {
    Stop.CAUSE_SAFE: "The leading cause is safe enough to act on.",
    Stop.SAME_TO_DO: "Every cause that is still likely leads to the same remedy and payer.",
    Stop.NOTHING_FITS: "Nothing listed here fits what you found.",
    Stop.NOTHING_TELLS: "No check that is left would tell enough to be worth its time.",
}


@dataclass(frozen=True, slots=True)
class Outcome:
    """One answer that a check may give: how likely, and which cause would then lead."""

    label: str
    probability: float
    leading: str
    leading_probability: float


@dataclass(frozen=True, slots=True)
class Question:
    """A check worth doing, with what it is expected to tell.

    `observable` is the check itself, or a measure whose missing inputs are `asks`, in order.
    `bits` is the expected drop in uncertainty, less where it may well stay unknown; `cost` in
    minutes, `rate` what it is ranked by.
    """

    observable: str
    asks: tuple[str, ...]
    bits: float
    cost: float
    rate: float
    outcomes: tuple[Outcome, ...]


@dataclass(frozen=True, slots=True)
class NextChecks:
    """The questions, best first, and a reason to stop where there is one."""

    questions: tuple[Question, ...]
    stop: Stop | None


@dataclass(frozen=True, slots=True)
class Asked:
    """What is known and what cannot or need not be asked.

    `closed`: checks answered, unknown, or not possible here.
    """

    values: Values
    closed: AbstractSet[str]


def doing(base: Base, cause: Cause, symptom: str) -> tuple[str, str]:
    """What a cause of a symptom leads to: its first remedy and its usual payer."""
    first = next(iter((*base.mending(cause, symptom), *cause.also)), "")
    return first, cause.responsibility.payer


def askable(base: Base, check: Check, asked: Asked) -> bool:
    """Whether a check is still open and makes sense with what is known.

    A check that makes sense only under a condition waits until the condition can be judged, or
    until the person could not tell.
    """
    if check.id in asked.closed or check.id in asked.values:
        return False
    if check.asked_when is None:
        return True
    holds = check.asked_when.holds(asked.values)
    tried = all(s in asked.closed or s in asked.values for s in check.asked_when.subjects())
    return holds is True or (holds is None and tried)
