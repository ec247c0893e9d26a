"""Uncertain readings: when a result is settled, and which reading to take again."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.measures.evaluate import blame, evaluate, gathered, missing, problems, settling
from diagnose.measures.model import Given, Measure
from diagnose.measures.quantity import Quantity, between, exact, within
from diagnose.measures.registry import MEASURES
from tests.measures.boxes import box_for, point_in

MARGIN = MEASURES["dew_point_margin_c"]
WINDOW = MEASURES["film_window"]
RECESS = MEASURES["recess_demand_percent"]


def test_readings_without_tolerance_give_one_number() -> None:
    """24 °C, 60 % and a panel of 18 °C: 2.24 K over the dew point."""
    readings: Given = {
        "air_temp_c": exact(24), "humidity_percent": exact(60), "panel_temp_c": exact(18)
    }  # fmt: skip

    value = evaluate(MARGIN, readings).value

    assert isinstance(value, Quantity)
    assert value.is_exact
    assert value.low == pytest.approx(2.24, abs=0.005)


@pytest.mark.parametrize("measure", MEASURES.values(), ids=MEASURES)
@settings(max_examples=settings.default.max_examples // 3)
@given(data=st.data())
def test_exact_readings_give_what_a_hairs_breadth_about_them_closes_in_on(
    measure: Measure, data: st.DataObject
) -> None:
    """One value of each input lies inside what the same values with a tolerance allow."""
    point = point_in(data, measure, data.draw(box_for(measure)))
    counts = {wanted.name for wanted in measure.inputs if wanted.whole}
    at: Given = {n: v if isinstance(v, str) else exact(v) for n, v in point.items()}
    wider: Given = {
        n: v if isinstance(v, str) else within(v, 0 if n in counts else 1e-9 * abs(v))
        for n, v in point.items()
    }

    found, allowed = evaluate(measure, at).value, evaluate(measure, wider).value

    if isinstance(found, Quantity) and isinstance(allowed, Quantity):
        slack = 1e-9 * abs(found.low)
        assert allowed.low - slack <= found.low <= found.high <= allowed.high + slack
    elif isinstance(allowed, str):
        assert found == allowed


def test_usual_reading_errors_spread_the_margin_by_about_one_kelvin() -> None:
    """±0.5 °C and ±3 % make the margin good to about ±1.8 K at worst, not to a tenth."""
    readings: Given = {
        "air_temp_c": within(24, 0.5),
        "humidity_percent": within(60, 3),
        "panel_temp_c": within(18, 0.5),
    }

    value = evaluate(MARGIN, readings).value

    assert isinstance(value, Quantity)
    assert value.low == pytest.approx(0.5, abs=0.1)
    assert value.high == pytest.approx(4.0, abs=0.1)


@pytest.mark.parametrize(
    ("readings", "limit", "closer"),
    [
        ({"air_temp_c": within(24, 0.2), "humidity_percent": within(60, 8),
          "panel_temp_c": within(18, 0.2)}, 3, "humidity_percent"),
        ({"air_temp_c": within(24, 0.2), "humidity_percent": within(60, 1),
          "panel_temp_c": within(18, 2)}, 3, "panel_temp_c"),
        ({"air_temp_c": within(24, 2.5), "humidity_percent": within(60, 1),
          "panel_temp_c": within(18, 0.5)}, 3, "air_temp_c"),
        ({"air_temp_c": within(24, 0.2), "humidity_percent": within(60, 1),
          "panel_temp_c": within(28, 2)}, 3, None),
        ({"air_temp_c": exact(24), "humidity_percent": exact(60),
          "panel_temp_c": exact(18)}, 3, None),
    ],
    ids=["rough hygrometer", "rough probe", "rough thermometer", "clear of the limit", "exact"],
)  # fmt: skip
def test_the_roughest_reading_is_named_where_the_limit_is_in_doubt(
    readings: Given, limit: float, closer: str | None
) -> None:
    """The reading whose tolerance keeps the 3 K limit open is the one to take again."""
    assert blame(MARGIN, readings, limit) == closer


def test_an_assumed_range_is_blamed_like_a_reading() -> None:
    """The wall of a recess, never measured, is what keeps its demand open."""
    readings: Given = {"recess_width_mm": within(60, 1), "recess_depth_mm": within(10, 0.5)}

    assert blame(RECESS, readings, 20) == "recess_wall_deg"


def test_a_word_is_given_only_if_every_reading_allows_it() -> None:
    """14 to 16 °C against a window from 15 °C is neither below nor inside."""
    settled = evaluate(WINDOW, {"panel_temp_c": between(10, 12)})
    open_one = evaluate(WINDOW, {"panel_temp_c": between(14, 16)})

    assert settled.value == "below"
    assert open_one.value is None
    assert open_one.reason == (
        "the readings allow anything from below to inside; read panel_temp_c more closely."
    )
    assert blame(WINDOW, {"panel_temp_c": between(14, 16)}) == "panel_temp_c"


@pytest.mark.parametrize(
    ("measure", "readings", "limit", "advice"),
    [
        ("dew_point_margin_c", {"air_temp_c": exact(24), "humidity_percent": within(60, 5),
         "panel_temp_c": exact(18)}, 3, "read humidity_percent more closely"),
        ("print_wait", {"print_to_laminate_h": exact(30)}, None, "give base_h: wait that the ink"),
        ("ftm14_verdict", {"oven_shrink_mm": exact(0.25)}, None, "give allowed_mm: dimensional"),
        ("post_heat_reached", {"reading_c": exact(92), "emissivity": exact(0.95)}, None,
         "give required_c:"),
        ("thermal_movement_mm", {"first": "aluminium", "second": "steel", "swing_k": exact(60),
         "length_mm": exact(1500)}, 1, "give first_per_k: expansion of the first"),
        ("thermal_movement_mm", {"first": "aluminium", "second": "steel", "swing_k": exact(60),
         "length_mm": exact(1500)}, 5, ""),
    ],
)  # fmt: skip
def test_what_would_settle_it_is_said(
    measure: str, readings: Given, limit: float | None, advice: str
) -> None:
    """A rough reading is taken again; what was only assumed is looked up on its sheet."""
    said = settling(MEASURES[measure], readings, limit)

    assert said.startswith(advice)
    assert bool(said) == bool(advice)


def test_a_range_that_spans_the_middle_word_is_open_too() -> None:
    """Colder than the window to warmer than it: nothing is settled."""
    result = evaluate(WINDOW, {"panel_temp_c": between(5, 40)})

    assert result.value is None
    assert "from below to above" in result.reason


def test_a_post_heat_between_the_two_published_temperatures_is_not_settled() -> None:
    """92 °C by contact lies between the 90 and 95 °C that are met; the bulletin decides."""
    readings: Given = {"reading_c": exact(92), "emissivity": exact(0.95)}

    assert evaluate(MEASURES["post_heat_reached"], readings).value is None
    assert blame(MEASURES["post_heat_reached"], readings) == "required_c"
    assert evaluate(MEASURES["post_heat_reached"], {**readings, "required_c": exact(90)}).value == (
        "reached"
    )


@pytest.mark.parametrize("emissivity", [exact(0.08), between(0.25, 0.5)])
def test_bare_metal_gives_no_temperature_but_the_advice_to_use_tape(emissivity: Quantity) -> None:
    """Chrome or metallised film mirrors the room: no number, and the way to get one."""
    result = evaluate(MEASURES["true_temp_c"], {"reading_c": exact(45), "emissivity": emissivity})

    assert result.value is None
    assert "matt tape" in result.reason


def test_a_tolerance_over_a_natural_end_is_cut_off() -> None:
    """98 ± 5 % humidity means 93 to 100 %, and is not refused."""
    damp = evaluate(MEASURES["dew_point_c"],
                    {"air_temp_c": exact(20), "humidity_percent": within(98, 5)})  # fmt: skip

    assert isinstance(damp.value, Quantity)
    assert damp.value.high == pytest.approx(20, abs=1e-9)


def test_all_problems_are_said_at_once() -> None:
    """A misspelt input, a missing one and one out of range: three sentences."""
    wrong: Given = {"air_temp": exact(20), "humidity_percent": exact(120), "panel_temp_c": "cold"}

    assert problems(MARGIN, wrong) == (
        "dew_point_margin_c has no input 'air_temp': it takes air_temp_c, humidity_percent, "
        "panel_temp_c.",
        "air_temp_c is missing: air temperature where the film is laid.",
        "humidity_percent is 120 %, outside 1 to 100 %: check the reading and its unit; beyond "
        "this range the measure does not hold.",
        "panel_temp_c takes a number in °C, not a word.",
    )
    assert evaluate(MARGIN, wrong).value is None


def test_counts_are_whole() -> None:
    """Two and a half faulty jobs are a slip of the pen."""
    lot = MEASURES["lot_suspicion"]
    result = evaluate(lot, {"faulty_jobs": exact(2.5), "jobs": exact(5), "usual_percent": exact(5)})

    assert result.value is None
    assert "whole number" in result.reason


def test_answers_to_checks_become_inputs_the_best_check_first() -> None:
    """The log of the day of laying counts before a reading taken today."""
    answers: Given = {
        "air_temp_c": exact(30), "install_air_temp_c": exact(16), "install_rh_percent": exact(70)
    }  # fmt: skip

    found = gathered(MARGIN, answers)

    assert found == {"air_temp_c": exact(16), "humidity_percent": exact(70)}
    assert [wanted.name for wanted in missing(MARGIN, found)] == ["panel_temp_c"]


@pytest.mark.parametrize(
    ("pitch", "word"),
    [
        (exact(236), "matches"), (exact(118), "matches"), (exact(200), "differs"),
        (within(236, 1), "matches"), (within(236, 5), None), (between(100, 300), None),
        (between(125, 230), "differs"),
    ],
)  # fmt: skip
def test_a_repeat_fits_a_roller_only_if_its_whole_range_does(
    pitch: Quantity, word: str | None
) -> None:
    """A 75 mm roller repeats every 235.6 mm, a double dent every 117.8 mm."""
    readings: Given = {"repeat_pitch_mm": pitch, "part_mm": exact(75)}

    assert evaluate(MEASURES["pitch_matches_roller"], readings).value == word


@pytest.mark.parametrize("measure", MEASURES.values(), ids=MEASURES.keys())
def test_nothing_is_blamed_where_nothing_is_known(measure: Measure) -> None:
    """Without inputs there is no reading to take more closely."""
    assert blame(measure, {"no_such_input": exact(1)}, 0) is None


def test_a_data_sheet_goes_before_what_its_class_usually_has() -> None:
    """0.35 mm is over what cast film usually keeps, and inside what this sheet states."""
    verdict = MEASURES["ftm14_verdict"]
    baked: Given = {"oven_shrink_mm": exact(0.35), "film_class": "cast_pvc"}

    assert evaluate(verdict, baked).value == "over"
    assert evaluate(verdict, {**baked, "allowed_mm": exact(0.4)}).value == "within"
    assert missing(verdict, baked) == ()
