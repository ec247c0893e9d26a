"""Random but sound inputs for any measure of the registry."""

import math

from hypothesis import strategies as st

from diagnose.measures.evaluate import with_defaults
from diagnose.measures.model import Given, Input, Measure
from diagnose.measures.quantity import Quantity
from diagnose.measures.units import parse


def example_inputs(measure: Measure) -> dict[str, Quantity | str]:
    """Read the measure's example as the command reads it."""
    wanted = {each.name: each for each in measure.inputs}
    return {
        name: text if wanted[name].words else parse(text, wanted[name].unit)
        for name, text in measure.example
    }


def number_in(low: float, high: float, whole: bool = False) -> st.SearchStrategy[float]:
    """Numbers from low to high, counts where whole is asked for."""
    if whole:
        return st.integers(math.ceil(low), math.floor(high)).map(float)
    return st.floats(low, high)


def _ranges(low: float, high: float, whole: bool) -> st.SearchStrategy[Quantity]:
    ends = number_in(low, high, whole)
    exact = ends.map(lambda value: Quantity(value, value))
    return st.one_of(exact, st.tuples(ends, ends).map(lambda pair: Quantity(min(pair), max(pair))))


def anywhere(wanted: Input) -> st.SearchStrategy[Quantity | str]:
    """Draw a word, an exact value or a range from all that the input takes."""
    if wanted.words:
        return st.sampled_from(wanted.words)
    return _ranges(wanted.low, wanted.high, wanted.whole)


def _near(wanted: Input, value: Quantity | str) -> st.SearchStrategy[Quantity | str]:
    if isinstance(value, str):
        return st.one_of(st.just(value), st.sampled_from(wanted.words))
    reach = 1.0 if wanted.whole else 0.2 * abs(value.middle) + 1e-3 * (wanted.high - wanted.low)
    low, high = max(wanted.low, value.low - reach), min(wanted.high, value.high + reach)
    return _ranges(low, high, wanted.whole)


def box_for(measure: Measure) -> st.SearchStrategy[dict[str, Quantity | str]]:
    """Draw a value for every input of the measure: as in a shop, or anywhere in its range."""
    usual = with_defaults(measure, example_inputs(measure))
    shop = {
        wanted.name: _near(wanted, usual[wanted.name])
        for wanted in measure.inputs
        if wanted.name in usual
    }
    wild = {wanted.name: anywhere(wanted) for wanted in measure.inputs}
    return st.one_of(st.fixed_dictionaries(shop), st.fixed_dictionaries(wild))


def point_in(data: st.DataObject, measure: Measure, box: Given) -> dict[str, float | str]:
    """Draw one point of the box, by the names of the measure's function."""
    filled: Given = with_defaults(measure, box)
    if measure.expand:
        filled = measure.expand(filled)
    counts = {wanted.name for wanted in measure.inputs if wanted.whole}
    return {
        name: value
        if isinstance(value, str)
        else data.draw(number_in(value.low, value.high, name in counts))
        for name, value in filled.items()
    }
