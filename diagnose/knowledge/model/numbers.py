"""The kind of value that is a number with a unit, whole or as a range over bins."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import inf, nextafter
from typing import assert_never

from diagnose.knowledge.model.conditions import NoneOf, OneOf, Span, Test, Value
from diagnose.knowledge.model.values import OR, BadAnswer, NotOfThisKind
from diagnose.measures.quantity import Quantity

FARTHEST = 1e12
"""Stands for an open end of a bin."""

_ONE = {" days": " day", " months": " month", " degrees": " degree"}


_MONTH_DAYS = 30.436875
"""Days of a mean month of the calendar, as `measures/units` takes it."""

_WEEKS_MOST = 8
"""Up to so many weeks people count in weeks."""


def _shorter(months: float) -> str | None:
    """A part of months as whole weeks or days, as it was said: '3 weeks'; None for another."""
    days = months * _MONTH_DAYS
    whole = round(days)
    if months == round(months) or not 0 < whole <= 7 * _WEEKS_MOST or abs(days - whole) > 0.05:
        return None
    count, unit = (whole // 7, "week") if whole % 7 == 0 else (whole, "day")
    return f"{count} {unit}{'' if count == 1 else 's'}"


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
        parts = OR.split(text)[::2]
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
            shorter = _shorter(its.low) if self.measured_in == "months" else None
            if shorter:
                return shorter
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
