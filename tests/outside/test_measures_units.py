"""Every factor of the unit table against pint."""

import pytest

from diagnose.measures.units import SPELLINGS

# Spellings that pint writes otherwise, and units that it does not know.
PINT_NAMES = {
    "°c": "degC", "c": "degC", "degc": "degC", "°f": "degF", "f": "degF", "degf": "degF",
    "k": "kelvin", "°": "degree", "deg": "degree", "%": "percent", "%rh": "percent", '"': "inch", "'": "foot",
    "in": "inch", "mil": "thou", "um": "micrometer", "µm": "micrometer", "min": "minute",
    "mo": "month", "months": "month", "y": "year", "kpa": "kPa", "mpa": "MPa", "gpa": "GPa",
    "pa": "Pa", "n/25mm": "newton/(25*mm)", "n/cm": "newton/cm", "n/m": "newton/m",
    "n/mm": "newton/mm", "gf/25mm": "gram_force/(25*mm)", "lbf/in": "lbf/inch",
    "lb/in": "lbf/inch", "pli": "lbf/inch", "ozf/in": "ounce_force/inch",
    "oz/in": "ounce_force/inch", "mn/m": "mN/m", "dyn/cm": "dyne/cm", "dyne": "dyne/cm",
    "dynes": "dyne/cm", "mj/m2": "mJ/m**2", "l/min": "liter/minute", "lpm": "liter/minute",
    "gal/min": "gallon/minute", "gpm": "gallon/minute", "dm2": "dm**2", "cm2": "cm**2",
    "m2": "m**2", "mm2": "mm**2", "in2": "inch**2", "ft2": "foot**2", "perdm2": "1/dm**2",
    "/dm2": "1/dm**2", "perin2": "1/inch**2", "x": "dimensionless", "w/m2k": "W/m**2/K",
    "kj/m2k": "kJ/m**2/K", "g/m2aday": "g/m**2/day", "g/m2/day": "g/m**2/day", "g/m2/d": "g/m**2/day",
    "ppm/k": "ppm/K",
}  # fmt: skip
OWN_UNITS = {
    "": "dimensionless", "°C": "degC", "K": "delta_degC", "°": "degree", "%": "percent",
    "% RH": "percent", "µm": "micrometer", "min": "minute", "N/25 mm": "newton/(25*mm)", "dm²": "dm**2",
    "per dm²": "1/dm**2", "W/m²K": "W/m**2/K", "kJ/m²K": "kJ/m**2/K", "g/m² a day": "g/m**2/day", "h": "hour",
    "days": "day", "months": "month", "l/min": "liter/minute", "ppm/K": "ppm/K",
}  # fmt: skip
ROWS = [
    (unit, spelling)
    for unit, spellings in SPELLINGS.items()
    for spelling in spellings
    if unit != "GU"
]


@pytest.mark.parametrize(("unit", "spelling"), ROWS)
def test_every_spelling_converts_as_pint_does(unit: str, spelling: str) -> None:
    """Factor and offset of each row agree with a units library to nine digits."""
    pint = pytest.importorskip("pint")
    registry = pint.application_registry
    typed, own = PINT_NAMES.get(spelling, spelling), OWN_UNITS.get(unit, unit)
    factor, offset = SPELLINGS[unit][spelling]

    for value in (-40.0, 0.0, 12.5):
        if unit == "°C":
            expected = registry.Quantity(value, typed).to(own).magnitude
        else:
            # a difference of temperatures has no zero point
            typed = {"degC": "delta_degC", "degF": "delta_degF"}.get(typed, typed)
            expected = value * (registry(typed) / registry(own)).to("dimensionless").magnitude

        assert value * factor + offset == pytest.approx(expected, rel=1e-9, abs=1e-9)
