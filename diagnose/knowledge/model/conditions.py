"""Conditions of rules: plain data, three-valued.

A condition is a conjunction of tests, each on one subject (a check, a measure or a finding).
A test on a subject without a value is neither true nor false: it is open. So 'not five' does
not hold for an answer that is missing, and a condition holds only when all its tests hold. What is
known in part (a range, one of several answers) holds a test only if it does so whole, and fails it
only if no part of it holds.

As YAML, a condition is a mapping with one entry for each subject:

    relief_cut: parallel_cut_gapes              the answer is this one
    adhesive_side: [dust_or_sand, wet]          the answer is one of these
    film_class: {not: clear_protective_pu}      answered, and not this one (or none of a list)
    events_since: none                          where several can be so: nothing is
    edge_retreat_mm: {at_least: 2, under: 10}   a number: under, at_most, over, at_least
    tension_toward_edge: found                  a finding: found or not_found
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from math import inf
from typing import Any, assert_never

from diagnose.knowledge.model.values import AllOfThese, OneOfThese
from diagnose.knowledge.model.values import Value as Value
from diagnose.knowledge.model.values import Values as Values
from diagnose.measures.quantity import Quantity

FOUND = "found"
NOT_FOUND = "not_found"


@dataclass(frozen=True, slots=True)
class OneOf:
    """The value is one of these words."""

    subject: str
    words: tuple[str, ...]

    def holds(self, value: Value | None) -> bool | None:
        """True, False, or None while the subject has no value of this kind or it is not settled."""
        return _among(self.words, value)

    def data(self) -> Any:
        """The test as it stands in a file."""
        return list(self.words)

    def __str__(self) -> str:
        return f"{self.subject} is {' or '.join(self.words)}"


@dataclass(frozen=True, slots=True)
class NoneOf:
    """There is a value, and it is none of these words."""

    subject: str
    words: tuple[str, ...]

    def holds(self, value: Value | None) -> bool | None:
        """True, False, or None while the subject has no value of this kind or it is not settled."""
        among = _among(self.words, value)
        return None if among is None else not among

    def data(self) -> Any:
        """The test as it stands in a file."""
        return {"not": list(self.words)}

    def __str__(self) -> str:
        return f"{self.subject} is not {' or '.join(self.words)}"


@dataclass(frozen=True, slots=True)
class Span:
    """The number lies between two ends; `closed` tells whether an end itself belongs."""

    subject: str
    low: float = -inf
    low_closed: bool = True
    high: float = inf
    high_closed: bool = False

    def holds(self, value: Value | None) -> bool | None:
        """True or False where the value's whole range lies on one side, else None."""
        if not isinstance(value, Quantity):
            return None
        if self._contains(value.low) and self._contains(value.high):
            return True
        if self._below(value.high) or self._above(value.low):
            return False
        return None

    def _below(self, x: float) -> bool:
        return x < self.low or (x == self.low and not self.low_closed)

    def _above(self, x: float) -> bool:
        return x > self.high or (x == self.high and not self.high_closed)

    def _contains(self, x: float) -> bool:
        return not self._below(x) and not self._above(x)

    def data(self) -> Any:
        """The test as it stands in a file."""
        ends = {
            "at_least" if self.low_closed else "over": self.low,
            "at_most" if self.high_closed else "under": self.high,
        }
        return {word: end for word, end in ends.items() if abs(end) < inf}

    def __str__(self) -> str:
        parts = []
        if self.low > -inf:
            parts.append(f"{'at least' if self.low_closed else 'over'} {self.low:g}")
        if self.high < inf:
            parts.append(f"{'at most' if self.high_closed else 'under'} {self.high:g}")
        return f"{self.subject} is {' and '.join(parts)}"


def _among(words: Collection[str], value: Value | None) -> bool | None:
    """Whether a value is one of some words; of one of several only if all or none of them are.

    Of things that are so together, one among the words is enough; 'none' is that nothing is so.
    """
    match value:
        case None | Quantity():
            return None
        case str():
            return value in words
        case OneOfThese(words=possible):
            found = {word in words for word in possible}
            return found.pop() if len(found) == 1 else None
        case AllOfThese(words=so):
            return any(word in words for word in so or ("none",))
        case _:
            assert_never(value)


Test = OneOf | NoneOf | Span


@dataclass(frozen=True, slots=True)
class Condition:
    """All of the tests, each on a subject of its own."""

    tests: tuple[Test, ...]

    def holds(self, values: Values) -> bool | None:
        """Kleene's conjunction: False as soon as one test is false, True only when all are true."""
        is_open = False
        for test in self.tests:
            seen = test.holds(values.get(test.subject))
            if seen is False:
                return False
            is_open = is_open or seen is None
        return None if is_open else True

    def subjects(self) -> Iterator[str]:
        """The subjects asked about, in the order written."""
        return (test.subject for test in self.tests)

    def data(self) -> dict[str, Any]:
        """The condition as it stands in a file; `parse` reads it back."""
        return {test.subject: test.data() for test in self.tests}

    def only(self) -> Test | None:
        """The single test of a condition on one subject, else None."""
        return self.tests[0] if len(self.tests) == 1 else None

    def __str__(self) -> str:
        return " and ".join(map(str, self.tests))


class ConditionError(ValueError):
    """A condition that cannot be read: a sentence, and the keys that lead to the place."""

    def __init__(self, sentence: str, at: tuple[str | int, ...] = ()) -> None:
        super().__init__(sentence)
        self.at = at


_ENDS = ("under", "at_most", "over", "at_least")


def parse(data: Any) -> Condition:
    """Read a condition from plain data; raises ConditionError."""
    if isinstance(data, Condition):
        return data
    if not isinstance(data, dict) or not data:
        raise ConditionError(
            "a condition is a mapping such as {relief_cut: parallel_cut_gapes}, with at least one"
            " entry"
        )
    return Condition(tuple(_test(subject, value) for subject, value in data.items()))


def _test(subject: Any, value: Any) -> Test:
    if not isinstance(subject, str):
        raise ConditionError(f"{subject!r} is not the name of a check, measure or finding")
    if isinstance(value, str | list):
        return OneOf(subject, _words(value, (subject,)))
    if isinstance(value, dict) and set(value) == {"not"}:
        return NoneOf(subject, _words(value["not"], (subject, "not")))
    if isinstance(value, dict) and value and set(value) <= set(_ENDS):
        return _span(subject, value)
    raise ConditionError(
        "write an answer, a list of answers, {not: …}, or numbers with"
        f" {', '.join(_ENDS)}; a bare number or true/false is not a condition",
        (subject,),
    )


def _words(value: Any, at: tuple[str | int, ...]) -> tuple[str, ...]:
    words = value if isinstance(value, list) else [value]
    for index, word in enumerate(words):
        if not isinstance(word, str):
            raise ConditionError(f"{word!r} is not the name of an answer", (*at, index))
    if not words or len(set(words)) < len(words):
        raise ConditionError("the list of answers is empty or names one twice", at)
    return tuple(words)


def _span(subject: str, ends: dict[str, Any]) -> Span:
    for key, end in ends.items():
        if isinstance(end, bool) or not isinstance(end, int | float):
            raise ConditionError(f"{end!r} is not a number", (subject, key))
    if {"under", "at_most"} <= set(ends) or {"over", "at_least"} <= set(ends):
        raise ConditionError("two ends on the same side: keep one", (subject,))
    span = Span(
        subject,
        low=float(ends.get("over", ends.get("at_least", -inf))),
        low_closed="over" not in ends,
        high=float(ends.get("under", ends.get("at_most", inf))),
        high_closed="at_most" in ends,
    )
    if span.low > span.high or (
        span.low == span.high and not (span.low_closed and span.high_closed)
    ):
        raise ConditionError("no number can lie in this range", (subject,))
    return span
