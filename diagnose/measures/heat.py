"""Heat: true temperature behind an infrared reading, and whether post-heat was reached."""

import math

from diagnose.measures.model import (
    CannotSay,
    Input,
    Maturity,
    Measure,
    Words,
    refuse_outside,
)
from diagnose.measures.quantity import between, exact

__all__ = ["MEASURES", "band_signal", "band_temperature_c", "post_heat_reached", "true_temp_c"]

READING = Input(
    "reading_c",
    "°C",
    -20,
    250,
    "what the infrared thermometer shows",
    checks=("post_heat_c", "panel_temp_c"),
)
EMISSIVITY = Input(
    "emissivity",
    "",
    0.02,
    1,
    "emissivity of the surface: plain film and paint 0.92 to 0.95",
    natural=True,
)
SETTING = Input("gun_setting", "", 0.1, 1, "emissivity that the thermometer is set to")
SURROUNDINGS = Input(
    "surroundings_c", "°C", -20, 80, "temperature of what the surface mirrors, as a rule the bay"
)
REQUIRED = Input("required_c", "°C", 40, 150, "post-heat temperature of the film's bulletin")

_SECOND_RADIATION_UM_K = 14387.769
_A_UM, _B_UM_K = 9.33435, 179.0007
_LEAST_EMISSIVITY = 0.3


def band_signal(temperature_c: float) -> float:
    """Signal of a black body in the 8 to 14 µm band, in units of the instrument.

    Sakuma-Hattori: 1/(exp(c2/(A·T + B)) − 1), T in kelvin, A 9.33435 µm, B 179.0007 µm·K fitted
    here to Planck's law from −20 to 200 °C; inverted within 0.003 K there, 0.02 K to 300 °C.
    """
    return 1 / math.expm1(_SECOND_RADIATION_UM_K / (_A_UM * (temperature_c + 273.15) + _B_UM_K))


def band_temperature_c(signal: float) -> float:
    """Black-body temperature in °C with a signal over 0: the inverse of `band_signal`."""
    kelvin = (_SECOND_RADIATION_UM_K / math.log1p(1 / signal) - _B_UM_K) / _A_UM
    return kelvin - 273.15


def true_temp_c(
    reading_c: float, emissivity: float, gun_setting: float, surroundings_c: float
) -> float:
    """Find the true temperature in °C behind the reading of an 8 to 14 µm thermometer.

    S(T) = (ε_set·S(T_read) + (ε − ε_set)·S(T_surroundings)) / ε with the band signal S, for a
    grey, opaque surface. The band law replaces T⁴, which is off by 3 K and more. Reading −20 to
    250 °C, ε 0.3 to 1, setting 0.1 to 1, surroundings −20 to 80 °C. 0.1 K by the formula;
    ε ± 0.02 at 90 °C makes ±1.5 K. Raises OutOfRange, and CannotSay for ε under 0.3, where one
    kelvin in the surroundings moves the answer by more than one, or where no temperature between
    −40 and 300 °C fits. Measurement equation of radiation thermometry.
    """
    refuse_outside(
        (READING, reading_c),
        (EMISSIVITY, emissivity),
        (SETTING, gun_setting),
        (SURROUNDINGS, surroundings_c),
    )
    if emissivity < _LEAST_EMISSIVITY:
        raise CannotSay(
            "an emissivity under 0.3 mirrors the room instead of showing its own heat: stick matt "
            "tape on the film, let it warm through and measure on the tape."
        )
    mirrored = (emissivity - gun_setting) * band_signal(surroundings_c)
    signal = (gun_setting * band_signal(reading_c) + mirrored) / emissivity
    if not band_signal(-40) <= signal <= band_signal(300):
        raise CannotSay(
            "no likely temperature fits this reading: check emissivity, setting and surroundings."
        )
    return band_temperature_c(signal)


def post_heat_reached(
    reading_c: float,
    emissivity: float,
    gun_setting: float,
    surroundings_c: float,
    required_c: float,
) -> str:
    """Whether an edge reached its post-heat temperature: `reached` or `not_reached`.

    As `true_temp_c`, required 40 to 150 °C by the film's bulletin; 90 to 95 °C are the values met
    where there is none. One edge at a time. Raises OutOfRange, CannotSay.
    """
    refuse_outside((REQUIRED, required_c))
    true = true_temp_c(reading_c, emissivity, gun_setting, surroundings_c)
    return "reached" if true >= required_c else "not_reached"


def _says_true(value: object) -> str:
    return "Compare this, not the display, with the bulletin's temperature."


_POST_HEAT = Words(
    (
        (
            "not_reached",
            "This edge was not set: it keeps its memory and creeps back. Heat it again "
            "within the bulletin's limits.",
        ),
        ("reached", "This edge reached its post-heat temperature."),
    )
)
_CAUTION = (
    "Hot film and metal burn skin. Keep heat off airbag covers, seals, lamps, sensors, fuel and "
    "high-voltage parts as their makers say; no solvent vapour near a heat gun."
)
_GUN = (
    READING.rises(),
    EMISSIVITY.defaulting(between(0.92, 0.95)),
    SETTING.defaulting(exact(0.95)),
    SURROUNDINGS.defaulting(between(18, 25)),
)

MEASURES = (
    Measure(
        id="true_temp_c",
        name="True temperature behind an infrared reading",
        function=true_temp_c,
        inputs=_GUN,
        unit="°C",
        says=_says_true,
        error_bound="0.1 K by the formula; emissivity ±0.02 makes ±1.5 K at 90 °C",
        source="measurement equation of radiation thermometry; Sakuma-Hattori band fit to Planck",
        maturity=Maturity.CHECKED,
        caution=_CAUTION,
        example=(
            ("reading_c", "62"),
            ("emissivity", "0.5"),
            ("gun_setting", "0.95"),
            ("surroundings_c", "20"),
        ),
        example_result=91.31,
    ),
    Measure(
        id="post_heat_reached",
        name="Post-heat reached at an edge",
        function=post_heat_reached,
        inputs=(*_GUN, REQUIRED.falls().defaulting(between(90, 95))),
        unit="",
        says=_POST_HEAT,
        words=_POST_HEAT.order,
        error_bound="as the true temperature",
        source="the film's bulletin; 90 to 95 °C as met in trade texts",
        maturity=Maturity.CHECKED,
        caution=_CAUTION,
        example=(("reading_c", "81"),),
        example_result="not_reached",
    ),
)
