"""What kind of value a check or a measure has, and all that hangs on it.

A kind reads what a person writes, says a value in words, codes it for tables and arrays, and tells
which conditions can be put to it. Whoever needs something of a value asks its kind; the few places
that need more take the kinds apart with `match`, so that a kind forgotten there is a type error.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf, nextafter
from typing import assert_never

from diagnose.knowledge.model.conditions import NoneOf, OneOf, Span, Test, Value
from diagnose.knowledge.near import near
from diagnose.measures.quantity import Quantity

FARTHEST = 1e12
"""Stands for an open end of a bin."""

_ONE = {" days": " day", " months": " month", " degrees": " degree"}


class BadAnswer(ValueError):
    """A text that is no answer of a check; the message says what would be one."""


class NotOfThisKind(TypeError):
    """A value that belongs to another kind."""


@dataclass(frozen=True, slots=True)
class ChoiceKind:
    """One of some answers: each answer's id, in the order of its code, with its words."""

    answers: Mapping[str, str]

    @property
    def labels(self) -> tuple[str, ...]:
        """A word for each code."""
        return tuple(self.answers)

    @property
    def unit(self) -> str:
        """A choice has none."""
        return ""

    def parse(self, name: str, text: str) -> Value:
        """An answer's id or its words; raises BadAnswer."""
        folded = text.casefold()
        for word, says in self.answers.items():
            if folded in (word, says.casefold(), word.replace("_", " ")):
                return word
        raise BadAnswer(
            f"'{text}' is no answer of {name}{near(folded.replace(' ', '_'), set(self.answers))};"
            f" its answers are {', '.join(self.answers)}, or unknown"
        )

    def says(self, value: Value) -> str:
        """A value in words; a word that is no longer an answer says itself."""
        return self.answers.get(_word(value), _word(value))

    def label_says(self, label: str) -> str:
        """A label in words."""
        return self.answers[label]

    def named(self, codes: Sequence[int]) -> list[str]:
        """Some answers in words, each in quotes."""
        says = list(self.answers.values())
        return [f"'{says[code]}'" for code in codes]

    def covers(self, codes: Sequence[int]) -> str:
        """What a place of a table stands for, in words."""
        return list(self.answers.values())[codes[0]]

    def codes(self, value: Value) -> Sequence[int]:
        """The answers, by number, that a value may be."""
        at = self.labels.index(_word(value))
        return range(at, at + 1)

    def value(self, code: int) -> Value:
        """A value that is this answer."""
        return self.labels[code]

    def tests(self, name: str, codes: Sequence[int]) -> tuple[Test, ...]:
        """Tests that hold for just these answers, the shorter way to say it."""
        left = [label for code, label in enumerate(self.labels) if code not in codes]
        if len(left) == 1 and len(codes) > 2:
            return (NoneOf(name, tuple(left)),)
        return (OneOf(name, tuple(self.labels[code] for code in codes)),)

    def allows(self, value: Value) -> bool:
        """Whether a value on record is (still) one of these answers."""
        return isinstance(value, str) and value in self.answers

    def misfit(self, name: str, test: Test) -> str | None:
        """Why a condition cannot be put to it, or None."""
        match test:
            case Span():
                return f"{name} has answers, not a number"
            case OneOf(words=words) | NoneOf(words=words):
                return self._unknown(name, words)
            case _:
                assert_never(test)

    def _unknown(self, name: str, words: Sequence[str]) -> str | None:
        for word in words:
            if word not in self.answers:
                answers = ", ".join(self.answers)
                hint = near(word, set(self.answers)) or f"; its answers are {answers}"
                return f"{name} has no answer '{word}'{hint}"
        if set(words) == set(self.answers):
            return f"every answer of {name} is named: the condition says nothing"
        return None


@dataclass(frozen=True, slots=True)
class NumberKind:
    """A number in a unit, told as a range; its bins end at `edges`, rising.

    `low` and `high` are what a person can sanely enter; `digits` are shown.
    """

    measured_in: str
    low: float = -inf
    high: float = inf
    edges: tuple[float, ...] = ()
    digits: int = 6

    @property
    def labels(self) -> tuple[str, ...]:
        """A word for each bin."""
        if not self.edges:
            return ()
        middle = (f"{low:g} to {high:g}" for low, high in pairwise(self.edges))
        return (f"under {self.edges[0]:g}", *middle, f"{self.edges[-1]:g} and over")

    @property
    def unit(self) -> str:
        """The unit as a reader sees it; a bare ratio has none."""
        return "" if self.measured_in == "ratio" else self.measured_in

    def parse(self, name: str, text: str) -> Value:
        """A number, with a unit and an uncertainty at will; raises BadAnswer."""
        from diagnose.measures import units

        try:
            value = units.parse(text, self.measured_in)
        except ValueError as error:
            raise BadAnswer(f"{name}: {error}") from None
        if value.low < self.low or value.high > self.high:
            raise BadAnswer(
                f"{name}: {text} lies outside {self.low:g} to {self.high:g} {self.measured_in}:"
                " check the reading and the unit"
            )
        return value

    def says(self, value: Value) -> str:
        """A value in words, with its unit."""
        its = _range(value)
        low, high = f"{its.low:.{self.digits}g}", f"{its.high:.{self.digits}g}"
        if low == high:
            unit = self._beside()
            return f"{low}{_ONE.get(unit, unit) if low == '1' else unit}"
        return f"{low} to {high}{self._beside()}"

    def label_says(self, label: str) -> str:
        """A label in words."""
        return label

    def named(self, codes: Sequence[int]) -> list[str]:
        """Some bins in words; those that lie side by side are one range."""
        return [self._bins(low, high) for low, high in _runs(codes)]

    def covers(self, codes: Sequence[int]) -> str:
        """Bins that lie side by side in words, such as '36 to under 60 months'."""
        return self._bins(codes[0], codes[-1])

    def _bins(self, low: int, high: int) -> str:
        ends, unit = self.edges, self._beside()
        if low and high < len(ends):
            return f"{ends[low - 1]:g} to under {ends[high]:g}{unit}"
        if low:
            return f"{ends[low - 1]:g}{unit} and over"
        return f"under {ends[high]:g}{unit}" if high < len(ends) else "any number"

    def _beside(self) -> str:
        return f" {self.unit}".rstrip()

    def codes(self, value: Value) -> Sequence[int]:
        """The bins, by number, that a value touches."""
        its = _range(value)
        return range(bisect_right(self.edges, its.low), bisect_right(self.edges, its.high) + 1)

    def value(self, code: int) -> Quantity:
        """The whole of a bin."""
        edges = (-FARTHEST, *self.edges, FARTHEST)
        low, high = edges[code], edges[code + 1]
        return Quantity(low, high if high == FARTHEST else nextafter(high, low))

    def tests(self, name: str, codes: Sequence[int]) -> tuple[Test, ...]:
        """Tests that hold for just these bins, one for each run of them."""
        ends = (-inf, *self.edges, inf)
        runs = _runs(sorted(codes))
        return tuple(Span(name, low=ends[low], high=ends[high + 1]) for low, high in runs)

    def allows(self, value: Value) -> bool:
        """Whether a value on record is a number."""
        return isinstance(value, Quantity)

    def misfit(self, name: str, test: Test) -> str | None:
        """Why a condition cannot be put to it, or None."""
        match test:
            case Span():
                return None
            case OneOf() | NoneOf():
                return f"{name} is a number: write {{under: …}}, {{at_least: …}} and so on"
            case _:
                assert_never(test)


Kind = ChoiceKind | NumberKind


def _word(value: Value) -> str:
    if isinstance(value, str):
        return value
    raise NotOfThisKind(f"{value} is no choice")


def _range(value: Value) -> Quantity:
    if isinstance(value, Quantity):
        return value
    raise NotOfThisKind(f"{value} is no number")


def _runs(codes: Sequence[int]) -> Iterator[tuple[int, int]]:
    """First and last of each run of codes without a gap."""
    for code in codes:
        if code - 1 not in codes:
            low = code
        if code + 1 not in codes:
            yield low, code
