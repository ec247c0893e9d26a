"""Pockets under film: air that warms, water that dries out."""

from diagnose.measures.model import Bands, Given, Input, Maturity, Measure, refuse_outside
from diagnose.measures.quantity import Quantity, exact

__all__ = ["MEASURES", "dry_out_days", "gas_growth"]

FROM = Input("from_c", "°C", -30, 100, "temperature of the bubble first")
TO = Input("to_c", "°C", -30, 100, "temperature of the bubble then")
WATER = Input("water_mm", "mm", 0.005, 5, "depth of the water, shared over the pocket")
RATE = Input(
    "rate_g_m2_day",
    "g/m² a day",
    0.5,
    500,
    "water vapour that passes the film at 23 °C",
    optional=True,
)
WARM = Input("film_temp_c", "°C", 0, 60, "usual temperature of the film while it dries")

# Water vapour transmission at 23 °C, g/m2 a day, from memory; the film's data sheet goes first.
_RATES = {"pvc_80_to_100_um": Quantity(5, 10), "clear_polyurethane_150_to_200_um": Quantity(30, 60)}
FILM = Input("film", "", 0, 0, "film over the pocket", words=tuple(_RATES))


def gas_growth(from_c: float, to_c: float) -> float:
    """Growth of a closed air bubble with heat, volume over volume: T2/T1 in kelvin.

    −30 to 100 °C, constant pressure: film that holds back makes it less. More, or growth that
    stays after cooling, means that gas is made. Raises OutOfRange. Gay-Lussac's law.
    """
    refuse_outside((FROM, from_c), (TO, to_c))
    return (to_c + 273.15) / (from_c + 273.15)


def dry_out_days(water_mm: float, rate_g_m2_day: float, film_temp_c: float) -> float:
    """Days for a closed water pocket to dry through the film: 1000·w / (r·2^((T − 23)/10)).

    w in mm (1 mm is 1000 g/m²), r in g/m² a day at 23 °C, T 0 to 60 °C. A factor of two; rates
    and their doubling per 10 K from memory. Raises OutOfRange.
    """
    refuse_outside((WATER, water_mm), (RATE, rate_g_m2_day), (WARM, film_temp_c))
    return 1000 * water_mm / (rate_g_m2_day * 2 ** ((film_temp_c - 23) / 10))


def _rate(given: Given) -> Given:
    rest = {name: value for name, value in given.items() if name != "film"}
    return {"rate_g_m2_day": _RATES[str(given["film"])], **rest}


_DAYS = Bands(
    (
        (7.0, "Dries by itself within a week: wait, keep it warm, do not prick."),
        (60.0, "Dries by itself in weeks; say so to the owner and look again."),
    ),
    "Too much water to wait for: open it and press it out.",
)

MEASURES = (
    Measure(
        id="gas_growth",
        name="Growth of a closed bubble with heat",
        function=gas_growth,
        inputs=(FROM.falls(), TO.rises()),
        unit="",
        says=lambda value: (
            "Air alone grows no more than this and goes back on cooling; more means that gas is "
            "being made under the film."
        ),
        error_bound="an upper bound; exact for a slack film",
        source="Gay-Lussac's law",
        maturity=Maturity.CHECKED,
        example=(("from_c", "22"), ("to_c", "80")),
        example_result=1.1965,
    ),
    Measure(
        id="dry_out_days",
        name="Days for a water pocket to dry out",
        function=dry_out_days,
        inputs=(
            WATER.rises(),
            FILM.defaulting("pvc_80_to_100_um"),
            WARM.falls().defaulting(exact(23)),
            RATE.falls(),
        ),
        unit="days",
        says=_DAYS,
        error_bound="a factor of two",
        source="vapour transmission from memory; days to weeks as workshops publish it",
        maturity=Maturity.SOURCED,
        expand=_rate,
        example=(("water_mm", "0.1"), ("film", "clear_polyurethane_150_to_200_um")),
        example_result=2.5,
    ),
)
