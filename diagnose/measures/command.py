"""The body of `diagnose measure`: names and texts in, exit code and text out."""

import json
from collections.abc import Iterable

from diagnose.commands import DONE, MISUSE, PROBLEM, CommandResult
from diagnose.measures.evaluate import evaluate, problems
from diagnose.measures.model import Input, Measure
from diagnose.measures.quantity import Quantity
from diagnose.measures.registry import MEASURES
from diagnose.measures.render import as_json as result_as_json
from diagnose.measures.render import render_result
from diagnose.measures.units import SYSTEMS, BadReading, parse, plain, show, show_unit
from diagnose.near import near

__all__ = ["DONE", "MISUSE", "PROBLEM", "read_inputs", "run"]


def run(name: str | None, assignments: list[str], units: str, as_json: bool) -> CommandResult:
    """Run one measure on `input=value` texts, or list all where the name is None.

    Gives the exit code and the text: 0 with a result, 1 where the inputs are sound but nothing can
    be said from them, 2 with every problem of the inputs in a line each. `units` is `metric` or
    `us` and decides what is shown; a value is read in the measure's own unit unless it names one.
    """
    if units not in SYSTEMS:
        return MISUSE, f"units is '{plain(units)}': write metric or us."
    if name is None:
        return DONE, _list_json() if as_json else _list_text(units)
    if name not in MEASURES:
        return MISUSE, _unknown(name)
    return _run_one(MEASURES[name], assignments, units, as_json)


def _run_one(measure: Measure, assignments: list[str], units: str, as_json: bool) -> CommandResult:
    inputs, wrong = read_inputs(measure, assignments)
    wrong = (*wrong, *_other_problems(measure, inputs, wrong))
    if wrong:
        return MISUSE, "\n".join((*wrong, _usage(measure, units)))
    result = evaluate(measure, inputs)
    code = PROBLEM if result.value is None else DONE
    if as_json:
        data = result_as_json(measure, inputs, result, units)
        return code, json.dumps(data, ensure_ascii=False, indent=2)
    return code, render_result(measure, inputs, result, units)


def _other_problems(
    measure: Measure, inputs: dict[str, Quantity | str], unread: tuple[str, ...]
) -> tuple[str, ...]:
    """Problems of the values, but not 'missing' for an input whose text was refused already."""
    refused = {sentence.split(":", 1)[0] for sentence in unread}
    return tuple(
        sentence
        for sentence in problems(measure, inputs)
        if not any(sentence.startswith(f"{name} is missing") for name in refused)
    )


def read_inputs(
    measure: Measure, assignments: Iterable[str]
) -> tuple[dict[str, Quantity | str], tuple[str, ...]]:
    """Read inputs from `name=value` texts, and a sentence for each text that could not be read."""
    known = {wanted.name: wanted for wanted in measure.inputs}
    inputs: dict[str, Quantity | str] = {}
    wrong: list[str] = []
    for text in assignments:
        name, sign, value = (part.strip() for part in text.partition("="))
        if not sign:
            wrong.append(f"'{plain(text)}' is no input: write name=value.")
        elif name not in known:
            wrong.append(_strange(name, known))
        elif name in inputs:
            wrong.append(f"{name}: given twice; give it once.")
        else:
            try:
                inputs[name] = _read(known[name], value)
            except BadReading as refusal:
                wrong.append(f"{name}: {refusal}")
    return inputs, tuple(wrong)


def _read(wanted: Input, value: str) -> Quantity | str:
    if not wanted.words:
        return parse(value, wanted.unit)
    if value in wanted.words:
        return value
    raise BadReading(f"'{plain(value)}' is none of its words: {', '.join(wanted.words)}.")


def _strange(name: str, known: Iterable[str]) -> str:
    return (
        f"there is no input '{plain(name)}'{near(name, set(known))}; it takes {', '.join(known)}."
    )


def _unknown(name: str) -> str:
    return (
        f"there is no measure '{plain(name)}'{near(name, set(MEASURES))}; "
        "'diagnose measure' without a name lists them all."
    )


def _usage(measure: Measure, units: str) -> str:
    given = " ".join(
        f"{name}='{value}'" if " " in value else f"{name}={value}"
        for name, value in measure.example
    )
    rows = (_input_row(wanted, units) for wanted in measure.inputs)
    return "\n".join(
        ("", f"{measure.name} takes:", *rows, f"Example: diagnose measure {measure.id} {given}")
    )


def _input_row(wanted: Input, units: str) -> str:
    span = Quantity(wanted.low, wanted.high)
    takes = ", ".join(wanted.words) or show(span, wanted.unit, units)
    typed = "" if wanted.default is None else f"; assumed {_default(wanted, units)}"
    typed = "; may be left out" if wanted.optional else typed
    return f"  {wanted.name:<24}{wanted.says} ({takes}{typed})"


def _default(wanted: Input, units: str) -> str:
    if isinstance(wanted.default, Quantity):
        return show(wanted.default, wanted.unit, units)
    return str(wanted.default)


def _list_text(units: str) -> str:
    widest = max(map(len, MEASURES))
    rows = (
        f"{measure.id:<{widest}}  {_gives(measure, units):<11}  {measure.name}"
        for measure in MEASURES.values()
    )
    return "\n".join(rows)


def _gives(measure: Measure, units: str) -> str:
    return "word" if measure.words else show_unit(measure.unit, units) or "ratio"


def _list_json() -> str:
    rows = [
        {
            "id": measure.id,
            "name": measure.name,
            "unit": measure.unit,
            "words": list(measure.words),
            "inputs": [wanted.name for wanted in measure.inputs],
            "source": measure.source,
            "maturity": str(measure.maturity),
        }
        for measure in MEASURES.values()
    ]
    return json.dumps(rows, ensure_ascii=False, indent=2)
