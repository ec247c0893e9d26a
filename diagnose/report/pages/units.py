"""Numbers in metric units with the US customary ones beside them.

Texts of the rule base name both systems already; readings, sizes and film do not. A temperature
is put beside only where a whole reading is given, since a difference in kelvins reads otherwise.
"""

from __future__ import annotations

import re
from enum import StrEnum

from diagnose.measures.quantity import Quantity, between, exact
from diagnose.measures.units import show


class Units(StrEnum):
    """Which units a reader expects; US readers get both."""

    METRIC = "metric"
    US = "us"


_NUMBER = r"[-−]?\d+(?:\.\d+)?"
_READING = re.compile(
    rf"(?P<low>{_NUMBER})(?: to (?P<high>{_NUMBER}))? (?P<unit>°C|K|N/25 mm|mN/m|kPa|bar|µm)"
)
_WITHIN = re.compile(rf"(?<=: ){_READING.pattern}(?=$|[;)\]])")
_LENGTH = re.compile(
    rf"(?<![\d.,/])(?P<low>{_NUMBER})(?:(?P<join> to | × )(?P<high>{_NUMBER}))?"
    r" (?P<unit>mm|cm|m²|m)(?![\w²/])(?! ?\()(?!, turned)"
)
_LONG_M = 3.0
_FT2 = 0.3048**2


def with_us(words: str) -> str:
    """The words with US customary units in brackets after each metric quantity."""
    whole = _READING.fullmatch(words)
    if whole:
        return _beside(whole)
    return _LENGTH.sub(_length_beside, _WITHIN.sub(_beside, words))


def _beside(found: re.Match[str]) -> str:
    shown = show(_quantity(found), found["unit"], "us")
    return f"{found[0]} ({shown})"


def _quantity(found: re.Match[str]) -> Quantity:
    low, high = _value(found["low"]), _value(found["high"] or found["low"])
    return exact(low) if low == high else between(min(low, high), max(low, high))


def _value(text: str) -> float:
    return float(text.replace("−", "-"))


def _length_beside(found: re.Match[str]) -> str:
    values = [_value(v) for v in (found["low"], found["high"]) if v]
    numbers, unit = _lengths(values, found["unit"])
    return f"{found[0]} ({(found['join'] or '').join(numbers)} {unit})"


def _lengths(values: list[float], unit: str) -> tuple[list[str], str]:
    """Lengths in inches, long ones in feet; areas in square feet."""
    if unit == "m²":
        return [f"{v / _FT2:.3g}" for v in values], "ft²"
    if unit == "m" and max(values) >= _LONG_M:
        return [f"{v / 0.3048:.3g}" for v in values], "ft"
    millimetres = {"mm": 1.0, "cm": 10.0, "m": 1000.0}[unit]
    return [f"{v * millimetres / 25.4:.2g}" for v in values], "in"
