"""What is asked and what is known: the words of choosing, without the arithmetic."""

from __future__ import annotations

from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from enum import StrEnum

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause, Check, CheckPlace, Harm
from diagnose.knowledge.model.conditions import NoneOf, Test, Values


class Stop(StrEnum):
    """Why no further check is needed."""

    CAUSE_SAFE = "cause_safe"
    SAME_TO_DO = "same_to_do"
    NOTHING_FITS = "nothing_fits"
    NOTHING_TELLS = "nothing_tells"
    MANY_ASKED = "many_asked"


STOP_WORDS: Mapping[Stop, str] = {
    Stop.CAUSE_SAFE: "The leading cause is safe enough to act on.",
    Stop.SAME_TO_DO: "Every cause that is still likely leads to the same remedy and payer, and no"
    " check would tell them apart for what it takes.",
    Stop.NOTHING_FITS: "Nothing listed here fits what you found.",
    Stop.MANY_ASKED: "Much was asked: this is where it stands, and what can be done today.",
    Stop.NOTHING_TELLS: "No check that is left would save as much work as it takes.",
}


@dataclass(frozen=True, slots=True)
class PossibleOutcome:
    """One answer that a check may give: how likely, and which cause would then lead."""

    label: str
    probability: float
    leading: str
    leading_probability: float


@dataclass(frozen=True, slots=True)
class Question:
    """A check worth doing, with what it is expected to tell.

    `observable` is the check itself, or a measure whose missing inputs are `asks`, in order.
    `bits`: how much it tells of the cause; `saves`: minutes of the shop's work by which it makes a
    wrong end cheaper; both expected, and less where it may well stay unknown. `takes`: minutes,
    with what waiting and harm count.
    """

    observable: str
    asks: tuple[str, ...]
    bits: float
    saves: float
    takes: float
    outcomes: tuple[PossibleOutcome, ...]


@dataclass(frozen=True, slots=True)
class NextChecks:
    """The questions, best first, and a reason to stop where there is one.

    `later`: what would tell more but is no question at the car (laboratory, what destroys);
    `at_stake`: minutes of the shop's work that ending now may cost.
    """

    questions: tuple[Question, ...]
    stop: Stop | None
    later: tuple[Question, ...] = ()
    at_stake: float = 0.0


@dataclass(frozen=True, slots=True)
class Asked:
    """What is known and what cannot or need not be asked.

    `closed`: checks answered, unknown, or not possible here; `panel`: the place, '' where not told;
    `aside`: those of the closed that nobody tried, since they are not possible here; `before`:
    those told without having been asked, which say nothing of what can be told when asked.
    """

    values: Values
    closed: AbstractSet[str]
    panel: str = ""
    aside: AbstractSet[str] = frozenset()
    before: AbstractSet[str] = frozenset()


def doing(base: Base, cause: Cause, symptom: str) -> tuple[str, str]:
    """What a cause of a symptom leads to: its first remedy and its usual payer."""
    first = next(iter((*base.mending(cause, symptom), *cause.also)), "")
    return first, cause.responsibility.payer


def askable(base: Base, check: Check, asked: Asked) -> bool:
    """Whether a check is still open and makes sense with what is known.

    A check that makes sense only under a condition waits until the condition can be judged. What
    only an answer makes sense of ('how wide does the cut gape') is never asked without it; what an
    answer would make senseless is asked once that answer could not be told.
    """
    if check.id in asked.closed or check.id in asked.values:
        return False
    if base.absent_on(check, asked.panel):
        return False
    tests = check.asked_when.tests if check.asked_when else ()
    return all(_passes(test, asked) for test in tests)


def _passes(test: Test, asked: Asked) -> bool:
    value = asked.values.get(test.subject)
    if value is not None and (holds := test.holds(value)) is not None:
        return holds
    tried = test.subject in asked.closed or value is not None
    return tried and not opens(test)


def opens(test: Test) -> bool:
    """Whether a check waits for this: 'how wide does the cut gape' for a cut that gapes."""
    return not isinstance(test, NoneOf)


def at_the_car(check: Check) -> bool:
    """Whether a check is a question at the car: no laboratory, nothing that is destroyed."""
    return check.place is not CheckPlace.LAB and check.harm is not Harm.DESTRUCTIVE
