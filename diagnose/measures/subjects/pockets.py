"""Pockets under film: air that warms, water that dries out."""

from diagnose.measures.model import (
    Bands,
    CannotSay,
    Given,
    Input,
    Maturity,
    Measure,
    refuse_outside,
)
from diagnose.measures.quantity import Quantity, between, exact
from diagnose.measures.subjects.air import vapour_kpa

__all__ = ["MEASURES", "dry_out_days", "gas_growth", "growth_vs_air", "pocket_age_vs_dry_out"]

FROM = Input("from_c", "°C", -30, 100, "temperature of the bubble first")
TO = Input("to_c", "°C", -30, 100, "temperature of the bubble then")
WATER = Input(
    "water_mm",
    "mm",
    0.005,
    5,
    "depth of the water, shared over the pocket",
    checks=("pocket_height_mm",),
)
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
# Vinyl of 80 to 100 µm passes 5 to 10, and half of that under a laminate as thick.
_VINYL = Quantity(2.5, 10)
_RATES = {
    "cast_pvc": _VINYL,
    "calendered_polymeric": _VINYL,
    "calendered_monomeric": _VINYL,
    "clear_protective_pu": Quantity(30, 60),
}
FILM = Input(
    "film_class", "", 0, 0, "film over the pocket", words=tuple(_RATES), checks=("film_class",)
)
AGE = Input("age_months", "months", 0, 240, "age of the wrap", checks=("age_months",))
_DAYS_A_MONTH = 365.25 / 12
COLD = Input("width_cold_mm", "mm", 1, 200, "width of the bubble cold", checks=("bump_size_mm",))
WARMED = Input("width_warm_mm", "mm", 1, 300, "width of the bubble warm", checks=("bump_warm_mm",))
MOIST = Input(
    "moistness", "", 0, 1, "how moist the air in it is: 0 dry, 1 over water", natural=True
)
SHAPE = Input("shape", "", 2, 3, "2 where it grows in width alone, 3 where its height grows alike")
_AIR_KPA = 101.3


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


def pocket_age_vs_dry_out(
    age_months: float, water_mm: float, rate_g_m2_day: float, film_temp_c: float
) -> float:
    """Age of a wrap over the days that a pocket of water under it takes to dry out, a ratio.

    Age 0 to 240 months, days as `dry_out_days`. Well over 1 the water of laying is long gone, and
    water that is still there came later. Raises OutOfRange.
    """
    refuse_outside((AGE, age_months))
    return age_months * _DAYS_A_MONTH / dry_out_days(water_mm, rate_g_m2_day, film_temp_c)


def growth_vs_air(
    width_cold_mm: float,
    width_warm_mm: float,
    from_c: float,
    to_c: float,
    moistness: float,
    shape: float,
) -> float:
    """Growth of a bubble with heat over what the air and moisture in it explain, a ratio.

    (d2/d1)^n / ((T2/T1)·(p − m·s(T1))/(p − m·s(T2))), T in kelvin, s the vapour pressure of water,
    m the moistness, p the pressure of the air, n 2 to 3. Bubble 1 to 200 mm; half a millimetre on
    10 is a tenth of the volume. Raises OutOfRange, CannotSay where it was not warmed or boils.
    Gay-Lussac's and Dalton's laws; vapour pressure after Buck (1981).
    """
    refuse_outside(
        (COLD, width_cold_mm),
        (WARMED, width_warm_mm),
        (FROM, from_c),
        (TO, to_c),
        (MOIST, moistness),
        (SHAPE, shape),
    )
    if to_c <= from_c:
        raise CannotSay("it was not warmed, so it cannot have grown with heat.")
    if moistness * vapour_kpa(to_c) >= _AIR_KPA:
        raise CannotSay("water boils there: warm the bubble less.")
    dry = [_AIR_KPA - moistness * vapour_kpa(each) for each in (from_c, to_c)]
    explained = gas_growth(from_c, to_c) * dry[0] / dry[1]
    return float((width_warm_mm / width_cold_mm) ** shape / explained)


def _rate(given: Given) -> Given:
    rest = {name: value for name, value in given.items() if name != "film_class"}
    return {"rate_g_m2_day": _RATES[str(given["film_class"])], **rest}


_DAYS = Bands(
    (
        (7.0, "Dries by itself within a week: wait, keep it warm, do not prick."),
        (60.0, "Dries by itself in weeks; say so to the owner and look again."),
    ),
    "Too much water to wait for: open it and press it out.",
)

_DRYING = Bands(
    ((1.0, "The water of laying may still be drying out: give it warmth and time."),),
    "The water of laying would be long gone: this pocket is fed, so look where water gets in.",
)
_GROWN = Bands(
    ((1.3, "Air and moisture in the bubble explain this growth."),),
    "More than air and moisture explain: gas comes out of what lies below.",
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
            FILM.defaulting("cast_pvc"),
            WARM.falls().defaulting(exact(23)),
            RATE.falls(),
        ),
        unit="days",
        says=_DAYS,
        error_bound="a factor of two",
        source="vapour transmission from memory; days to weeks as workshops publish it",
        maturity=Maturity.SOURCED,
        expand=_rate,
        example=(("water_mm", "0.1"), ("film_class", "clear_protective_pu")),
        example_result=2.5,
    ),
    Measure(
        id="pocket_age_vs_dry_out",
        name="Age of a wrap against the drying of a water pocket",
        function=pocket_age_vs_dry_out,
        inputs=(
            AGE.rises(),
            WATER.falls(),
            FILM,
            WARM.rises().defaulting(between(5, 30)),
            RATE.rises(),
        ),
        unit="",
        says=_DRYING,
        error_bound="a factor of two",
        source="vapour transmission from memory; days to weeks as workshops publish it",
        maturity=Maturity.SOURCED,
        expand=_rate,
        example=(
            ("age_months", "12"),
            ("water_mm", "0.3"),
            ("film_class", "cast_pvc"),
            ("rate_g_m2_day", "10"),
            ("film_temp_c", "23"),
        ),
        example_result=12.175,
    ),
    Measure(
        id="growth_vs_air",
        name="Growth of a bubble against what its air explains",
        function=growth_vs_air,
        inputs=(
            COLD.falls(),
            WARMED.rises(),
            FROM.rises().defaulting(between(10, 30)),
            TO.falls().defaulting(between(45, 55)),
            MOIST.falls().defaulting(between(0, 1)),
            SHAPE.defaulting(between(2, 3)),
        ),
        unit="",
        says=_GROWN,
        error_bound="half a millimetre on 10 is a tenth",
        source="Gay-Lussac's and Dalton's laws; vapour pressure of water after Buck 1981",
        maturity=Maturity.CHECKED,
        caution="Hot film and metal burn skin; no heat gun near fuel, solvent or an airbag.",
        example=(
            ("width_cold_mm", "20"),
            ("width_warm_mm", "26"),
            ("from_c", "20"),
            ("to_c", "50"),
            ("moistness", "0"),
            ("shape", "2"),
        ),
        example_result=1.533,
    ),
)
