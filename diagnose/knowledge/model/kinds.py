"""What kind of value a check or a measure has, and all that hangs on it.

A kind reads what a person writes, says a value in words, codes it for tables and arrays, and tells
which conditions can be put to it. Whoever needs something of a value asks its kind; the few places
that need more take the kinds apart with `match`, so that a kind forgotten there is a type error.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, pairwise
from math import inf, nextafter, prod
from typing import assert_never

from diagnose.knowledge.model.conditions import NoneOf, OneOf, Span, Test, Value
from diagnose.knowledge.model.values import AllOfThese, OneOfThese
from diagnose.knowledge.near import near
from diagnose.measures.quantity import Quantity

FARTHEST = 1e12
"""Stands for an open end of a bin."""

NOTHING = "none"
"""What is written where no answer of several is right."""

NONE_OF_THESE = "none of these"

_OR = re.compile(r"(\s*\|\s*|\s*,?\s+or\s+)", re.IGNORECASE)
"""Between answers of which one is right."""

_AND = re.compile(r"(\s*[|,;+&]\s*(?:and\s+)?|\s+and\s+)", re.IGNORECASE)
"""Between answers that are right together."""

_ONE = {" days": " day", " months": " month", " degrees": " degree"}


class BadAnswer(ValueError):
    """A text that is no answer of a check; the message says what would be one."""


class NotOfThisKind(TypeError):
    """A value that belongs to another kind."""


@dataclass(frozen=True, slots=True)
class _Answers:
    """Some answers: each one's id, in the order of its code, with its words."""

    answers: Mapping[str, str]

    @property
    def labels(self) -> tuple[str, ...]:
        """A word for each code."""
        return tuple(self.answers)

    @property
    def unit(self) -> str:
        """An answer has none."""
        return ""

    def named(self, codes: Sequence[int]) -> list[str]:
        """Some answers in words, each in quotes."""
        says = list(self.answers.values())
        return [f"'{says[code]}'" for code in codes]

    def tests(self, name: str, codes: Sequence[int]) -> tuple[Test, ...]:
        """Tests that hold for just these answers, the shorter way to say it."""
        left = [label for code, label in enumerate(self.labels) if code not in codes]
        if len(left) == 1 and len(codes) > 2:
            return (NoneOf(name, tuple(left)),)
        return (OneOf(name, tuple(self.labels[code] for code in codes)),)

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

    def _read(self, name: str, text: str, between: re.Pattern[str]) -> list[str]:
        """The answers that a text names; an answer whose own words hold an 'or' stays whole."""
        parts = between.split(text)
        found, at = [], 0
        while at < len(parts):
            ends = range(len(parts), at, -2)
            end = next((e for e in ends if self._find("".join(parts[at:e]))), at + 1)
            found.append(self._only(name, "".join(parts[at:end])))
            at = end + 1
        return found

    def _find(self, text: str) -> str | None:
        folded = text.strip().casefold()
        for word, says in self.answers.items():
            if folded in (word, says.casefold(), word.replace("_", " ")):
                return word
        return None

    def _only(self, name: str, text: str) -> str:
        word = self._find(text)
        if word is not None:
            return word
        hint = near(text.strip().casefold().replace(" ", "_"), set(self.answers))
        raise BadAnswer(
            f"'{text}' is no answer of {name}{hint};"
            f" its answers are {', '.join(self.answers)}, or unknown"
        )

    def _ordered(self, words: Iterable[str]) -> tuple[str, ...]:
        named = set(words)
        return tuple(word for word in self.answers if word in named)

    def _said(self, words: Sequence[str], between: str) -> str:
        """Some answers in words; a word that is no longer an answer says itself."""
        return between.join(self.answers.get(word, word) for word in words)


@dataclass(frozen=True, slots=True)
class ChoiceKind(_Answers):
    """One of some answers is right."""

    @property
    def outcomes(self) -> tuple[Value, ...]:
        """What it can turn out to be, each apart from the others."""
        return self.labels

    @property
    def outcome_labels(self) -> tuple[str, ...]:
        """A word for each outcome."""
        return self.labels

    def parse(self, name: str, text: str) -> Value:
        """An answer's id or its words, or several of them with 'or'; raises BadAnswer."""
        return self.together(name, self._read(name, text, _OR))

    def together(self, name: str, values: Sequence[Value]) -> Value:
        """One value of several of which one is right."""
        words = self._ordered(word for value in values for word in _possible(value))
        return words[0] if len(words) == 1 else OneOfThese(words)

    def says(self, value: Value) -> str:
        """A value in words."""
        return self._said(_possible(value), " or ")

    def label_says(self, label: str) -> str:
        """An outcome's label in words."""
        return self.answers[label]

    def covers(self, codes: Sequence[int]) -> str:
        """What a place of a table stands for, in words."""
        return self._said([self.labels[code] for code in codes], " or ")

    def codes(self, value: Value) -> Sequence[int]:
        """The answers, by number, that a value may be."""
        labels = self.labels
        return tuple(labels.index(word) for word in _possible(value))

    def value(self, code: int) -> Value:
        """A value that is this answer."""
        return self.labels[code]

    def outcomes_of(self, value: Value) -> Sequence[int]:
        """The outcomes, by number, that a value may be."""
        return self.codes(value)

    def outcome_shares(self, usual: Sequence[float]) -> tuple[float, ...]:
        """The share of each outcome, from those of the answers; they sum to one."""
        return tuple(usual)

    def of(self, codes: Sequence[int]) -> Value:
        """A value that is one of these answers."""
        words = tuple(self.labels[code] for code in codes)
        return words[0] if len(words) == 1 else OneOfThese(words)

    def allows(self, value: Value) -> bool:
        """Whether a value on record is (still) one of these answers."""
        match value:
            case str() | OneOfThese():
                return all(word in self.answers for word in _possible(value))
            case Quantity() | AllOfThese():
                return False
            case _:
                assert_never(value)


@dataclass(frozen=True, slots=True)
class SeveralKind(_Answers):
    """Answers that can be right together, each a yes or no of its own."""

    @property
    def outcomes(self) -> tuple[Value, ...]:
        """What it can turn out to be, each apart from the others: every set of the answers."""
        labels = self.labels
        sizes = range(len(labels) + 1)
        return tuple(AllOfThese(its) for size in sizes for its in combinations(labels, size))

    @property
    def outcome_labels(self) -> tuple[str, ...]:
        """A word for each outcome."""
        return tuple(map(str, self.outcomes))

    def parse(self, name: str, text: str) -> Value:
        """All answers that are right, with 'and' or commas, or 'none'; raises BadAnswer."""
        if text.casefold() == NOTHING:
            return AllOfThese(())
        return self.together(name, self._read(name, text, _AND))

    def together(self, name: str, values: Sequence[Value]) -> Value:
        """One value of several that are right together."""
        return AllOfThese(self._ordered(word for value in values for word in _so(value)))

    def says(self, value: Value) -> str:
        """A value in words."""
        return self._said(_so(value), " and ") or NONE_OF_THESE

    def label_says(self, label: str) -> str:
        """An outcome's label in words."""
        return self._said(label.split(" and "), " and ") if label != NOTHING else NONE_OF_THESE

    def covers(self, codes: Sequence[int]) -> str:
        """What a place of a table stands for, in words."""
        return self._said([self.labels[code] for code in codes], " and ") or NONE_OF_THESE

    def codes(self, value: Value) -> Sequence[int]:
        """The answers, by number, that are right."""
        labels = self.labels
        return tuple(labels.index(word) for word in _so(value))

    def value(self, code: int) -> Value:
        """A value in which this answer alone is right."""
        return self.of((code,))

    def outcomes_of(self, value: Value) -> Sequence[int]:
        """The outcome, by number, that a value is."""
        return (self.outcomes.index(self.of(self.codes(value))),)

    def outcome_shares(self, usual: Sequence[float]) -> tuple[float, ...]:
        """The share of each outcome, its answers each by itself; they sum to one."""
        codes = range(len(usual))
        each = (self.codes(outcome) for outcome in self.outcomes)
        return tuple(prod(usual[c] if c in so else 1 - usual[c] for c in codes) for so in each)

    def tests(self, name: str, codes: Sequence[int]) -> tuple[Test, ...]:
        """Tests that hold for each of these answers by itself."""
        return tuple(OneOf(name, (self.labels[code],)) for code in codes)

    def of(self, codes: Sequence[int]) -> Value:
        """A value in which these answers are right, and no other."""
        return AllOfThese(tuple(self.labels[code] for code in codes))

    def allows(self, value: Value) -> bool:
        """Whether a value on record (still) has these answers."""
        match value:
            case str() | AllOfThese():
                return all(word in self.answers for word in _so(value))
            case Quantity() | OneOfThese():
                return False
            case _:
                assert_never(value)


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
    words: Mapping[str, Quantity] = field(default_factory=dict)

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

    @property
    def outcomes(self) -> tuple[Value, ...]:
        """What it can turn out to be, each apart from the others: its bins."""
        return tuple(map(self.value, range(len(self.labels))))

    @property
    def outcome_labels(self) -> tuple[str, ...]:
        """A word for each outcome."""
        return self.labels

    def parse(self, name: str, text: str) -> Value:
        """A number, with a unit and an uncertainty at will, or a word for one; raises BadAnswer.

        Several with 'or' are the range that holds them all.
        """
        parts = _OR.split(text)[::2]
        return self.together(name, [self._one(name, part.strip()) for part in parts])

    def together(self, name: str, values: Sequence[Value]) -> Value:
        """The range that holds all of several."""
        its = [_range(value) for value in values]
        return Quantity(min(v.low for v in its), max(v.high for v in its))

    def _one(self, name: str, text: str) -> Quantity:
        from diagnose.measures import units

        if text.casefold() in self.words:
            return self.words[text.casefold()]
        try:
            value = units.parse(text, self.measured_in)
        except ValueError as error:
            words = f" Or one of these words: {', '.join(self.words)}." if self.words else ""
            raise BadAnswer(f"{name}: {error}{words}") from None
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
        """Bins that lie side by side in words, such as '36 to 60 months'."""
        return self._bins(codes[0], codes[-1])

    def _bins(self, low: int, high: int) -> str:
        ends, unit = self.edges, self._beside()
        if low and high < len(ends):
            return f"{ends[low - 1]:g} to {ends[high]:g}{unit}"
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

    def outcomes_of(self, value: Value) -> Sequence[int]:
        """The outcomes, by number, that a value may be."""
        return self.codes(value)

    def outcome_shares(self, usual: Sequence[float]) -> tuple[float, ...]:
        """The share of each outcome, which is that of its bin; they sum to one."""
        return tuple(usual)

    def of(self, codes: Sequence[int]) -> Quantity:
        """The whole of bins that lie side by side."""
        return Quantity(self.value(codes[0]).low, self.value(codes[-1]).high)

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


Kind = ChoiceKind | SeveralKind | NumberKind


def _possible(value: Value) -> tuple[str, ...]:
    """The answers that a choice may be."""
    match value:
        case str():
            return (value,)
        case OneOfThese(words=words):
            return words
        case Quantity() | AllOfThese():
            raise NotOfThisKind(f"{value} is no choice")
        case _:
            assert_never(value)


def _so(value: Value) -> tuple[str, ...]:
    """The answers that are right together; one alone is so by itself."""
    match value:
        case str():
            return (value,)
        case AllOfThese(words=words):
            return words
        case Quantity() | OneOfThese():
            raise NotOfThisKind(f"{value} is no set of answers that are right together")
        case _:
            assert_never(value)


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
