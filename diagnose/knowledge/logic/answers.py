"""Answers a person gave: a choice, a number with its range, or 'unknown'.

Unknown means tried and could not tell; it differs from not asked, and neither is ever evidence.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from decimal import Decimal
from enum import Enum
from typing import Final, assert_never

from diagnose.knowledge.model import Check, Observable
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND, OneOf, Test, Value, Values
from diagnose.knowledge.model.kinds import NOTHING, BadAnswer
from diagnose.knowledge.model.values import AllOfThese, OneOfThese
from diagnose.measures.quantity import Quantity
from diagnose.near import near

__all__ = [
    "UNKNOWN",
    "Answer",
    "Answers",
    "BadAnswer",
    "Unknown",
    "digits",
    "known",
    "misfit",
    "parse",
    "parse_all",
    "says",
    "write",
]


class Unknown(Enum):
    """The answer of one who tried and could not tell."""

    UNKNOWN = "unknown"

    def __str__(self) -> str:
        return "unknown"


UNKNOWN: Final = Unknown.UNKNOWN

Answer = Value | Unknown
Answers = Mapping[str, Answer]
"""Answers by check; a check not asked is absent."""


def known(answers: Answers) -> Values:
    """The answers that can be evidence."""
    return {check: a for check, a in answers.items() if not isinstance(a, Unknown)}


def parse(check: Check, text: str) -> Answer:
    """Read what a person or a file says: an answer's id, its words, a number, or 'unknown'.

    Numbers may carry a unit and an uncertainty: '20', '68 °F', '20 ± 0.5', '18..22'; where the
    check has words for numbers, 'cold'. What is known in part is said with 'or' ('wet or dirty',
    'wet | dirty'), what is right together with 'and'. Raises BadAnswer.
    """
    text = text.strip()
    if text.casefold() in ("unknown", "?"):
        return UNKNOWN
    return check.kind.parse(check.id, text)


def parse_all(check: Check, texts: Sequence[str]) -> Answer:
    """Read a list as it stands in a file: of a choice one of them is right, of several all.

    Of numbers it is the range that holds them all. Raises BadAnswer.
    """
    values = []
    for text in texts:
        value = parse(check, text)
        if isinstance(value, Unknown):
            raise BadAnswer(f"{check.id}: 'unknown' stands alone, not in a list of answers")
        values.append(value)
    return check.kind.together(check.id, values)


def write(answer: Answer) -> str | int | float | list[str]:
    """An answer as it stands in a file; `parse` and `parse_all` read it back exactly."""
    match answer:
        case Unknown() | str():
            return str(answer)
        case Quantity(low=low, high=high) if answer.is_exact:
            return int(low) if float(low).is_integer() else low
        case Quantity(low=low, high=high):
            return f"{digits(low)}..{digits(high)}"
        case AllOfThese(words=()):
            return NOTHING
        case OneOfThese(words=words) | AllOfThese(words=words):
            return list(words)
        case _:
            assert_never(answer)


def digits(value: float) -> str:
    """A number without an exponent, as short as reads back exactly."""
    return str(int(value)) if float(value).is_integer() else f"{Decimal(repr(value)):f}"


UNTOLD = "could not tell"
"""The words for an answer that was tried for and not found."""


def says(check: Check, answer: Answer) -> str:
    """An answer in words for a reader, metric."""
    return UNTOLD if isinstance(answer, Unknown) else check.kind.says(answer)


def misfit(
    test: Test, observables: Mapping[str, Observable], findings: Collection[str]
) -> str | None:
    """Why a test asks of its subject what that can never say, or None."""
    subject = test.subject
    if subject in findings:
        if isinstance(test, OneOf) and test.words in ((FOUND,), (NOT_FOUND,)):
            return None
        return f"{subject} is a finding: write {subject}: found, or {subject}: not_found"
    if subject not in observables:
        hint = near(subject, {*observables, *findings})
        return f"no check, measure or finding is called '{subject}'{hint}"
    return observables[subject].kind.misfit(subject, test)
