"""Units at the edges: what a person types becomes a Quantity, and a Quantity becomes text.

Inside, every number is a plain float in the unit that its input or measure names. At the edge a
small table of exact factors does the conversion, not pint: importing pint and building its unit
registry takes 0.57 s here (measured once, 353 modules), against a bound of 50 ms from Enter on
an answer to the next question; no answer needs more than some fifty spellings of twenty units;
and ranges, tolerances and differences of temperature would need code around it all the same. Pint
is the outside judge instead: a test holds every row of the table against it.
"""

import math
import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import TypeAlias

from diagnose.measures.quantity import Quantity, between, within

__all__ = ["SPELLINGS", "SYSTEMS", "BadReading", "convert", "parse", "plain", "show", "show_unit"]

SYSTEMS = ("metric", "us")

Scale: TypeAlias = tuple[float, float]


class BadReading(ValueError):
    """Text that is no reading in the unit asked for; says what was read and what to write."""


_INCH, _FOOT, _MIL = 25.4, 304.8, 0.0254
_POUND_FORCE, _PSI_KPA = 0.45359237 * 9.80665, 6.894757293168361
_PER_INCH = _POUND_FORCE / 25.4 * 25

_LENGTHS_MM = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "um": 0.001,
    "µm": 0.001,
    "micron": 0.001,
    "in": _INCH,
    '"': _INCH,
    "inch": _INCH,
    "ft": _FOOT,
    "'": _FOOT,
    "mil": _MIL,
    "thou": _MIL,
}
_YEAR = 365.25 * 24
_HOURS = {
    "h": 1.0,
    "hr": 1.0,
    "hour": 1.0,
    "hours": 1.0,
    "min": 1 / 60,
    "minutes": 1 / 60,
    "s": 1 / 3600,
    "d": 24.0,
    "day": 24.0,
    "days": 24.0,
    "week": 168.0,
    "weeks": 168.0,
    "month": _YEAR / 12,
    "months": _YEAR / 12,
    "year": _YEAR,
    "years": _YEAR,
}
_MONTHS = {"mo": _YEAR / 12, "y": _YEAR}
_KPA = {"kpa": 1.0, "bar": 100.0, "psi": _PSI_KPA, "mpa": 1000.0, "pa": 0.001}
_WIDTHS = {
    "n/25mm": 1.0,
    "n/cm": 2.5,
    "n/m": 0.025,
    "n/mm": 25.0,
    "gf/25mm": 0.00980665,
    "lbf/in": _PER_INCH,
    "lb/in": _PER_INCH,
    "pli": _PER_INCH,
    "ozf/in": _PER_INCH / 16,
    "oz/in": _PER_INCH / 16,
}
_AREAS_DM2 = {"dm2": 1.0, "cm2": 0.01, "m2": 100.0, "mm2": 0.0001, "in2": 0.064516, "ft2": 9.290304}


def _scaled(factors: Mapping[str, float], unit: float) -> Mapping[str, Scale]:
    return {spelling: (factor / unit, 0.0) for spelling, factor in factors.items()}


def _same(*spellings: str) -> Mapping[str, Scale]:
    return dict.fromkeys(spellings, (1.0, 0.0))


_FAHRENHEIT: Scale = (5 / 9, -160 / 9)

# By the unit that a measure uses: what may be typed, as (factor, offset) into that unit.
SPELLINGS: Mapping[str, Mapping[str, Scale]] = MappingProxyType(
    {
        "": _same("x"),
        "°C": {
            **_same("°c", "c", "degc"),
            **dict.fromkeys(("°f", "f", "degf"), _FAHRENHEIT),
            "k": (1.0, -273.15),
        },
        "K": {**_same("k", "°c", "c", "degc"), **dict.fromkeys(("°f", "f", "degf"), (5 / 9, 0.0))},
        "%": _same("%", "percent"),
        "% RH": _same("%rh", "%", "percent"),
        "°": _same("°", "deg", "degrees"),
        "mm": _scaled(_LENGTHS_MM, 1),
        "m": _scaled(_LENGTHS_MM, 1000),
        "µm": _scaled(_LENGTHS_MM, 0.001),
        "h": _scaled(_HOURS, 1),
        "min": _scaled(_HOURS, 1 / 60),
        "days": _scaled(_HOURS, 24),
        "months": _scaled(_HOURS | _MONTHS, _YEAR / 12),
        "kPa": _scaled(_KPA, 1),
        "bar": _scaled(_KPA, 100),
        "MPa": _scaled(_KPA | {"gpa": 1e6}, 1000),
        "N/25 mm": _scaled(_WIDTHS, 1),
        "N/m": _scaled(_WIDTHS, 0.025),
        "mN/m": _same("mn/m", "dyn/cm", "dyne/cm", "dyne", "dynes", "mj/m2"),
        "l/min": {
            **_same("l/min", "lpm"),
            "gal/min": (3.785411784, 0.0),
            "gpm": (3.785411784, 0.0),
        },
        "dm²": _scaled(_AREAS_DM2, 1),
        "per dm²": {**_same("perdm2", "/dm2"), "perin2": (1 / 0.064516, 0.0)},
        "GU": _same("gu"),
        "W/m²K": _same("w/m2k"),
        "kJ/m²K": _same("kj/m2k"),
        "g/m² a day": _same("g/m2aday", "g/m2/day", "g/m2/d"),
        "ppm/K": _same("ppm/k"),
    }
)
# What US customary readers are shown, by spelling; other units are the same in both.
_US = MappingProxyType(
    {
        "°C": ("°F", "°f"),
        "K": ("°F", "°f"),
        "mm": ("in", "in"),
        "m": ("ft", "ft"),
        "µm": ("mil", "mil"),
        "kPa": ("psi", "psi"),
        "bar": ("psi", "psi"),
        "MPa": ("psi", "psi"),
        "N/25 mm": ("lbf/in", "lbf/in"),
        "N/m": ("lbf/in", "lbf/in"),
        "mN/m": ("dyn/cm", "dyn/cm"),
        "l/min": ("gal/min", "gal/min"),
        "dm²": ("in²", "in2"),
        "per dm²": ("per in²", "perin2"),
    }
)

_NUMBER_AND_UNIT = re.compile(r"\s*([-+−]?(?:\d+(?:\.\d+)?|\.\d+))\s*([^\s\d.].*?)?\s*")
_BETWEEN = re.compile(r"(\.\.|–|(?<=\d)\s?-\s?(?=\d)|\bto\b|±|\+/-|\+-)")
_TOLERANCE_SIGNS = ("±", "+/-", "+-")
_LONGEST = 60


def plain(text: str) -> str:
    """Text that a person typed, cut short and without anything that steers a terminal."""
    kept = "".join(sign if sign.isprintable() else "?" for sign in text[:_LONGEST])
    return kept + ("…" if len(text) > _LONGEST else "")


def parse(text: str, unit: str) -> Quantity:
    """Read text such as `22`, `72 °F`, `0.5 in`, `20..22`, `21 ± 0.5 °C` in the given unit.

    A number without a unit is in that unit. Ranges are written with `..`, `–`, `to`, or a hyphen
    between two digits, tolerances with `±`, `+-` or `+/-`. Raises BadReading.
    """
    parts = _BETWEEN.split(text) if len(text) <= _LONGEST else []
    read = [_NUMBER_AND_UNIT.fullmatch(part) for part in parts[::2]]
    numbers = [_float(found[1]) for found in read if found]
    if len(numbers) != len(read) or len(numbers) not in (1, 2):
        raise BadReading(_help(text, unit))
    factor, offset = _scale({_normal(found[2]) for found in read if found and found[2]}, text, unit)
    one, other = numbers[0], numbers[-1]
    tolerant = len(parts) > 1 and parts[1] in _TOLERANCE_SIGNS
    typed = within(one, other) if tolerant else between(one, other)
    return Quantity(typed.low * factor + offset, typed.high * factor + offset)


def _float(digits: str) -> float:
    return float(digits.replace("−", "-"))


def spellings_of(unit: str) -> Mapping[str, Scale]:
    """What may be typed for a unit; one that stands in no table is at least known by its name."""
    return SPELLINGS.get(unit) or _same(_normal(unit))


def _scale(spellings: set[str], text: str, unit: str) -> Scale:
    if not spellings:
        return 1.0, 0.0
    known = spellings_of(unit)
    if len(spellings) > 1 or not spellings <= known.keys():
        raise BadReading(_help(text, unit))
    return known[spellings.pop()]


def _normal(spelling: str) -> str:
    """Small letters, no blanks, one kind of micro sign, squares as digits."""
    joined = "".join(spelling.lower().split())
    return joined.replace("\u03bc", "µ").replace("²", "2").replace("º", "°").replace("″", '"')


def _help(text: str, unit: str) -> str:
    ways = " or ".join(dict.fromkeys((unit, show_unit(unit, "us")))) or "no unit"
    given = f"'{plain(text)}' is not a reading" if text.strip() else "nothing is entered"
    return f"{given}: write a number, a range (20..22) or a tolerance (21 ± 0.5), in {ways}."


def show_unit(unit: str, system: str) -> str:
    """Name the unit for a reader of `metric` or `us`."""
    return _US[unit][0] if system == "us" and unit in _US else unit


def convert(value: Quantity, unit: str, system: str) -> Quantity:
    """Give the same quantity in the unit that a reader of `metric` or `us` expects."""
    if system != "us" or unit not in _US:
        return value
    factor, offset = SPELLINGS[unit][_US[unit][1]]
    return Quantity((value.low - offset) / factor, (value.high - offset) / factor)


def show(value: Quantity, unit: str, system: str) -> str:
    """Write a quantity as text: `12 °C`, `20 to 22 °C`, three significant digits."""
    shown = convert(value, unit, system)
    low, high = _digits(shown.low), _digits(shown.high)
    name = show_unit(unit, system)
    number = low if low == high else f"{low} to {high}"
    return f"{number} {name}".rstrip()


def _digits(value: float) -> str:
    """Three significant digits, all digits before the point."""
    if value == 0:
        return "0"
    places = max(0, 2 - math.floor(math.log10(abs(value))))
    text = f"{value:.{min(places, 6)}f}"
    shown = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if shown == "-0" else shown
