"""A reading with its uncertainty: the smallest interval that holds the true value."""

import math
from dataclasses import dataclass

__all__ = ["Quantity", "between", "exact", "within"]


@dataclass(frozen=True, slots=True)
class Quantity:
    """Everything from `low` to `high`, both included; `low == high` is an exact value.

    Raises ValueError where an end is no finite number or the ends are swapped.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.low) and math.isfinite(self.high)):
            raise ValueError(f"a quantity needs two finite ends, not {self.low} and {self.high}")
        if self.low > self.high:
            raise ValueError(
                f"a quantity goes from low to high, not from {self.low} to {self.high}"
            )

    @property
    def is_exact(self) -> bool:
        """Whether the value is known without a tolerance."""
        return self.low == self.high

    @property
    def middle(self) -> float:
        """Half way between the ends."""
        return self.low + (self.high - self.low) / 2

    @property
    def width(self) -> float:
        """Distance between the ends."""
        return self.high - self.low


def exact(value: float) -> Quantity:
    """Make a value without a tolerance."""
    return Quantity(value, value)


def within(value: float, tolerance: float) -> Quantity:
    """Make a value with a tolerance to both sides; the sign of the tolerance does not matter."""
    return Quantity(value - abs(tolerance), value + abs(tolerance))


def between(one: float, other: float) -> Quantity:
    """Make a range, its ends in any order."""
    return Quantity(min(one, other), max(one, other))
