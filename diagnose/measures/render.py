"""A measure's result for a reader: as text and as JSON."""

from diagnose.measures.evaluate import settling, with_defaults
from diagnose.measures.model import Bands, Given, Measure, MeasureResult
from diagnose.measures.quantity import Quantity
from diagnose.measures.units import convert, show, show_unit

__all__ = ["as_json", "render_result"]


def _value(value: Quantity | str, unit: str, system: str) -> str:
    return value if isinstance(value, str) else show(value, unit, system)


def render_result(measure: Measure, inputs: Given, result: MeasureResult, system: str) -> str:
    """Write the result in lines of plain text, in `metric` or `us` units.

    First the result, then what it means for the film, what went in, and how far to trust it.
    """
    return "\n".join(
        (
            *_headline(measure, inputs, result, system),
            *_inputs(measure, inputs, system),
            *_trust(measure),
        )
    )


def _headline(
    measure: Measure, inputs: Given, result: MeasureResult, system: str
) -> tuple[str, ...]:
    if result.value is None:
        return (f"{measure.name}: cannot say", f"  {_sentence(result.reason)}")
    shown = _value(result.value, measure.unit, system)
    settle = to_settle(measure, inputs, result)
    says = (measure.says(result.value), *((settle,) if settle else ()))
    return (f"{measure.name}: {shown}", *(f"  {line}" for line in says))


def to_settle(measure: Measure, inputs: Given, result: MeasureResult) -> str:
    """A sentence on what to measure better where a number means one thing or another, or ''."""
    if not isinstance(result.value, Quantity) or not isinstance(measure.says, Bands):
        return ""
    edge = measure.says.edge_in(result.value)
    advice = "" if edge is None else settling(measure, inputs, edge)
    return f"To settle it, {advice}." if advice else ""


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _inputs(measure: Measure, inputs: Given, system: str) -> tuple[str, ...]:
    units = {wanted.name: wanted.unit for wanted in measure.inputs}
    return tuple(
        f"  {name} = {_value(value, units[name], system)}"
        + ("" if name in inputs else " (assumed)")
        for name, value in with_defaults(measure, inputs).items()
    )


def _trust(measure: Measure) -> tuple[str, ...]:
    return (
        f"  error: {measure.error_bound}",
        f"  source: {measure.source} ({measure.maturity})",
        *((f"  caution: {measure.caution}",) if measure.caution else ()),
    )


def as_json(
    measure: Measure, inputs: Given, result: MeasureResult, system: str
) -> dict[str, object]:
    """Give the result as data, numbers unrounded in the units of `metric` or `us`."""
    units = {wanted.name: wanted.unit for wanted in measure.inputs}
    value = result.value
    return {
        "measure": measure.id,
        "inputs": {
            name: _data(given, units[name], system) | {"assumed": name not in inputs}
            for name, given in with_defaults(measure, inputs).items()
        },
        "result": None if value is None else _data(value, measure.unit, system),
        "reason": result.reason,
        "says": "" if value is None else measure.says(value),
        "to_settle": to_settle(measure, inputs, result),
        "error_bound": measure.error_bound,
        "source": measure.source,
        "maturity": str(measure.maturity),
        "caution": measure.caution,
    }


def _data(value: Quantity | str, unit: str, system: str) -> dict[str, object]:
    if isinstance(value, str):
        return {"word": value}
    shown = convert(value, unit, system)
    return {"low": shown.low, "high": shown.high, "unit": show_unit(unit, system)}
