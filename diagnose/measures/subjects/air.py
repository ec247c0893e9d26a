"""Air and surface: dew point, its margin, the film's temperature window, warming up."""

import math

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
    "dew_point_c",
    "dew_point_margin_c",
    "film_window",
    "lumped_time",
    "panel_after_wait_c",
    "vapour_kpa",
    "warming_minutes",
]

AIR = Input(
    "air_temp_c",
    "°C",
    -20,
    50,
    "air temperature where the film is laid",
    checks=("install_air_temp_c", "air_temp_c"),
)
HUMIDITY = Input(
    "humidity_percent",
    "%",
    1,
    100,
    "relative humidity of that air",
    checks=("install_rh_percent", "humidity_percent"),
    natural=True,
)
PANEL = Input(
    "panel_temp_c",
    "°C",
    -20,
    60,
    "temperature of the panel's surface, by contact probe",
    checks=("install_panel_temp_c", "panel_temp_c"),
)
LOW_LIMIT = Input("low_limit_c", "°C", -10, 30, "coldest panel that the film's bulletin allows")
HIGH_LIMIT = Input("high_limit_c", "°C", 20, 60, "warmest panel that the film's bulletin allows")
# The coefficients below 0 °C were fitted down to here.
LOWEST_DEW_POINT_C = -40

START = Input("start_c", "°C", -20, 50, "temperature of the panel when it came in from the wash")
TARGET = Input("target_c", "°C", -20, 50, "temperature that the panel has to reach")
THICKNESS = Input("thickness_mm", "mm", 0.3, 10, "thickness of the panel")
EXCHANGE = Input(
    "exchange_w_m2k",
    "W/m²K",
    2,
    50,
    "heat exchange with the air and the room: still bay 7 to 12, fan 15 to 30",
)

# Density kg/m3, specific heat J/(kg K), conductivity W/(m K): textbook values at room temperature.
_PROPERTIES = {
    "steel": (7850.0, 460.0, 50.0),
    "aluminium": (2700.0, 900.0, 160.0),
    "carbon_composite": (1550.0, 900.0, 0.7),
    "abs": (1050.0, 1400.0, 0.18),
    "pp": (920.0, 1800.0, 0.2),
    "pc": (1200.0, 1200.0, 0.2),
    "glass": (2500.0, 800.0, 1.0),
}
MATERIAL = Input("material", "", 0, 0, "what the panel is made of", words=tuple(_PROPERTIES))
CAME_IN = Input(
    "came_in_c",
    "°C",
    -20,
    50,
    "temperature of the car when it came in, or of the wash water where that was colder",
    checks=("came_in_c",),
)
WAITED = Input(
    "bay_minutes",
    "min",
    0,
    6000,
    "minutes in the bay before the film was laid",
    checks=("bay_minutes",),
)
# Heat that a square metre of skin stores, kJ/(m2 K): usual thickness by density and specific heat.
_SKINS = {
    "painted_steel": Quantity(2.5, 3.3),
    "painted_aluminium": Quantity(2.4, 3.0),
    "painted_plastic": Quantity(3.5, 6.0),
    "unpainted_textured_plastic": Quantity(3.5, 6.0),
    "unpainted_smooth_plastic": Quantity(3.5, 6.0),
    "bare_metal": Quantity(2.4, 3.3),
    "glass": Quantity(6.0, 10.0),
    "composite_gelcoat": Quantity(3.5, 8.0),
}
STORED = Input("stored_kj_m2k", "kJ/m²K", 1, 20, "heat that the skin stores", optional=True)
SKIN = Input("substrate", "", 0, 0, "what the panel is", words=tuple(_SKINS), checks=("substrate",))
BEHIND = Input(
    "skins",
    "",
    1,
    4,
    "how many such skins warm together: 1 alone, 3 with what lies behind and water",
)
SIDES = Input("sides", "", 0, 0, "how many sides the air reaches", words=("one", "both"))


def dew_point_c(air_temp_c: float, humidity_percent: float) -> float:
    """Dew point of air in °C over liquid water.

    Td = c·g / (b − g), g = ln(RH/100) + b·T/(c + T), with b 17.368 and c 238.88 °C from 0 °C up,
    17.966 and 247.15 °C below, each for T and for Td. T −20 to 50 °C, RH 1 to 100 %. Within
    0.02 °C of the ASHRAE equations where Td ≥ 0, and of the long equation over water below; the
    frost point lies a tenth of Td higher. Raises OutOfRange, CannotSay for a dew point under
    −40 °C, beyond the fit. Source: Buck, J. Appl. Meteorol. 20 (1981) 1527-1532, coefficients
    from memory and held against those equations.
    """
    refuse_outside((AIR, air_temp_c), (HUMIDITY, humidity_percent))
    b, c = _buck(air_temp_c)
    g = math.log(humidity_percent / 100) + b * air_temp_c / (c + air_temp_c)
    b, c = _buck(g)
    dew_point = c * g / (b - g)
    if dew_point < LOWEST_DEW_POINT_C:
        raise CannotSay("air this dry has no dew point worth knowing: read the humidity again.")
    return dew_point


def _buck(sign: float) -> tuple[float, float]:
    """Give the pair for temperatures of this sign; both branches meet at 0 °C."""
    return (17.368, 238.88) if sign >= 0 else (17.966, 247.15)


def dew_point_margin_c(air_temp_c: float, humidity_percent: float, panel_temp_c: float) -> float:
    """Panel temperature minus dew point, in kelvin.

    Panel −20 to 60 °C, air as for the dew point. ±0.5 °C and ±3 % RH make about ±1 K. Raises
    OutOfRange, CannotSay. The 3 K margin is painting practice after ISO 8502-4; for film it is an
    analogy.
    """
    refuse_outside((PANEL, panel_temp_c))
    return panel_temp_c - dew_point_c(air_temp_c, humidity_percent)


def film_window(panel_temp_c: float, low_limit_c: float, high_limit_c: float) -> str:
    """Where the panel lies against the film's laying window: `below`, `inside` or `above`.

    Limits in °C belong to the window. Raises OutOfRange for an input out of range, CannotSay for
    swapped limits. The window is the film maker's; 15 to 30 °C stands in, common practice.
    """
    refuse_outside((PANEL, panel_temp_c), (LOW_LIMIT, low_limit_c), (HIGH_LIMIT, high_limit_c))
    if low_limit_c > high_limit_c:
        raise CannotSay("low_limit_c lies above high_limit_c: read the bulletin's window again.")
    if panel_temp_c < low_limit_c:
        return "below"
    return "above" if panel_temp_c > high_limit_c else "inside"


def lumped_time(time_constant: float, start_c: float, air_c: float, target_c: float) -> float:
    """Time for a body of one temperature to get from start to target, in the constant's unit.

    t = τ · ln((T_air − T_start) / (T_air − T_target)); 0 where it is there already.
    Raises CannotSay where the air is no warmer than the target. Newton's law of cooling.
    """
    if start_c >= target_c:
        return 0.0
    if air_c <= target_c:
        raise CannotSay(
            "the air is no warmer than the target, so the panel never gets there: warm the bay."
        )
    return time_constant * math.log((air_c - start_c) / (air_c - target_c))


def vapour_kpa(temperature_c: float) -> float:
    """Vapour pressure of water in kPa, −40 to 100 °C. Source: Buck (1981), as `dew_point_c`."""
    b, c = _buck(temperature_c)
    return 0.61121 * math.exp(b * temperature_c / (c + temperature_c))


def panel_after_wait_c(
    came_in_c: float,
    air_temp_c: float,
    bay_minutes: float,
    stored_kj_m2k: float,
    skins: float,
    exchange_w_m2k: float,
) -> float:
    """Temperature in °C of a panel that came in cold or hot, after a wait in the bay.

    T_air + (T_in − T_air)·exp(−t/τ), τ = n·q/h with the heat q that a skin stores and n skins that
    warm together. One temperature through the panel, air that stays as it is. A car's frames and
    the water on it slow it, which n from 1 to 3 stands for. Raises OutOfRange. Newton's law of
    cooling; stored heat from textbook values.
    """
    refuse_outside(
        (CAME_IN, came_in_c),
        (AIR, air_temp_c),
        (WAITED, bay_minutes),
        (STORED, stored_kj_m2k),
        (BEHIND, skins),
        (EXCHANGE, exchange_w_m2k),
    )
    minutes = skins * stored_kj_m2k * 1000 / exchange_w_m2k / 60
    return air_temp_c + (came_in_c - air_temp_c) * math.exp(-bay_minutes / minutes)


def _skin(given: Given) -> Given:
    rest = {name: value for name, value in given.items() if name != "substrate"}
    return {"stored_kj_m2k": _SKINS[str(given["substrate"])], **rest}


def warming_minutes(
    material: str,
    thickness_mm: float,
    start_c: float,
    target_c: float,
    air_temp_c: float,
    exchange_w_m2k: float,
    sides: str,
) -> float:
    """Minutes until a dry panel that was washed cold has warmed to a target.

    Lumped capacity: τ = ρ·c·d / (n·h), d the thickness in m, n the sides that the air reaches.
    Assumes a dry panel of one temperature through its thickness and air that stays warm; drying
    water and frames behind make it slower. Raises CannotSay for a Biot number h·d/(n·k) over 0.2
    or air no warmer than the target, OutOfRange outside the inputs' ranges. Good to about 30 %,
    mostly for the exchange. Source: lumped-capacity method of heat transfer textbooks.
    """
    refuse_outside(
        (MATERIAL, material),
        (THICKNESS, thickness_mm),
        (START, start_c),
        (TARGET, target_c),
        (AIR, air_temp_c),
        (EXCHANGE, exchange_w_m2k),
        (SIDES, sides),
    )
    density, heat, conductivity = _PROPERTIES[material]
    depth = thickness_mm / 1000 / (2 if sides == "both" else 1)
    if exchange_w_m2k * depth / conductivity > 0.2:
        raise CannotSay("the panel is too thick to have one temperature: use a contact probe.")
    seconds = density * heat * depth / exchange_w_m2k
    return lumped_time(seconds, start_c, air_temp_c, target_c) / 60


_DEW = Bands(
    (
        (0.0, "The panel is colder than the dew point: it is wet, and film laid on it will lift."),
        (3.0, "Too near the dew point: less than the usual 3 °C (5 °F). Warm it."),
        (5.0, "Enough margin if the probe is good; the readings' errors eat about 1 K of it."),
    ),
    "Dry: no dew on this panel with normal reading errors.",
)
_LAYING = Bands(
    (
        (10.0, "Colder than most film may be laid on."),
        (15.0, "Colder than the trade likes to lay."),
        (30.0, "In the range in which film is laid."),
    ),
    "Warmer than film should be laid on.",
)
_WINDOW = ResultWords(
    (
        ("below", "Too cold for this film: the adhesive wets slowly and channels stay open."),
        ("inside", "Inside the film's laying window."),
        ("above", "Too warm for this film: it grabs early, stretches unseen and marks easily."),
    )
)

MEASURES = (
    Measure(
        id="dew_point_c",
        name="Dew point of the air",
        function=dew_point_c,
        inputs=(AIR.rises(), HUMIDITY.rises()),
        unit="°C",
        says=lambda value: "A panel at this temperature or colder is wet, seen or not.",
        error_bound="0.02 °C by the formula; readings of ±3 % RH matter far more",
        source="Buck 1981, coefficients from memory, held against the ASHRAE equations",
        maturity=Maturity.CHECKED,
        example=(("air_temp_c", "20"), ("humidity_percent", "60")),
        example_result=12.000,
    ),
    Measure(
        id="dew_point_margin_c",
        name="Margin of the panel over the dew point",
        function=dew_point_margin_c,
        inputs=(AIR.falls(), HUMIDITY.falls(), PANEL.rises()),
        unit="K",
        says=_DEW,
        error_bound="0.02 K by the formula, about 1 K by usual readings",
        source="Buck 1981; 3 K margin as coating practice quotes ISO 8502-4",
        maturity=Maturity.CHECKED,
        example=(("air_temp_c", "24"), ("humidity_percent", "60"), ("panel_temp_c", "18")),
        example_result=2.24,
    ),
    Measure(
        id="film_window",
        name="Panel against the film's temperature window",
        function=film_window,
        inputs=(
            PANEL.rises(),
            LOW_LIMIT.falls().defaulting(exact(15)),
            HIGH_LIMIT.falls().defaulting(exact(30)),
        ),
        unit="",
        says=_WINDOW,
        words=_WINDOW.order,
        error_bound="none of its own; the probe's",
        source="the film's bulletin; the stand-in of 15 to 30 °C is common practice, no source",
        maturity=Maturity.COMMON_PRACTICE,
        example=(("panel_temp_c", "12 ± 1"),),
        example_result="below",
    ),
    Measure(
        id="warming_minutes",
        name="Time for a cold panel to warm up",
        function=warming_minutes,
        inputs=(
            MATERIAL,
            THICKNESS.rises().defaulting(exact(0.8)),
            START.falls(),
            TARGET.rises(),
            AIR.falls(),
            EXCHANGE.falls().defaulting(between(7, 12)),
            SIDES.defaulting("one"),
        ),
        unit="min",
        says=lambda value: (
            "At least this long after the last water is off; a wet panel stays cold. Probe it "
            "before laying film."
        ),
        error_bound="about 30 %, mostly for the heat exchange",
        source="lumped-capacity method, heat transfer textbooks; properties from memory",
        maturity=Maturity.CHECKED,
        caution=(
            "Warm the bay, not the panel with a flame or lamp; no heater where solvent vapour can "
            "gather."
        ),
        example=(
            ("material", "steel"),
            ("start_c", "8"),
            ("target_c", "18"),
            ("air_temp_c", "21"),
            ("exchange_w_m2k", "10"),
        ),
        example_result=7.06,
    ),
    Measure(
        id="panel_after_wait_c",
        name="Panel temperature after a wait in the bay",
        function=panel_after_wait_c,
        inputs=(
            CAME_IN.rises(),
            AIR.rises(),
            WAITED,
            SKIN.defaulting("painted_steel"),
            BEHIND.defaulting(between(1, 3)),
            EXCHANGE.defaulting(between(7, 12)),
            STORED,
        ),
        unit="°C",
        says=_LAYING,
        error_bound="as wide as the range: what lies behind a skin is not known",
        source="Newton's law of cooling, heat transfer textbooks; stored heat from memory",
        maturity=Maturity.SOURCED,
        expand=_skin,
        example=(
            ("came_in_c", "-5"),
            ("air_temp_c", "20"),
            ("bay_minutes", "10"),
            ("stored_kj_m2k", "3"),
            ("skins", "2"),
            ("exchange_w_m2k", "10"),
        ),
        example_result=10.80,
    ),
)
