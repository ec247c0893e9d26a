"""A measure over ranges: what the result can be, and which reading keeps it from being settled."""

from collections.abc import Iterator
from itertools import product

from diagnose.measures.model import (
    CannotSay,
    Given,
    Input,
    Measure,
    MeasureResult,
    OutOfRange,
    Trend,
)
from diagnose.measures.quantity import Quantity, exact

__all__ = ["blame", "evaluate", "gathered", "missing", "problems", "settling", "with_defaults"]


def gathered(measure: Measure, answers: Given) -> dict[str, Quantity | str]:
    """Collect the inputs that answers to checks give, each from the first of its checks known."""
    found = (
        (wanted.name, next((answers[check] for check in wanted.checks if check in answers), None))
        for wanted in measure.inputs
    )
    return {name: value for name, value in found if value is not None}


def missing(measure: Measure, given: Given) -> tuple[Input, ...]:
    """List the inputs without which the measure cannot be taken."""
    return tuple(
        wanted
        for wanted in measure.inputs
        if wanted.default is None and not wanted.optional and wanted.name not in given
    )


def problems(measure: Measure, given: Given) -> tuple[str, ...]:
    """Every reason why the inputs cannot be taken, a sentence each; empty where they can."""
    known = {wanted.name for wanted in measure.inputs}
    strange = [
        f"{measure.id} has no input {name!r}: it takes {', '.join(sorted(known))}."
        for name in given
        if name not in known
    ]
    return (*strange, *(s for wanted in measure.inputs for s in _input_problems(wanted, given)))


def _input_problems(wanted: Input, given: Given) -> Iterator[str]:
    value = given.get(wanted.name, wanted.default)
    if value is None:
        if not wanted.optional:
            yield f"{wanted.name} is missing: {wanted.says}."
        return
    value = _cut(wanted, value)
    ends = (value.low, value.high) if isinstance(value, Quantity) else (value,)
    if sentence := next(filter(None, map(wanted.problem, ends)), None):
        yield sentence


def _cut(wanted: Input, value: Quantity | str) -> Quantity | str:
    """Cut a tolerance off at an end that nature sets; leave a value wholly beyond it."""
    if not wanted.natural or isinstance(value, str):
        return value
    if value.high < wanted.low or value.low > wanted.high:
        return value
    return Quantity(max(value.low, wanted.low), min(value.high, wanted.high))


def with_defaults(measure: Measure, given: Given) -> dict[str, Quantity | str]:
    """Give the inputs as they enter the calculation: given ones, cut at natural ends, and defaults.

    Inputs that are neither given nor have a default are left out.
    """
    found = ((wanted, given.get(wanted.name, wanted.default)) for wanted in measure.inputs)
    return {wanted.name: _cut(wanted, value) for wanted, value in found if value is not None}


def evaluate(measure: Measure, given: Given) -> MeasureResult:
    """Say what the measure gives for these inputs, each a word or a range.

    The range of a number holds the result of every combination of values in the inputs' ranges.
    A word is given only if every combination gives it. Otherwise, and where an input is missing or
    out of range or nothing honest follows, the value is None and the reason is a sentence.
    """
    filled = _sound(measure, given)
    if filled is None:
        return MeasureResult(None, " ".join(problems(measure, given)))
    try:
        found = _possible(measure, filled)
    except (CannotSay, OutOfRange) as refusal:
        return MeasureResult(None, str(refusal))
    if isinstance(found, Quantity):
        return MeasureResult(found)
    if len(found) == 1:
        return MeasureResult(found[0])
    return MeasureResult(None, _unsettled(measure, given, found))


def _sound(measure: Measure, given: Given) -> dict[str, Quantity | str] | None:
    """The inputs as `with_defaults`, or None where there is any problem.

    A backlog of claims asks this many thousand times, so no sentence is made here.
    """
    filled: dict[str, Quantity | str] = {}
    known = 0
    for wanted in measure.inputs:
        known += wanted.name in given
        value = given.get(wanted.name, wanted.default)
        if value is not None:
            value = filled[wanted.name] = _cut(wanted, value)
            low, high = (value, value) if isinstance(value, str) else (value.low, value.high)
            if wanted.problem(low) or (high != low and wanted.problem(high)):
                return None
        elif not wanted.optional:
            return None
    return filled if known == len(given) else None


def _unsettled(measure: Measure, given: Given, found: tuple[str, ...]) -> str:
    advice = settling(measure, given)
    more = f"; {advice}" if advice else ""
    return f"the readings allow anything from {found[0]} to {found[-1]}{more}."


def settling(measure: Measure, given: Given, limit: float | None = None) -> str:
    """Say what would settle a result on both sides of a limit, as half a sentence, or ''.

    The reading to take more closely; where what was assumed keeps it open, to give that, and where
    no value has a tolerance, what a sheet states in place of what the kind named usually has.
    """
    closer = blame(measure, given, limit)
    if closer in given:
        return f"read {closer} more closely"
    stated = (i.name for i in measure.inputs if i.optional and i.name not in given)
    wanted = closer or next(stated, None)
    if wanted is None or not _straddles(measure, with_defaults(measure, given), limit):
        return ""
    return f"give {wanted}: {next(i.says for i in measure.inputs if i.name == wanted)}"


def _possible(measure: Measure, filled: Given) -> Quantity | tuple[str, ...]:
    """Give the range of a number, or the words that occur, from least to most."""
    if measure.expand:
        filled = measure.expand(filled)
    if measure.over:
        own = measure.over(filled)
        if own is None:
            return measure.words
        return own if isinstance(own, Quantity) else (own,)
    values = [measure.function(**corner) for corner in _corners(measure, filled)]
    if measure.words:
        return tuple(word for word in measure.words if word in values)
    numbers = [value for value in values if not isinstance(value, str)]
    return Quantity(min(numbers), max(numbers))


def _corners(measure: Measure, filled: Given) -> Iterator[dict[str, float | str]]:
    """The corners of the box at which the result can be least or most, by the inputs' shapes."""
    shapes = {wanted.name: wanted.shape for wanted in measure.inputs}
    least: dict[str, float | str] = {}
    most: dict[str, float | str] = {}
    either: dict[str, tuple[float, float]] = {}
    for name, value in filled.items():
        if isinstance(value, str):
            least[name] = most[name] = value
        elif shapes[name] is Trend.RISES:
            least[name], most[name] = value.low, value.high
        elif shapes[name] is Trend.FALLS or value.is_exact:
            least[name], most[name] = value.high, value.low
        else:
            least[name] = most[name] = value.low
            either[name] = (value.low, value.high)
    for corner in (least,) if least == most else (least, most):
        for ends in product(*either.values()):
            yield corner | dict(zip(either, ends, strict=True)) if either else corner


def blame(measure: Measure, given: Given, limit: float | None = None) -> str | None:
    """Name the input to read more closely where the result lies on both sides of a limit.

    It is the one without whose tolerance least of the spread remains; among equals the one that
    spreads the result most by itself. None where the result is settled, where nothing can be
    calculated, or where no given input has a tolerance. A measure with words needs no limit.
    """
    filled = with_defaults(measure, given)
    if problems(measure, given) or not _straddles(measure, filled, limit):
        return None
    open_inputs = [
        name for name, value in filled.items() if isinstance(value, Quantity) and not value.is_exact
    ]
    ranked = [
        (
            _spread(measure, {**filled, name: _middle(measure, filled, name)}),
            -_spread(
                measure,
                {n: v if n == name else _middle(measure, filled, n) for n, v in filled.items()},
            ),
            place,
        )
        for place, name in enumerate(open_inputs)
    ]
    return open_inputs[min(ranked)[2]] if ranked else None


def _straddles(measure: Measure, filled: Given, limit: float | None) -> bool:
    try:
        found = _possible(measure, filled)
    except (CannotSay, OutOfRange):
        return False
    if not isinstance(found, Quantity):
        return len(found) > 1
    return limit is not None and not found.is_exact and found.low <= limit <= found.high


def _middle(measure: Measure, filled: Given, name: str) -> Quantity | str:
    value = filled[name]
    if isinstance(value, str):
        return value
    whole = any(wanted.name == name and wanted.whole for wanted in measure.inputs)
    return exact(float(int(value.middle)) if whole else value.middle)


def _spread(measure: Measure, filled: Given) -> float:
    try:
        found = _possible(measure, filled)
    except (CannotSay, OutOfRange):
        return float("inf")
    if isinstance(found, Quantity):
        return found.width
    return float(measure.words.index(found[-1]) - measure.words.index(found[0]))
