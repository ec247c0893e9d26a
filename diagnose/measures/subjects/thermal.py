"""Heat movement: how far film and panel, or two parts, move against each other."""

from diagnose.measures.model import Bands, Given, Input, Maturity, Measure, refuse_outside
from diagnose.measures.quantity import Quantity, exact

__all__ = ["EXPANSION", "MEASURES", "thermal_movement_mm"]

# Linear expansion in 1e-6 per kelvin at room temperature: the span met in published tables, for
# film and bumper plastics the part of it that mixtures in use have. Fillers and plasticiser decide.
EXPANSION = {
    "pvc_film": Quantity(50, 100),
    "steel": Quantity(11, 13),
    "stainless_steel": Quantity(16, 17.5),
    "aluminium": Quantity(21, 24),
    "carbon_composite": Quantity(-1, 5),
    "glass_composite": Quantity(6.6, 30),
    "abs": Quantity(70, 110),
    "abs_pc": Quantity(40, 50),
    "pp": Quantity(60, 110),
    "pc": Quantity(65, 70),
    "acrylic": Quantity(60, 90),
    "glass": Quantity(8, 9),
}
FIRST = Input("first", "", 0, 0, "the part that is looked at", words=tuple(EXPANSION))
SECOND = Input("second", "", 0, 0, "what it lies on or beside", words=tuple(EXPANSION))
LENGTH = Input("length_mm", "mm", 1, 8000, "length over which both are held together")
SWING = Input("swing_k", "K", -120, 120, "change of temperature, warming counted up")
FIRST_RATE = Input(
    "first_per_k", "ppm/K", -5, 250, "expansion of the first by its data sheet", optional=True
)
SECOND_RATE = Input(
    "second_per_k", "ppm/K", -5, 250, "expansion of the second by its data sheet", optional=True
)


def thermal_movement_mm(
    first_per_k: float, second_per_k: float, length_mm: float, swing_k: float
) -> float:
    """How much more the first grows than the second, in mm: (α1 − α2)·L·ΔT.

    α in 1e-6/K from −5 to 250, L 1 to 8000 mm, ΔT −120 to 120 K. Free movement: what is bonded
    over its whole length carries it as strain instead. As good as α, for plastics ±30 %.
    Raises OutOfRange. Linear expansion; coefficients from Callister & Rethwisch table B.6 and
    plastics tables.
    """
    refuse_outside(
        (FIRST_RATE, first_per_k),
        (SECOND_RATE, second_per_k),
        (LENGTH, length_mm),
        (SWING, swing_k),
    )
    return (first_per_k - second_per_k) * 1e-6 * length_mm * swing_k


def _rates(given: Given) -> Given:
    """Give both rates; the same part twice does not move against itself, whatever its rate."""
    first, second = EXPANSION[str(given["first"])], EXPANSION[str(given["second"])]
    if given["first"] == given["second"]:
        first = second = exact(first.middle)
    return {
        "first_per_k": given.get("first_per_k", first),
        "second_per_k": given.get("second_per_k", second),
        "length_mm": given["length_mm"],
        "swing_k": given["swing_k"],
    }


_MOVEMENT = Bands(
    (
        (-1.0, "The ground grows by over 1 mm (0.04 in) more: seams and bridged gaps open on it."),
        (-0.3, "The ground grows a little more; a well-laid edge stands it."),
        (0.3, "Hardly any movement: heat does not explain this."),
        (1.0, "The first part grows a little more; a well-laid edge stands it."),
    ),
    "The first part grows by over 1 mm (0.04 in) more: butt seams and film over gaps wrinkle or "
    "tear; a well-laid edge still rarely lifts by this alone.",
)

MEASURES = (
    Measure(
        id="thermal_movement_mm",
        name="Movement of film against panel, or part against part, with heat",
        function=thermal_movement_mm,
        inputs=(
            FIRST.defaulting("pvc_film"),
            SECOND,
            LENGTH,
            SWING,
            FIRST_RATE,
            SECOND_RATE,
        ),
        unit="mm",
        says=_MOVEMENT,
        error_bound="as good as the coefficients: metals 10 %, plastics 30 % and more",
        source="linear expansion; Callister & Rethwisch table B.6 and plastics tables",
        maturity=Maturity.CHECKED,
        expand=_rates,
        example=(
            ("first", "aluminium"),
            ("second", "steel"),
            ("length_mm", "1500"),
            ("swing_k", "60"),
        ),
        example_result=0.945,
    ),
)
