"""What was reckoned in a case, from what, and which reading keeps a number from being settled."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

from diagnose.knowledge.base import Base
from diagnose.knowledge.conditions import Span
from diagnose.knowledge.model import Entry, MeasureUse
from diagnose.knowledge.verify import NAMED, conditions_of, parts
from diagnose.measures.evaluate import blame
from diagnose.measures.quantity import Quantity
from diagnose.measures.registry import MEASURES
from diagnose.reasoning.chain import Trace, inputs
from diagnose.reasoning.explain import name_of, value_words


@dataclass(frozen=True, slots=True)
class Measured:
    """A number or a word that was reckoned from answers.

    `inputs`: what it was reckoned from, as (name, words); `untold` is why there is none, else '';
    `unsettled` says which limit of the rules lies within its range and what to read more closely,
    else ''.
    """

    name: str
    words: str
    inputs: tuple[tuple[str, str], ...]
    source: tuple[str, ...]
    untold: str = ""
    unsettled: str = ""

    @property
    def says(self) -> str:
        """The result, or why there is none; with what keeps it from being evidence."""
        words = self.words or f"cannot be told: {self.untold.rstrip('.')}"
        return f"{words}; {self.unsettled}" if self.unsettled else words


def measured(base: Base, trace: Trace) -> tuple[Measured, ...]:
    """What was reckoned in a case, and what could not be told although its inputs were there."""
    found = []
    for use in base.measures.values():
        taken = tuple(
            (name_of(base, s), value_words(base, s, trace.values[s]))
            for s in use.inputs.values()
            if isinstance(s, str) and s in trace.values
        )
        if use.id in trace.values:
            words = value_words(base, use.id, trace.values[use.id])
            found.append(
                Measured(use.name, words, taken, use.source, unsettled=_unsettled(base, trace, use))
            )
        elif use.id in trace.silent_measures:
            untold = trace.silent_measures[use.id]
            found.append(Measured(use.name, "", taken, use.source, untold))
    return tuple(found)


def _unsettled(base: Base, trace: Trace, use: MeasureUse) -> str:
    """A limit that lies within the range, and the reading that widens the range most."""
    value = trace.values[use.id]
    if not isinstance(value, Quantity) or value.is_exact:
        return ""
    within = [limit for limit in limits(base, use.id) if value.low < limit < value.high]
    if not within:
        return ""
    unit = f" {use.unit}" if use.unit and use.unit != "ratio" else ""
    places = " and ".join(f"{limit:g}{unit}" for limit in within)
    closer = blame(MEASURES[use.function], inputs(base, use, trace.values), within[0])
    source = use.inputs.get(closer or "")
    advice = f": read '{name_of(base, source)}' more closely" if isinstance(source, str) else ""
    return f"lies on both sides of {places} and is no evidence there{advice}"


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
