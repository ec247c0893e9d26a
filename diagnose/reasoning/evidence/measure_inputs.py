"""What a measure of the rule base takes from a case.

An input of the function that has no value of its own is needed; one that has is taken where the
case knows better. A choice is taken where its answer is one of the input's words.
"""

from __future__ import annotations

from typing import assert_never

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import MeasureUse
from diagnose.knowledge.model.conditions import Value, Values
from diagnose.knowledge.model.values import AllOfThese, OneOfThese
from diagnose.measures.model import Input
from diagnose.measures.quantity import Quantity, exact
from diagnose.measures.registry import MEASURES


def sources(base: Base, use: MeasureUse) -> dict[str, str]:
    """By input the check or measure that it is taken from."""
    named = ((name, v) for name, v in use.inputs.items() if isinstance(v, str))
    return {name: v for name, v in named if v in base.observables}


def needed(base: Base, use: MeasureUse) -> tuple[str, ...]:
    """The checks and measures without which it cannot be taken."""
    wanted = _wanted(use)
    found = sources(base, use).items()
    return tuple(
        source
        for name, source in found
        if source in base.measures or name in use.needed or not _spared(wanted[name])
    )


def fits(base: Base, use: MeasureUse, source: str, value: Value) -> bool:
    """Whether what was answered can be taken: any number, or a word that the input knows."""
    return _fitting(base, use, source, value) is not None


def _fitting(
    base: Base, use: MeasureUse, source: str, value: Value | None
) -> str | Quantity | None:
    """What was answered as the function takes it; answers of which one is right are not taken."""
    wanted = _wanted(use)
    its = [wanted[name] for name, s in sources(base, use).items() if s == source]
    match value:
        case Quantity():
            return value
        case str():
            return value if all(value in i.words for i in its) else None
        case OneOfThese() | AllOfThese() | None:
            return None
        case _:
            assert_never(value)


def inputs(base: Base, use: MeasureUse, values: Values) -> dict[str, str | Quantity]:
    """The known inputs of a measure's function: answers, measures, what the rules state."""
    taken = sources(base, use)
    given: dict[str, str | Quantity] = {}
    for name, stated in use.inputs.items():
        if isinstance(stated, int | float):
            given[name] = exact(stated)
        elif name not in taken:
            given[name] = stated
        elif (value := _fitting(base, use, stated, values.get(stated))) is not None:
            given[name] = value
    return given


def _spared(wanted: Input) -> bool:
    """Whether a function can do without an input."""
    return wanted.optional or wanted.default is not None


def _wanted(use: MeasureUse) -> dict[str, Input]:
    return {i.name: i for i in MEASURES[use.function].inputs}
