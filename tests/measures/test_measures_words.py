"""Verdicts in words, at and beside their limits, and the sentences that go with numbers."""

import pytest

from diagnose.measures.model import CannotSay
from diagnose.measures.quantity import between, exact
from diagnose.measures.registry import MEASURES

DEFECTS = "defect_rating"


@pytest.mark.parametrize(
    ("measure", "inputs", "word"),
    [
        ("film_window", (14.9, 15, 30), "below"),
        ("film_window", (15, 15, 30), "inside"),
        ("film_window", (30, 15, 30), "inside"),
        ("film_window", (30.1, 15, 30), "above"),
        ("stretch_class", (10, 10, 30), "cold"),
        ("stretch_class", (10.1, 10, 30), "with_heat"),
        ("stretch_class", (30, 10, 30), "with_heat"),
        ("stretch_class", (30.1, 10, 30), "beyond"),
        ("ftm14_verdict", (0.3, 0.3), "within"),
        ("ftm14_verdict", (0.31, 0.3), "over"),
        ("wetting", (33.9, 34, 38), "high_tack_only"),
        ("wetting", (34, 34, 38), "test_patch"),
        ("wetting", (38, 34, 38), "good"),
        (DEFECTS, (0, 3), "0(S0)"),
        (DEFECTS, (1, 0.05), "1(S1)"),
        (DEFECTS, (1.5, 0.2), "2(S2)"),
        (DEFECTS, (3, 0.5), "2(S3)"),
        (DEFECTS, (10, 5), "3(S4)"),
        (DEFECTS, (10.5, 5.1), "4(S5)"),
        (DEFECTS, (30, 0.07), "4(S1)"),
        (DEFECTS, (31, 0.6), "5(S4)"),
    ],
)
def test_a_value_on_a_limit_belongs_to_one_side(
    measure: str, inputs: tuple[float, ...], word: str
) -> None:
    """Each class says which of its edges it holds."""
    assert MEASURES[measure].function(*inputs) == word


@pytest.mark.parametrize(
    ("measure", "inputs"),
    [("film_window", (20, 30, 25)), ("stretch_class", (5, 20, 15)), ("wetting", (36, 40, 38))],
)
def test_swapped_limits_give_no_verdict(measure: str, inputs: tuple[float, ...]) -> None:
    """A window that ends before it begins is a slip, and is named as one."""
    with pytest.raises(CannotSay, match="lies above"):
        MEASURES[measure].function(*inputs)


@pytest.mark.parametrize(
    ("measure", "value", "says"),
    [
        ("dew_point_margin_c", -0.1, "it is wet"),
        ("dew_point_margin_c", 0, "Too near"),
        ("dew_point_margin_c", 3, "Enough margin"),
        ("dew_point_margin_c", 5, "Dry"),
        ("gloss_ratio", 0.79, "Duller"),
        ("gloss_ratio", 1.0, "As glossy"),
        ("gloss_ratio", 1.2, "Shinier"),
        ("stretch_vs_limit", 0.99, "Just inside"),
        ("stretch_vs_limit", 1.0, "At or beyond"),
        ("recess_demand_percent", 30, "inlay"),
        ("age_vs_stated", 1.0, "Past its stated life"),
        ("repair_first", -0.1, "Replace at once"),
        ("lot_suspicion", 0.1, "look at the roll"),
        ("jet_pressure", 142, "drive water under"),
    ],
)
def test_a_number_is_explained_by_the_band_that_it_lies_in(
    measure: str, value: float, says: str
) -> None:
    """The reader gets what the number means for the film, not the number alone."""
    assert says in MEASURES[measure].says(exact(value))


def test_a_range_over_two_bands_is_explained_from_both_ends() -> None:
    """2 to 4 K: too near at one end, enough at the other, and said to be open."""
    sentence = MEASURES["dew_point_margin_c"].says(between(2, 4))

    assert sentence.startswith("Not settled by these readings.")
    assert "Too near" in sentence
    assert "Enough margin" in sentence


@pytest.mark.parametrize(("mm", "kpa"), [(50, 142), (150, 16), (300, 4.0), (450, 1.8)])
def test_distance_tames_a_wash_jet_more_than_the_dial(mm: float, kpa: float) -> None:
    """100 bar and 8 l/min in a 40° fan, worked out by hand at four distances."""
    assert MEASURES["jet_pressure"].function(100, 8, mm, 40) == pytest.approx(kpa, rel=0.03)


@pytest.mark.parametrize(("shear", "mm"), [(0.02, 0.10), (0.002, 0.31), (0.0005, 0.62)])
def test_softer_adhesive_lets_an_edge_retreat_farther(shear: float, mm: float) -> None:
    """2 % strain left in 80 µm film: fresh, creeping, and after hot months."""
    assert MEASURES["edge_shrink_mm"].function(2, 200, 0.08, 0.03, shear) == (
        pytest.approx(mm, abs=0.006)
    )


def test_terms_of_a_warranty_differ_after_the_first_year() -> None:
    """20 of 36 months: 44 % when it runs down from new, two thirds when the first year is whole."""
    left = MEASURES["warranty_left"].function

    assert left(20, 36, "vertical", 0.5, 1, "linear") == pytest.approx(16 / 36)
    assert left(20, 36, "vertical", 0.5, 1, "first_year_full") == pytest.approx(16 / 24)
    assert left(20, 72, "horizontal", 0.5, 1, "linear") == pytest.approx(16 / 36)
