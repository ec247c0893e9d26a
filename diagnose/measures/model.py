"""What a measure is: its inputs with ranges and shapes, its result, and what the result says.

The shape of an input is what the result does when that input alone grows:
`rises`, `falls`, or `either` (one direction for any fixed values of the others, which one depends
on them). Where every input has one of these, the extremes over a box of ranges lie at its corners,
so that evaluating the corners bounds the result (Moore, Interval Analysis, 1966). The few measures
without such a shape bring their own `over`.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from diagnose.measures.quantity import Quantity

__all__ = [
    "Bands",
    "CannotSay",
    "Given",
    "Input",
    "Maturity",
    "Measure",
    "MeasureResult",
    "OutOfRange",
    "ResultWords",
    "Trend",
    "refuse_outside",
]

Given = Mapping[str, Quantity | str]


class OutOfRange(ValueError):
    """An input outside the range in which a measure holds; says which, the range, what to do."""


class CannotSay(ValueError):
    """Inputs in range from which no honest number follows; says why and what to do instead."""


class Trend(StrEnum):
    """What the result does when one input grows and the others stay."""

    RISES = "rises"
    FALLS = "falls"
    EITHER = "either"


class Maturity(StrEnum):
    """How far a measure is vouched for."""

    CHECKED = "checked"
    SOURCED = "sourced"
    COMMON_PRACTICE = "common-practice"


@dataclass(frozen=True, slots=True)
class Input:
    """One input: a number with unit and range, or one of `words`.

    `checks` names the checks whose answers can stand for it, the best first. `whole` asks for
    counts. `natural` marks ends that nature sets (100 % humidity): a tolerance that sticks out
    over such an end is cut off there instead of being refused. `optional` inputs may be left out:
    they are what a sheet states, in place of what the measure takes for the kind named.
    """

    name: str
    unit: str
    low: float
    high: float
    says: str
    default: Quantity | str | None = None
    shape: Trend = Trend.EITHER
    words: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    whole: bool = False
    natural: bool = False
    optional: bool = False

    def rises(self) -> "Input":
        """Give the same input for a measure that grows with it."""
        return replace(self, shape=Trend.RISES)

    def falls(self) -> "Input":
        """Give the same input for a measure that shrinks as it grows."""
        return replace(self, shape=Trend.FALLS)

    def defaulting(self, value: Quantity | str) -> "Input":
        """Give the same input with a value that holds where none is given."""
        return replace(self, default=value)

    def problem(self, value: object) -> str | None:
        """One sentence on what is wrong with a value, or None."""
        if self.words:
            return self._word_problem(value)
        if isinstance(value, str) or not isinstance(value, int | float):
            return f"{self.name} takes a number in {self.unit or 'no unit'}, not a word."
        if not self.low <= value <= self.high:
            return self._range_problem(value)
        if self.whole and value != int(value):
            return f"{self.name} is a count: give a whole number, not {value:g}."
        return None

    def _word_problem(self, value: object) -> str | None:
        if isinstance(value, str) and value in self.words:
            return None
        return f"{self.name} takes one of these words: {', '.join(self.words)}."

    def _range_problem(self, value: float) -> str:
        unit = f" {self.unit}" if self.unit else ""
        return (
            f"{self.name} is {value:g}{unit}, outside {self.low:g} to {self.high:g}{unit}: "
            "check the reading and its unit; beyond this range the measure does not hold."
        )


def refuse_outside(*pairs: tuple[Input, float | str]) -> None:
    """Raise OutOfRange with a sentence for every value that its input does not take."""
    wrong = [sentence for given, value in pairs if (sentence := given.problem(value))]
    if wrong:
        raise OutOfRange(" ".join(wrong))


@dataclass(frozen=True, slots=True)
class MeasureResult:
    """A range, a word, or None with the reason why nothing can be said."""

    value: Quantity | str | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Bands:
    """What a number means: the sentence of the first band whose upper edge lies above it.

    `steps` are (edge, sentence) from low to high; `last` holds from the highest edge on.
    """

    steps: tuple[tuple[float, str], ...]
    last: str

    def __call__(self, value: Quantity | str) -> str:
        """Give the sentence of a value, or of both ends where a range spans bands."""
        if isinstance(value, str):
            raise TypeError("bands speak about numbers")
        low, high = self._of(value.low), self._of(value.high)
        if low == high:
            return low
        return f"Not settled by these readings. At the low end: {low} At the high end: {high}"

    def edge_in(self, value: Quantity) -> float | None:
        """The first edge that a range lies on both sides of, or None."""
        return next((edge for edge, _ in self.steps if value.low < edge <= value.high), None)

    def _of(self, value: float) -> str:
        return next((sentence for edge, sentence in self.steps if value < edge), self.last)


@dataclass(frozen=True, slots=True)
class ResultWords:
    """What each word of a result means, in the order from least to most."""

    meanings: tuple[tuple[str, str], ...]

    def __call__(self, value: Quantity | str) -> str:
        """Give the sentence of a word."""
        return dict(self.meanings)[str(value)]

    @property
    def order(self) -> tuple[str, ...]:
        """The words from least to most."""
        return tuple(word for word, _ in self.meanings)


@dataclass(frozen=True, slots=True)
class Measure:
    """A named calculation with everything that a reader needs to trust or doubt it.

    `function` takes its inputs by name as plain floats and words and gives a float or a word.
    `words` are the possible words from least to most, empty where the result is a number in `unit`.
    `expand` turns words that stand for a spread of a property into ranges before the corners are
    taken. `over` bounds the result over ranges where the corners would not. `caution` is shown with
    every result where taking the readings can hurt someone. `example` are inputs as a person types
    them, `example_result` is what they give.
    """

    id: str
    name: str
    function: Callable[..., float | str]
    inputs: tuple[Input, ...]
    unit: str
    says: Callable[[Quantity | str], str]
    error_bound: str
    source: str
    maturity: Maturity
    example: tuple[tuple[str, str], ...]
    example_result: float | str
    words: tuple[str, ...] = ()
    expand: Callable[[Given], Given] | None = None
    over: Callable[[Given], Quantity | str | None] | None = None
    caution: str = ""

    @property
    def kind(self) -> str:
        """`word` or `number`."""
        return "word" if self.words else "number"
