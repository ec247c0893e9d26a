"""What was reckoned in a case, from what, and which reading keeps a number from being settled."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite
from typing import assert_never

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Entry, MeasureUse
from diagnose.knowledge.model.conditions import Span, Value
from diagnose.knowledge.model.kinds import NumberKind
from diagnose.knowledge.model.values import AllOfThese, OneOfThese
from diagnose.knowledge.soundness.walk import NAMED, conditions_of, parts
from diagnose.measures.evaluate import blame, settling
from diagnose.measures.model import Bands, Given
from diagnose.measures.quantity import Quantity
from diagnose.measures.registry import MEASURES
from diagnose.reasoning.evidence.chain import Trace
from diagnose.reasoning.evidence.measure_inputs import inputs, sources
from diagnose.reasoning.explanation.explain import name_of, said_of, value_words
from diagnose.reasoning.explanation.said import Said


@dataclass(frozen=True, slots=True)
class Measured:
    """A number or a word that was reckoned from answers.

    `inputs`: what it was reckoned from; `means` what the result says of the
    film, '' where it says two things at once; `untold` is why there is none, else ''; `unsettled`
    says which limit of the rules lies within its range and what to read more closely, else ''.
    """

    name: str
    words: str
    inputs: tuple[Said, ...]
    source: tuple[str, ...]
    untold: str = ""
    unsettled: str = ""
    means: str = ""

    @property
    def says(self) -> str:
        """The result and its meaning, or why there is none; what keeps it from being evidence."""
        words = self.words or f"cannot be told: {self.untold}"
        return "; ".join(filter(None, (words, self.unsettled or self.means.rstrip("."))))


def measured(base: Base, trace: Trace) -> tuple[Measured, ...]:
    """What was reckoned in a case, and what could not be told although its inputs were there."""
    its = (use for use in base.measures.values())
    return tuple(_measured(base, trace, use) for use in its if _spoken_of(trace, use))


def _spoken_of(trace: Trace, use: MeasureUse) -> bool:
    return use.id in trace.values or use.id in trace.silent_measures


def _measured(base: Base, trace: Trace, use: MeasureUse) -> Measured:
    taken = tuple(
        said_of(base, s, trace.values[s])
        for s in dict.fromkeys(sources(base, use).values())
        if s in trace.values
    )
    if use.id not in trace.values:
        untold = _named(base, use, trace.silent_measures[use.id])
        return Measured(use.name, "", taken, use.source, untold)
    value = trace.values[use.id]
    unsettled, means = _unsettled(base, trace, use), _means(use, value)
    return Measured(use.name, _result(base, use, value), taken, use.source, "", unsettled, means)


def _result(base: Base, use: MeasureUse, value: Value) -> str:
    """The result in words; one thing held against another, as its name has it, is so many times."""
    words = value_words(base, use.id, value)
    kind = base.measures[use.id].kind
    ratio = isinstance(kind, NumberKind) and kind.measured_in == "ratio"
    return f"{words} times" if ratio and " against " in use.name else words


def _named(base: Base, use: MeasureUse, reason: str) -> str:
    """The reason with the names of checks in place of those of inputs."""
    for name, source in sources(base, use).items():
        reason = re.sub(rf"\b{name}\b", f"'{name_of(base, source)}'", reason)
    return reason.rstrip(".")


def _means(use: MeasureUse, value: Value) -> str:
    """What a result says of the film; '' for a range that says one thing or another."""
    says = MEASURES[use.function].says
    match value:
        case str():
            return says(value)
        case Quantity():
            open_ = isinstance(says, Bands) and says.edge_in(value) is not None
            return "" if open_ else says(value)
        case OneOfThese() | AllOfThese():
            return ""
        case _:
            assert_never(value)


def _unsettled(base: Base, trace: Trace, use: MeasureUse) -> str:
    """A limit that lies within the range, and the reading that widens the range most."""
    value = trace.values[use.id]
    if not isinstance(value, Quantity) or value.is_exact:
        return ""
    within = [limit for limit in limits(base, use.id) if value.low < limit < value.high]
    if not within:
        return ""
    unit = f" {use.kind.unit}".rstrip()
    places = " and ".join(f"{limit:g}{unit}" for limit in within)
    advice = _closer(base, use, inputs(base, use, trace.values), within[0])
    return f"lies on both sides of {places} and tells less than it could{advice}"


def _closer(base: Base, use: MeasureUse, given: Given, limit: float) -> str:
    """What to read more closely, or to find out where it was only assumed."""
    measure = MEASURES[use.function]
    closer, taken = blame(measure, given, limit), sources(base, use)
    if closer in taken:
        name = name_of(base, taken[closer])
        return f": read '{name}' more closely" if closer in given else f": find out '{name}'"
    advice = settling(measure, given, limit)
    return f": {advice}" if advice else ""


def limits(base: Base, subject: str) -> tuple[float, ...]:
    """The numbers at which the rules divide a measure: ends of its bins and of conditions."""
    found = set(base.observables[subject].edges)
    for section in NAMED:
        for entry in getattr(base, section).values():
            found.update(_ends(entry, subject))
    return tuple(sorted(found))


def _ends(entry: Entry, subject: str) -> Iterator[float]:
    for _, part in parts(entry):
        for _, condition in conditions_of(part):
            for test in condition.tests:
                if isinstance(test, Span) and test.subject == subject:
                    yield from (end for end in (test.low, test.high) if isfinite(end))
