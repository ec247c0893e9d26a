"""The command: one calculation by itself."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.measures.command import DONE, MISUSE, PROBLEM, run
from diagnose.measures.model import Measure
from diagnose.measures.registry import MEASURES
from tests.examples import examples

DEW = ["air_temp_c=24", "humidity_percent=60", "panel_temp_c=18"]


def test_a_result_comes_with_its_meaning_its_inputs_and_its_source() -> None:
    """The installer reads the number, what it means for the film, and how far to trust it."""
    code, text = run("dew_point_margin_c", DEW, "metric", as_json=False)

    assert code == DONE
    assert text.splitlines() == [
        "Margin of the panel over the dew point: 2.24 K",
        "  Too near the dew point: less than the usual 3 °C (5 °F). Warm it.",
        "  air_temp_c = 24 °C",
        "  humidity_percent = 60 %",
        "  panel_temp_c = 18 °C",
        "  error: 0.02 K by the formula, about 1 K by usual readings",
        "  source: Buck 1981; 3 K margin as coating practice quotes ISO 8502-4 (checked)",
    ]


def test_us_units_are_read_and_shown() -> None:
    """75 °F air over a 64 °F panel, all of it in °F."""
    given_in_f = ["air_temp_c=75.2 °F", "humidity_percent=60", "panel_temp_c=64.4 °F"]

    code, text = run("dew_point_margin_c", given_in_f, "us", as_json=False)

    assert code == DONE
    assert "4.04 °F" in text.splitlines()[0]
    assert "  panel_temp_c = 64.4 °F" in text.splitlines()


def test_what_was_assumed_is_marked() -> None:
    """A value that nobody read is not passed off as one."""
    code, text = run("film_window", ["panel_temp_c=12"], "metric", as_json=False)

    assert code == DONE
    assert "  low_limit_c = 15 °C (assumed)" in text.splitlines()
    assert "  panel_temp_c = 12 °C" in text.splitlines()


def test_a_measure_that_can_hurt_carries_its_caution() -> None:
    """Hot film is named with the result, not in a manual."""
    code, text = run("post_heat_reached", ["reading_c=97"], "metric", as_json=False)

    assert code == DONE
    assert "caution: Hot film and metal burn skin." in text


def test_json_holds_the_numbers_unrounded_with_their_units() -> None:
    """A script gets ends, unit, meaning and source."""
    code, text = run("dew_point_margin_c", DEW, "us", as_json=True)
    data = json.loads(text)

    assert code == DONE
    assert data["result"]["low"] == pytest.approx(2.245 * 1.8, abs=0.02)
    assert data["result"]["unit"] == "°F"
    assert data["inputs"]["panel_temp_c"] == {
        "low": pytest.approx(64.4), "high": pytest.approx(64.4), "unit": "°F", "assumed": False
    }  # fmt: skip
    assert data["maturity"] == "checked"


def test_a_number_over_two_bands_says_what_to_measure_better() -> None:
    """1 to 4 K may be too near or enough; the hygrometer is what keeps it open."""
    rough = ["air_temp_c=24", "humidity_percent=58 ± 5", "panel_temp_c=18"]

    _, text = run("dew_point_margin_c", rough, "metric", as_json=False)
    _, as_json = run("dew_point_margin_c", rough, "us", as_json=True)
    _, clear = run("dew_point_margin_c", DEW, "metric", as_json=False)

    assert text.splitlines()[2] == "  To settle it, read humidity_percent more closely."
    assert json.loads(as_json)["to_settle"] == text.splitlines()[2].strip()
    assert "To settle" not in clear


def test_no_honest_number_is_its_own_exit_code() -> None:
    """Sound inputs from which nothing follows: exit code 1, a reason and a way out."""
    code, text = run("true_temp_c", ["reading_c=40", "emissivity=0.06"], "metric", as_json=False)

    assert code == PROBLEM
    assert text.splitlines()[0] == "True temperature behind an infrared reading: cannot say"
    assert "matt tape" in text.splitlines()[1]


def test_every_mistake_is_named_at_once_with_a_way_to_do_it_right() -> None:
    """A slip in a name, one in a number, one input twice: one line each, then the usage."""
    typed = ["air_tmp_c=24", "humidity_percent=sixty", "panel_temp_c=18", "panel_temp_c=19", "x"]

    code, text = run("dew_point_margin_c", typed, "metric", as_json=False)
    lines = text.splitlines()

    assert code == MISUSE
    assert lines[0].startswith("there is no input 'air_tmp_c' (did you mean air_temp_c?)")
    assert lines[1].startswith("humidity_percent: 'sixty' is not a reading")
    assert lines[2] == "panel_temp_c: given twice; give it once."
    assert lines[3] == "'x' is no input: write name=value."
    assert lines[4] == "air_temp_c is missing: air temperature where the film is laid."
    assert lines[-1] == f"Example: diagnose measure dew_point_margin_c {' '.join(DEW)}"


@pytest.mark.parametrize(
    ("name", "units", "says"),
    [
        ("wettin", "metric", "did you mean wetting?"),
        ("wetting", "imperial", "write metric or us"),
        ("\x1b[2J", "metric", "there is no measure '?[2J'"),
    ],
)
def test_wrong_names_get_a_near_one(name: str, units: str, says: str) -> None:
    """A misspelt measure is answered with the one that was meant."""
    code, text = run(name, [], units, as_json=False)

    assert code == MISUSE
    assert says in text
    assert "\x1b" not in text


def test_a_wrong_word_lists_the_right_ones() -> None:
    """The forms of a recess are a closed list."""
    typed = ["recess_form=square", "recess_width_mm=60", "recess_depth_mm=10"]

    code, text = run("recess_demand_percent", typed, "metric", as_json=False)

    assert code == MISUSE
    assert text.splitlines()[0] == (
        "recess_form: 'square' is none of its words: rectangular, trapezoid, v, round, corner."
    )


def test_the_list_names_every_measure() -> None:
    """Without a name the command shows what there is, a line each."""
    code, text = run(None, [], "metric", as_json=False)
    _, as_json = run(None, [], "metric", as_json=True)

    assert code == DONE
    assert [line.split()[0] for line in text.splitlines()] == list(MEASURES)
    assert [row["id"] for row in json.loads(as_json)] == list(MEASURES)


@pytest.mark.parametrize("measure", MEASURES.values(), ids=MEASURES.keys())
@pytest.mark.parametrize("units", ["metric", "us"])
def test_every_example_runs_in_both_unit_systems(measure: Measure, units: str) -> None:
    """The example that the usage shows works as it stands."""
    typed = [f"{name}={value}" for name, value in measure.example]

    code, text = run(measure.id, typed, units, as_json=False)

    assert code == DONE
    assert text.startswith(f"{measure.name}: ")


@settings(derandomize=True, max_examples=examples(150), deadline=None)
@given(
    st.sampled_from(sorted(MEASURES)),
    st.lists(st.tuples(st.sampled_from(["air_temp_c", "jobs", "count", "film", "?"]), st.text())),
    st.booleans(),
)
def test_nothing_that_is_typed_breaks_the_command(
    name: str, typed: list[tuple[str, str]], as_json: bool
) -> None:
    """Any text ends in one of the three exit codes and text that steers no terminal."""
    code, text = run(name, [f"{key}={value}" for key, value in typed], "metric", as_json)

    assert code in (DONE, PROBLEM, MISUSE)
    assert text.replace("\n", "").isprintable()
