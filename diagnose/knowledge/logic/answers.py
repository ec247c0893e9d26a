"""Answers a person gave: a choice, a number with its range, or 'unknown'.

Unknown means tried and could not tell; it differs from not asked, and neither is ever evidence.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from enum import Enum
from typing import Final

from diagnose.knowledge.model import Check, Observable
from diagnose.knowledge.model.conditions import Value, Values
from diagnose.knowledge.near import near
from diagnose.measures.quantity import Quantity


class Unknown(Enum):
    """The answer of one who tried and could not tell."""

    UNKNOWN = "unknown"

    def __str__(self) -> str:
        return "unknown"


UNKNOWN: Final = Unknown.UNKNOWN

Answer = Value | Unknown
Answers = Mapping[str, Answer]
"""Answers by check; a check not asked is absent."""


class BadAnswer(ValueError):
    """A text that is no answer of a check; the message says what would be one."""


def known(answers: Answers) -> Values:
    """The answers that can be evidence."""
    return {check: a for check, a in answers.items() if not isinstance(a, Unknown)}


def parse(check: Check, text: str) -> Answer:
    """Read what a person or a file says: an answer's id, its words, a number, or 'unknown'.

    Numbers may carry a unit and an uncertainty: '20', '68 °F', '20 ± 0.5', '18..22'.
    Raises BadAnswer.
    """
    text = text.strip()
    if text.casefold() in ("unknown", "?"):
        return UNKNOWN
    return _choice(check, text) if check.answers else _number(check, text)


def _choice(check: Check, text: str) -> str:
    folded = text.casefold()
    for word, answer in check.answers.items():
        if folded in (word, answer.says.casefold(), word.replace("_", " ")):
            return word
    raise BadAnswer(
        f"'{text}' is no answer of {check.id}{near(folded.replace(' ', '_'), set(check.answers))};"
        f" its answers are {', '.join(check.answers)}, or unknown"
    )


def _number(check: Check, text: str) -> Quantity:
    from diagnose.measures import units

    assert check.number is not None
    low, high, unit = check.number.low, check.number.high, check.number.unit
    try:
        value = units.parse(text, unit)
    except ValueError as error:
        raise BadAnswer(f"{check.id}: {error}") from None
    if value.low < low or value.high > high:
        raise BadAnswer(
            f"{check.id}: {text} lies outside {low:g} to {high:g} {unit}: check the reading and the"
            " unit"
        )
    return value


def write(answer: Answer) -> str | int | float:
    """An answer as it stands in a file; `parse` reads it back exactly."""
    if isinstance(answer, Quantity):
        if answer.is_exact:
            return int(answer.low) if answer.low.is_integer() else answer.low
        return f"{digits(answer.low)}..{digits(answer.high)}"
    return str(answer)


def digits(value: float) -> str:
    """A number without an exponent, as short as reads back exactly."""
    return str(int(value)) if float(value).is_integer() else f"{Decimal(repr(value)):f}"


_ONE = {" days": " day", " months": " month", " degrees": " degree"}


def says(check: Check, answer: Answer) -> str:
    """An answer in words for a reader, metric."""
    if isinstance(answer, Unknown):
        return "could not tell"
    if isinstance(answer, Quantity):
        unit = f" {unit_of(check)}".rstrip()
        if answer.is_exact:
            unit = _ONE.get(unit, unit) if answer.low == 1 else unit
            return f"{answer.low:g}{unit}"
        return f"{answer.low:g} to {answer.high:g}{unit}"
    return check.answers[answer].says


def unit_of(observable: Observable) -> str:
    """The unit of a number as a reader sees it; empty for a choice and a bare ratio."""
    number = getattr(observable, "number", None)
    unit = str(getattr(number or observable, "unit", "") or "")
    return "" if unit == "ratio" else unit
