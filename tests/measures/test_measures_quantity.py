"""A reading with its uncertainty."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.measures.quantity import Quantity, between, exact, within
from tests.examples import examples

NUMBERS = st.floats(-1e6, 1e6)
SEEDED = settings(derandomize=True, max_examples=examples(100))


@SEEDED
@given(NUMBERS, st.floats(-1e3, 1e3))
def test_a_tolerance_reaches_equally_to_both_sides(value: float, tolerance: float) -> None:
    """21 ± 0.5 and 21 ± −0.5 both mean 20.5 to 21.5."""
    quantity = within(value, tolerance)

    assert quantity == Quantity(value - abs(tolerance), value + abs(tolerance))
    assert quantity.low <= quantity.middle <= quantity.high


@SEEDED
@given(NUMBERS, NUMBERS)
def test_a_range_may_be_said_in_any_order(one: float, other: float) -> None:
    """22 to 20 is 20 to 22."""
    assert between(one, other) == between(other, one)
    assert between(one, other).width == abs(one - other)


def test_an_exact_value_has_no_width() -> None:
    """A number without a tolerance is taken as it is."""
    assert exact(3).is_exact
    assert exact(3).width == 0
    assert not within(3, 0.1).is_exact


@pytest.mark.parametrize(
    ("low", "high"), [(2, 1), (math.nan, 1), (0, math.inf), (-math.inf, 0), (0, math.nan)]
)
def test_a_quantity_has_two_finite_ends_in_order(low: float, high: float) -> None:
    """Swapped or endless ranges are refused where they arise, not somewhere later."""
    with pytest.raises(ValueError, match="a quantity"):
        Quantity(low, high)
