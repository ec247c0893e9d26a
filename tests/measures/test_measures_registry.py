"""What holds for every measure: examples, declared shapes, ranges that contain the result."""

import ast
import inspect
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

import diagnose.measures
from diagnose.measures.evaluate import evaluate, problems, with_defaults
from diagnose.measures.model import CannotSay, Maturity, Measure, OutOfRange, Trend
from diagnose.measures.quantity import Quantity, exact
from diagnose.measures.registry import MEASURES
from diagnose.measures.units import SPELLINGS

from .boxes import anywhere, box_for, example_inputs, number_in, point_in

ALL = pytest.mark.parametrize("measure", MEASURES.values(), ids=MEASURES.keys())
SEEDED = settings(
    derandomize=True,
    max_examples=settings.default.max_examples // 3,
    deadline=None,
    # Many wild boxes are refused on purpose; that some are taken is checked by hypothesis itself.
    suppress_health_check=[HealthCheck.filter_too_much],
)
NAMES_THAT_RULES_USE = (
    "dew_point_margin_c", "recess_demand_percent", "gloss_ratio", "pitch_matches_roller",
    "demand_vs_limit", "tape_vs_limit", "stretch_vs_limit", "age_vs_stated", "true_temp_c",
)  # fmt: skip


def call(measure: Measure, point: object) -> float | str | None:
    """Give the function's value at a point, None where it refuses."""
    try:
        return measure.function(**point)  # type: ignore[arg-type]
    except (CannotSay, OutOfRange):
        return None


@ALL
def test_the_example_gives_what_it_promises(measure: Measure) -> None:
    """The example shown to the reader is true to three digits."""
    value = evaluate(measure, example_inputs(measure)).value

    if isinstance(value, str):
        assert measure.example_result == value
    else:
        assert value is not None
        expected = float(measure.example_result)
        assert value.low - abs(expected) * 1e-3 <= expected <= value.high + abs(expected) * 1e-3


@ALL
def test_every_measure_says_where_it_comes_from_and_what_its_result_means(
    measure: Measure,
) -> None:
    """Unit, error, source and a sentence for the example stand with each measure."""
    value = evaluate(measure, example_inputs(measure)).value

    assert value is not None
    assert measure.says(value).endswith(".")
    assert measure.unit in SPELLINGS
    assert all(wanted.unit in SPELLINGS for wanted in measure.inputs)
    assert measure.error_bound
    assert ("no source" in measure.source or "common practice" in measure.source) or (
        measure.maturity != Maturity.COMMON_PRACTICE
    )


@ALL
def test_every_word_of_a_result_has_its_sentence(measure: Measure) -> None:
    """A measure that answers in words can explain each of them."""
    assert all(measure.says(word).endswith(".") for word in measure.words)


@ALL
def test_inputs_are_the_parameters_of_the_function(measure: Measure) -> None:
    """What the registry asks for is what the function takes, after words became ranges."""
    filled = {
        wanted.name: wanted.words[0] if wanted.words else exact(wanted.low)
        for wanted in measure.inputs
    }
    names = set(measure.expand(filled) if measure.expand else filled)
    parameters = inspect.signature(measure.function).parameters.values()
    plain = {each.name for each in parameters if each.kind is not each.VAR_KEYWORD}

    assert plain <= names
    assert plain == names or any(each.kind is each.VAR_KEYWORD for each in parameters)


@ALL
def test_defaults_are_sound_values(measure: Measure) -> None:
    """A value that is assumed lies in its own range."""
    given_ones = {
        wanted.name: wanted.words[0] if wanted.words else exact(wanted.low)
        for wanted in measure.inputs
        if wanted.default is None
    }

    assert problems(measure, given_ones) == ()


CONTRADICT_THEMSELVES = {"stretch_class", "wetting", "gloss_ratio"}
"""Of two of their readings one may be too large for the other, at a point within wide ranges."""


@ALL
@SEEDED
@given(data=st.data())
def test_the_range_of_a_result_contains_every_result(measure: Measure, data: st.DataObject) -> None:
    """Whatever the true values in the readings' ranges are, the result says so."""
    box = data.draw(box_for(measure))
    result = evaluate(measure, box)
    assume(result.value is not None)

    found = call(measure, point_in(data, measure, box))
    if found is None:  # readings that contradict each other
        assert measure.id in CONTRADICT_THEMSELVES
        return

    if isinstance(result.value, Quantity):
        assert isinstance(found, float)
        slack = 1e-9 * max(1.0, abs(result.value.low), abs(result.value.high))
        assert result.value.low - slack <= found <= result.value.high + slack
    else:
        assert found == result.value


@ALL
@SEEDED
@given(data=st.data())
def test_a_refused_box_has_a_reason_and_a_narrower_one_never_says_less(
    measure: Measure, data: st.DataObject
) -> None:
    """A better reading never takes an answer away; where there is none there is a sentence."""
    box = data.draw(box_for(measure))
    result = evaluate(measure, box)
    narrower = {
        name: value
        if isinstance(value, str)
        else exact(data.draw(st.sampled_from((value.low, value.high))))
        for name, value in box.items()
    }

    inner = evaluate(measure, narrower)
    if result.value is None or inner.value is None:
        assert (result if result.value is None else inner).reason.endswith(".")
        assert result.value is None or measure.id in CONTRADICT_THEMSELVES
    elif isinstance(result.value, Quantity):
        assert isinstance(inner.value, Quantity)
        assert result.value.low <= inner.value.low
        assert inner.value.high <= result.value.high
    else:
        assert inner.value == result.value


SHAPED = [
    pytest.param(measure, wanted, id=f"{measure.id}-{wanted.name}")
    for measure in MEASURES.values()
    for wanted in measure.inputs
    if wanted.shape is not Trend.EITHER
]


@pytest.mark.parametrize(("measure", "wanted"), SHAPED)
@SEEDED
@given(data=st.data())
def test_a_result_moves_the_way_that_is_declared(
    measure: Measure, wanted: object, data: st.DataObject
) -> None:
    """More of an input that `rises` never gives less; more of one that `falls` never gives more."""
    mover = next(each for each in measure.inputs if each is wanted)
    box = data.draw(box_for(measure))
    if mover.name not in box:
        box[mover.name] = data.draw(anywhere(mover))
    point = point_in(data, measure, box)
    other = data.draw(number_in(mover.low, mover.high, mover.whole))
    ends = sorted((float(point[mover.name]), other))

    less, more = (call(measure, {**point, mover.name: end}) for end in ends)

    assume(less is not None and more is not None)
    low, high = (_rank(measure, value) for value in (less, more))
    slack = 1e-9 * max(1.0, abs(low), abs(high))
    if mover.shape is Trend.RISES:
        assert low <= high + slack
    else:
        assert high <= low + slack


def _rank(measure: Measure, value: float | str | None) -> float:
    return float(measure.words.index(value)) if isinstance(value, str) else float(value or 0)


WITH_NUMBERS = [each for each in MEASURES.values() if not all(one.words for one in each.inputs)]


@pytest.mark.parametrize("measure", WITH_NUMBERS, ids=lambda measure: measure.id)
@SEEDED
@given(data=st.data())
def test_a_value_out_of_range_is_refused_by_name_with_the_range(
    measure: Measure, data: st.DataObject
) -> None:
    """Out of range means no number, and the sentence names the input and its range."""
    numbers = [wanted for wanted in measure.inputs if not wanted.words]
    wrong = data.draw(st.sampled_from(numbers))
    beyond = data.draw(st.sampled_from((wrong.low - 1, wrong.high * 2 + 1)))
    box = {**data.draw(box_for(measure)), wrong.name: exact(beyond)}

    result = evaluate(measure, box)

    assert result.value is None
    assert f"{wrong.name} is {beyond:g}" in result.reason
    assert f"{wrong.low:g} to {wrong.high:g}" in result.reason


@ALL
def test_the_function_itself_refuses_what_is_out_of_range(measure: Measure) -> None:
    """Called directly, a measure raises OutOfRange instead of giving a number."""
    filled = with_defaults(measure, example_inputs(measure))
    ranges = measure.expand(filled) if measure.expand else filled
    point = {n: v if isinstance(v, str) else v.low for n, v in ranges.items()}

    for name in point:
        with pytest.raises(OutOfRange, match=name):
            measure.function(**{**point, name: "no such word" if isinstance(point[name], str)
                                else 1e9})  # fmt: skip


def test_names_that_the_rules_use_are_there() -> None:
    """The rule base may name these measures in conditions."""
    assert [name for name in NAMES_THAT_RULES_USE if name not in MEASURES] == []


def test_ids_are_unique_and_the_registry_cannot_be_changed() -> None:
    """One id, one measure."""
    package = Path(diagnose.measures.__file__).parent
    declared = sum(
        isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Measure"
        for path in package.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    )

    assert declared == len(MEASURES)
    with pytest.raises(TypeError):
        MEASURES["new"] = MEASURES["dew_point_c"]  # type: ignore[index]


def test_every_public_function_states_units_and_errors() -> None:
    """The docstring of each measure's function has a formula line and says how it refuses."""
    silent = [
        measure.id
        for measure in MEASURES.values()
        if "OutOfRange" not in (inspect.getdoc(measure.function) or "")
    ]

    assert silent == []
