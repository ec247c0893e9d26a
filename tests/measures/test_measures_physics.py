"""What the physics of the trade promises, told case by case."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.measures.model import CannotSay
from diagnose.measures.subjects.air import (
    dew_point_c,
    lumped_time,
    panel_after_wait_c,
    warming_minutes,
)
from diagnose.measures.subjects.film import (
    area_stretch_percent,
    stretch_from_thickness_percent,
    tension_across_edge,
    thickness_after_stretch,
)
from diagnose.measures.subjects.gloss import smooth_gloss_gu
from diagnose.measures.subjects.heat import (
    band_signal,
    band_temperature_c,
    emissivity_from_tape,
    post_heat_margin_k,
    true_temp_c,
)
from diagnose.measures.subjects.life import warranty_left
from diagnose.measures.subjects.limits import thinning_vs_limit
from diagnose.measures.subjects.pockets import dry_out_days, gas_growth, growth_vs_air
from diagnose.measures.subjects.printing import outgas_window_h, print_wait_share
from diagnose.measures.subjects.recess import recess_demand_percent
from diagnose.measures.subjects.shop import film_usage_m, lot_suspicion, repair_first
from diagnose.measures.subjects.shrink import edge_retreat_reading, laminate_curl
from diagnose.measures.subjects.thermal import EXPANSION, thermal_movement_mm
from tests.examples import examples

SEEDED = settings(derandomize=True, max_examples=examples(80), deadline=None)
WAYS = ("free_strip", "width_held", "both_ways")


@SEEDED
@given(st.floats(-20, 50))
def test_saturated_air_is_at_its_dew_point(air: float) -> None:
    """At 100 % humidity the dew point is the air temperature."""
    assert dew_point_c(air, 100) == pytest.approx(air, abs=1e-9)


def test_air_too_dry_for_the_formula_gives_no_dew_point() -> None:
    """1 % humidity at −20 °C lies beyond the fit; no number is made up."""
    with pytest.raises(CannotSay, match="read the humidity again"):
        dew_point_c(-20, 1)


@SEEDED
@given(st.floats(0, 15), st.floats(16, 20), st.floats(21, 30))
def test_warming_up_adds_up_over_a_stop_on_the_way(start: float, stop: float, air: float) -> None:
    """Start to stop and stop to target together take as long as start to target."""
    target = (stop + air) / 2
    whole = lumped_time(5, start, air, target)

    assert lumped_time(5, start, air, stop) + lumped_time(5, stop, air, target) == (
        pytest.approx(whole)
    )


def test_a_panel_never_gets_warmer_than_the_bay() -> None:
    """18 °C is out of reach in a bay of 18 °C; a panel that has it needs no time."""
    with pytest.raises(CannotSay, match="warm the bay"):
        warming_minutes("steel", 0.8, 5, 18, 18, 10, "one")
    assert warming_minutes("steel", 0.8, 18, 18, 10, 10, "one") == 0


def test_a_thick_plastic_part_has_no_one_temperature() -> None:
    """Lumped capacity is refused where the inside lags behind the face."""
    with pytest.raises(CannotSay, match="contact probe"):
        warming_minutes("pp", 8, 5, 18, 22, 10, "one")


@SEEDED
@given(st.floats(0.3, 1), st.sampled_from(WAYS))
def test_stretch_and_thickness_are_each_others_inverse(ratio: float, way: str) -> None:
    """The stretch read from thickness thins the film to just that thickness."""
    stretch = stretch_from_thickness_percent(ratio, way)

    if stretch <= 120:
        assert thickness_after_stretch(80, stretch, way) == pytest.approx(80 * ratio)


@SEEDED
@given(st.floats(0, 100), st.floats(0, 100))
def test_volume_is_kept_when_film_is_stretched(along: float, across: float) -> None:
    """Area times thickness stays, so pulling both ways thins by both."""
    thin_once = thickness_after_stretch(80, along, "width_held")
    thin_twice = thin_once / (1 + across / 100)

    grown = 1 + area_stretch_percent(along, across) / 100
    assert grown * thin_twice == pytest.approx(80)


def test_a_pull_along_an_edge_leaves_nothing_across_it() -> None:
    """Along 0, square to it all, at 45° half of it; angle and its complement share it out."""
    assert tension_across_edge(12, 0) == 0
    assert tension_across_edge(12, 90) == pytest.approx(12)
    assert tension_across_edge(12, 45) == pytest.approx(6)
    assert tension_across_edge(12, 20) + tension_across_edge(12, 70) == pytest.approx(12)


def demand(form: str, width: float, depth: float, wall: float = 60, reach: float = 0) -> float:
    """Shorthand for the demand of a recess."""
    return recess_demand_percent(form, width, depth, wall, reach)


@pytest.mark.parametrize(
    ("form", "width", "depth", "wall", "percent"),
    [
        ("rectangular", 60, 10, 90, 33.33),
        ("trapezoid", 60, 10, 60, 19.25),
        ("trapezoid", 80, 25, 60, 36.08),
        ("trapezoid", 120, 10, 45, 6.90),
        ("v", 60, 30, 90, 41.42),
        ("round", 60, 10, 90, 7.25),
        ("round", 100, 20, 90, 10.35),
        ("round", 60, 30, 90, 57.08),
        ("corner", 60, 10, 90, 11.11),
        ("corner", 60, 30, 90, 100.0),
    ],
)
def test_recesses_as_they_are_met(
    form: str, width: float, depth: float, wall: float, percent: float
) -> None:
    """Channels, beads and handle cups with their demand worked out by hand."""
    assert demand(form, width, depth, wall) == pytest.approx(percent, abs=0.01)


@SEEDED
@given(st.floats(10, 500), st.floats(0.02, 0.45))
def test_forms_agree_where_they_turn_into_each_other(width: float, share: float) -> None:
    """Upright walls make a trapezoid rectangular; walls that meet make it a V."""
    depth = max(0.5, width * share)
    meeting = math.degrees(math.atan(2 * depth / width))

    assert demand("trapezoid", width, depth, 90) == pytest.approx(
        demand("rectangular", width, depth)
    )
    if meeting >= 15:
        assert demand("trapezoid", width, depth, meeting) == pytest.approx(
            demand("v", width, depth)
        )


@SEEDED
@given(st.floats(10, 500), st.floats(0.05, 0.5))
def test_no_form_demands_less_than_straight_lines_or_more_than_square_walls(
    width: float, share: float
) -> None:
    """At the same width and depth a V is the least that there is, a square channel the most."""
    depth = max(0.5, width * share)

    least, arc, most = (demand(form, width, depth) for form in ("v", "round", "rectangular"))

    assert least <= arc <= most


def test_film_gathered_before_it_sticks_spreads_the_demand() -> None:
    """30 mm free film on each side of a 60 mm channel halves its stretch."""
    assert demand("rectangular", 60, 10, 90, 30) == pytest.approx(33.33 / 2, abs=0.01)


def test_a_channel_deeper_than_its_walls_allow_is_a_wrong_measurement() -> None:
    """Walls of 45° meet 30 mm down in a 60 mm channel: 40 mm cannot be."""
    with pytest.raises(CannotSay, match="measure again or name another form"):
        demand("trapezoid", 60, 40, 45)


@SEEDED
@given(st.floats(-20, 200))
def test_the_band_signal_can_be_read_back(temperature: float) -> None:
    """Temperature to signal and back loses nothing."""
    assert band_temperature_c(band_signal(temperature)) == pytest.approx(temperature, abs=1e-6)


@SEEDED
@given(st.floats(-10, 200), st.floats(0.3, 1), st.floats(0, 40))
def test_a_gun_set_to_the_surface_reads_true(
    reading: float, emissivity: float, room: float
) -> None:
    """With the right setting, or with surroundings as hot as the film, nothing needs correcting."""
    assert true_temp_c(reading, emissivity, emissivity, room) == pytest.approx(reading, abs=1e-6)
    assert true_temp_c(room, emissivity, 0.95, room) == pytest.approx(room, abs=1e-6)


def test_shiny_film_is_hotter_than_it_reads() -> None:
    """A metallised film that reads 62 °C at ε 0.5 is at some 91 °C; plain film is at 63 °C."""
    assert true_temp_c(62, 0.5, 0.95, 20) == pytest.approx(91.3, abs=0.1)
    assert true_temp_c(62, 0.93, 0.95, 20) == pytest.approx(62.8, abs=0.1)


@pytest.mark.parametrize("angle", ["20", "60", "85"])
def test_reference_glass_reads_one_hundred(angle: str) -> None:
    """The scale is made so that black glass of index 1.567 reads 100 at every angle."""
    assert smooth_gloss_gu(1.567, angle) == pytest.approx(100)


@pytest.mark.parametrize(
    ("mm", "where", "word"),
    [
        (0.3, "some_edges", "normal"), (0.3, "all_edges_alike", "normal"),
        (1.0, "all_edges_alike", "film"), (1.0, "some_edges", "pull"),
        (3.0, "all_edges_alike", "wrong_film"), (3.0, "some_edges", "pull"),
    ],
)  # fmt: skip
def test_retreat_is_read_with_where_it_is(mm: float, where: str, word: str) -> None:
    """Alike on all edges is the film; only some edges is the hand."""
    assert edge_retreat_reading(mm, where) == word


def test_a_flat_strip_has_no_tension() -> None:
    """No rise, no curl; a strip rolled past a half circle is cut shorter."""
    assert laminate_curl(100, 0, 0.16) == 0
    with pytest.raises(CannotSay, match="shorter strip"):
        laminate_curl(100, 60, 0.16)


@SEEDED
@given(st.sampled_from(sorted(EXPANSION)), st.sampled_from(sorted(EXPANSION)),
       st.floats(1, 8000), st.floats(-120, 120))  # fmt: skip
def test_two_parts_move_against_each_other_by_equal_and_opposite_amounts(
    first: str, second: str, length: float, swing: float
) -> None:
    """What the film gains on the panel, the panel loses on the film."""
    a, b = EXPANSION[first].middle, EXPANSION[second].middle

    assert thermal_movement_mm(a, b, length, swing) == pytest.approx(
        -thermal_movement_mm(b, a, length, swing)
    )


def test_a_bubble_that_cools_again_has_its_old_size() -> None:
    """Warm and cold growth cancel; 22 to 80 °C makes a fifth."""
    assert gas_growth(22, 80) * gas_growth(80, 22) == pytest.approx(1)
    assert gas_growth(22, 80) == pytest.approx(1.197, abs=0.001)


def test_water_dries_twice_as_fast_ten_kelvin_warmer() -> None:
    """A pocket 0.1 mm deep under vinyl that passes 10 g/m² a day takes ten days at 23 °C."""
    assert dry_out_days(0.1, 10, 23) == pytest.approx(10)
    assert dry_out_days(0.1, 10, 33) == pytest.approx(5)


def test_thick_ink_in_the_cold_waits_longest_and_a_tight_roll_never_ends() -> None:
    """Twice the layer four times, ten kelvin colder twice, damp air a day at least."""
    assert outgas_window_h(24, 200, 20, 50, 2, "flat_or_hung_with_air") == pytest.approx(96)
    assert outgas_window_h(24, 200, 10, 50, 1, "flat_or_hung_with_air") == pytest.approx(48)
    assert outgas_window_h(24, 280, 20, 50, 1, "flat_or_hung_with_air") == pytest.approx(48)
    assert outgas_window_h(1, 200, 20, 75, 1, "flat_or_hung_with_air") == 24
    with pytest.raises(CannotSay, match="unroll"):
        outgas_window_h(24, 200, 20, 50, 1, "tight_roll")


@SEEDED
@given(st.floats(0, 240), st.floats(1, 144), st.sampled_from(["linear", "first_year_full"]))
def test_a_warranty_is_whole_when_new_and_nothing_at_the_end(
    age: float, stated: float, terms: str
) -> None:
    """Never more than all, never less than nothing, gone from the stated life on."""
    left = warranty_left(age, stated, "vertical", 0.5, 1, terms)

    assert 0 <= left <= 1
    assert warranty_left(0, stated, "vertical", 0.5, 1, terms) == 1
    if age >= stated:
        assert left == 0
    assert left <= warranty_left(age, stated, "vertical", 0.5, 1, "first_year_full")


@pytest.mark.parametrize(
    ("across", "along", "metres"),
    [(1.4, 5.2, 5.83), (5.2, 1.4, 6.60), (1.75, 2.1, 4.84), (2.1, 1.75, 4.07)],
    ids=["side", "side turned", "roof", "roof turned"],
)
def test_film_for_a_side_and_a_roof(across: float, along: float, metres: float) -> None:
    """Turning a side costs film, turning a roof saves it: metallics are not turned all the same."""
    assert film_usage_m(across, along, 1.52, 0.05, 0.013, 10) == pytest.approx(metres)


def test_a_second_try_is_hardly_worth_the_visit() -> None:
    """Half an hour at 60 % saves 1.3 of 3 hours, three quarters at 25 % nothing."""
    assert repair_first(0.5, 3, 60) == pytest.approx(1.3)
    assert repair_first(0.5, 3, 25) == pytest.approx(0.25)
    assert repair_first(0.75, 3, 25) == pytest.approx(0)


@SEEDED
@given(st.integers(1, 60), st.floats(0, 100))
def test_at_least_one_fault_is_the_complement_of_none(jobs: int, usual: float) -> None:
    """The chances of none and of one or more are all there is."""
    none = (1 - usual / 100) ** jobs

    assert lot_suspicion(1, jobs, usual) == pytest.approx(100 * (1 - none), abs=1e-6)


def test_a_gun_set_for_bare_metal_reads_vinyl_too_hot() -> None:
    """95 °C on the display of a gun left at 0.70 is under 80 °C of film; at 0.95 it is 95 °C."""
    left = post_heat_margin_k(95, 0.93, 0.70, 20, 95)

    assert -17 < left < -14
    assert post_heat_margin_k(95, 0.95, 0.95, 20, 95) == pytest.approx(0, abs=1e-6)


@SEEDED
@given(st.floats(0.32, 0.98), st.floats(45, 120), st.floats(15, 25))
def test_tape_beside_the_film_finds_the_emissivity_that_made_its_reading(
    emissivity: float, true: float, room: float
) -> None:
    """What a film of any emissivity shows at 0.95, beside tape as warm, gives it back."""
    signal = emissivity * band_signal(true) + (1 - emissivity) * band_signal(room)
    shown = band_temperature_c((signal - 0.05 * band_signal(room)) / 0.95)

    assert emissivity_from_tape(shown, true, 0.95, 0.95, room) == pytest.approx(emissivity)


def test_a_cold_room_asks_for_more_hours_than_the_sheet() -> None:
    """Fifty hours of heavy ink at 10 °C are half of what it needs, and plenty at 25 °C."""
    rack: dict[str, float | str] = {"base_h": 24, "humidity_percent": 50, "layer_ratio": 1,
            "stacking": "flat_or_hung_with_air", "ink_load_percent": 300}  # fmt: skip

    assert print_wait_share(50, air_temp_c=10, **rack) == pytest.approx(50 / 96)
    assert print_wait_share(50, air_temp_c=25, **rack) > 1


def test_a_cold_panel_comes_up_to_the_bay_and_never_past_it() -> None:
    """At once it is as cold as it came, after a day as warm as the air; plastic lags behind steel."""
    assert panel_after_wait_c(-4, 21, 0, 3, 2, 10) == -4
    assert panel_after_wait_c(-4, 21, 1440, 3, 2, 10) == pytest.approx(21)
    assert panel_after_wait_c(-4, 21, 15, 5, 2, 10) < panel_after_wait_c(-4, 21, 15, 3, 2, 10) < 21


def test_moist_air_grows_more_than_dry_air() -> None:
    """From 20 to 50 °C dry air makes a tenth, air over water more than a fifth."""
    dry, moist = (1 / growth_vs_air(10, 10, 20, 50, m, 2) for m in (0, 1))

    assert dry == pytest.approx(1.102, abs=0.001)
    assert moist == pytest.approx(1.226, abs=0.002)


def test_film_drawn_both_ways_was_stretched_less_for_the_same_thickness() -> None:
    """A quarter thinner is a third of stretch one way, and a sixth both ways."""
    assert thinning_vs_limit(0.75, 1, 100) == pytest.approx(1 / 3)
    assert thinning_vs_limit(0.75, 2, 100) == pytest.approx(0.1547, abs=1e-4)
