"""Heat: true temperature behind an infrared reading, and whether post-heat was reached."""

import math
from dataclasses import replace

from diagnose.measures.model import (
    Bands,
    CannotSay,
    Given,
    Input,
    Maturity,
    Measure,
    ResultWords,
    refuse_outside,
)
from diagnose.measures.quantity import Quantity, between, exact

__all__ = [
    "MEASURES",
    "band_signal",
    "band_temperature_c",
    "emissivity_from_tape",
    "post_heat_margin_k",
    "post_heat_reached",
    "true_temp_c",
]

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
SETTING = Input(
    "gun_setting",
    "",
    0.1,
    1,
    "emissivity that the thermometer is set to",
    checks=("gun_setting",),
)
SURROUNDINGS = Input(
    "surroundings_c", "°C", -20, 80, "temperature of what the surface mirrors, as a rule the bay"
)
REQUIRED = Input(
    "required_c",
    "°C",
    40,
    150,
    "post-heat temperature of the film's bulletin",
    checks=("post_heat_required_c",),
)
# Emissivity in the 8 to 14 µm band by finish: vinyl from tables; flakes under a clear layer and
# bare metal layers from memory, so wide that a reading on them seldom settles anything.
_VINYL = Quantity(0.92, 0.95)
_FINISHES = {
    "gloss": _VINYL,
    "satin": _VINYL,
    "matte": _VINYL,
    "print_with_gloss_laminate": _VINYL,
    "print_with_matte_laminate": _VINYL,
    "print_without_laminate": _VINYL,
    "metallic_or_pearl": Quantity(0.85, 0.95),
    "brushed_or_textured": Quantity(0.85, 0.95),
    "chrome": Quantity(0.05, 0.9),
}
FINISH = Input(
    "film_finish", "", 0, 0, "finish of the film", words=tuple(_FINISHES), checks=("film_finish",)
)
ON_FILM = Input(
    "film_reading_c",
    "°C",
    -20,
    200,
    "what the thermometer shows on the bare film",
    checks=("film_reading_c",),
)
ON_TAPE = Input(
    "tape_reading_c",
    "°C",
    -20,
    200,
    "what it shows on matt tape beside it, as warm",
    checks=("tape_reading_c",),
)
TAPE = Input("tape_emissivity", "", 0.8, 1, "emissivity of the tape", natural=True)

_SECOND_RADIATION_UM_K = 14387.769
_A_UM, _B_UM_K = 9.33435, 179.0007
_LEAST_EMISSIVITY = 0.3
_OVER_THE_ROOM_K = 15
# A tolerance of the readings may carry a dull film a little over 1.
_HIGHEST_FOUND = 1.15


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


def post_heat_margin_k(
    reading_c: float,
    emissivity: float,
    gun_setting: float,
    surroundings_c: float,
    required_c: float,
) -> float:
    """True temperature of the film over the post-heat temperature of its bulletin, in K.

    As `true_temp_c` and `post_heat_reached`. Raises OutOfRange, CannotSay.
    """
    refuse_outside((REQUIRED, required_c))
    return true_temp_c(reading_c, emissivity, gun_setting, surroundings_c) - required_c


def emissivity_from_tape(
    film_reading_c: float,
    tape_reading_c: float,
    gun_setting: float,
    tape_emissivity: float,
    surroundings_c: float,
) -> float:
    """Emissivity of a film from readings on it and on matt tape beside it, 0 to 1.

    ε = ε_set·(S(T_film) − S(T_surroundings)) / (S(T) − S(T_surroundings)), S the band signal and T
    the true temperature behind the tape. Both as warm, the tape 15 K over the room. Readings to 1 K
    at 50 °C make ±0.05. Raises OutOfRange, and CannotSay where the tape is too near the room or
    the film mirrors something warmer than the room.
    """
    refuse_outside(
        (ON_FILM, film_reading_c),
        (ON_TAPE, tape_reading_c),
        (SETTING, gun_setting),
        (TAPE, tape_emissivity),
        (SURROUNDINGS, surroundings_c),
    )
    true = true_temp_c(tape_reading_c, tape_emissivity, gun_setting, surroundings_c)
    if true < surroundings_c + _OVER_THE_ROOM_K:
        raise CannotSay(
            "the tape is hardly warmer than the room, and then everything reads alike: warm film "
            "and tape to about 50 °C (122 °F) and read again."
        )
    room = band_signal(surroundings_c)
    found = gun_setting * (band_signal(film_reading_c) - room) / (band_signal(true) - room)
    if not 0 <= found <= _HIGHEST_FOUND:
        raise CannotSay(
            "no film sends out so much or so little: keep lamps and heaters out of its mirror, "
            "warm film and tape alike and read again."
        )
    return min(found, 1.0)


def _emissivity(given: Given) -> Given:
    rest = {name: value for name, value in given.items() if name != "film_finish"}
    return {"emissivity": _FINISHES[str(given["film_finish"])], **rest}


def _says_true(value: object) -> str:
    return "Compare this, not the display, with the bulletin's temperature."


_POST_HEAT = ResultWords(
    (
        (
            "not_reached",
            "This edge was not set: it keeps its memory and creeps back. Heat it again "
            "within the bulletin's limits.",
        ),
        ("reached", "This edge reached its post-heat temperature."),
    )
)
_MARGIN = Bands(
    (
        (0.0, "Not set: the film never reached its bulletin's temperature and keeps its memory."),
        (25.0, "Set: the film reached its bulletin's temperature."),
    ),
    "Far over the bulletin's temperature: film this hot melts its texture, thins and shrinks.",
)
_SHINE = Bands(
    (
        (0.3, "A mirror to the thermometer: it shows the room. Measure on matt tape only."),
        (
            0.85,
            "Reads too cold at the usual setting: measure on matt tape, or set the gun to this.",
        ),
    ),
    "Reads true at the usual setting of 0.95 within a few degrees.",
)
_CAUTION = (
    "Hot film and metal burn skin. Keep heat off airbag covers, seals, lamps, sensors, fuel and "
    "high-voltage parts as their makers say; no solvent vapour near a heat gun."
)
_GUN = (
    READING.rises(),
    EMISSIVITY.defaulting(_VINYL),
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
    Measure(
        id="post_heat_margin_k",
        name="True post-heat over what the bulletin asks",
        function=post_heat_margin_k,
        inputs=(
            READING.rises(),
            # a gun that nobody looked at may still be set for some other surface
            SETTING.defaulting(between(0.7, 1)),
            SURROUNDINGS.defaulting(between(18, 25)),
            REQUIRED.falls().defaulting(between(90, 95)),
            FINISH,
            replace(EMISSIVITY, optional=True),
        ),
        unit="K",
        says=_MARGIN,
        error_bound="as the true temperature",
        source="the film's bulletin; 90 to 95 °C as met in trade texts; emissivity by finish",
        maturity=Maturity.SOURCED,
        expand=_emissivity,
        caution=_CAUTION,
        example=(
            ("reading_c", "62"),
            ("film_finish", "chrome"),
            ("emissivity", "0.5"),
            ("gun_setting", "0.95"),
            ("required_c", "90"),
        ),
        example_result=0.63,
    ),
    Measure(
        id="emissivity_from_tape",
        name="Emissivity of a film from tape beside it",
        function=emissivity_from_tape,
        inputs=(
            ON_FILM.rises(),
            ON_TAPE.falls(),
            SETTING.defaulting(exact(0.95)),
            TAPE.defaulting(exact(0.95)),
            SURROUNDINGS.defaulting(between(18, 25)),
        ),
        unit="",
        says=_SHINE,
        error_bound="0.05 for readings to 1 K at 50 °C",
        source="measurement equation of radiation thermometry; tape as reference, common practice",
        maturity=Maturity.SOURCED,
        caution=_CAUTION,
        example=(
            ("film_reading_c", "36"),
            ("tape_reading_c", "52"),
            ("surroundings_c", "20"),
        ),
        example_result=0.443,
    ),
)
