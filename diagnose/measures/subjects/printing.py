"""Print and laminate: how long a print has to wait, and whether a repeat fits a machine."""

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
    Trend,
    refuse_outside,
)
from diagnose.measures.quantity import Quantity, between, exact

__all__ = [
    "MEASURES",
    "outgas_window_h",
    "pitch_matches_roller",
    "print_wait",
    "print_wait_share",
]

BASE = Input(
    "base_h",
    "h",
    0,
    96,
    "wait that the ink maker's sheet states at 20 °C, hung or loose",
    optional=True,
)
INK_LOAD = Input(
    "ink_load_percent",
    "%",
    0,
    400,
    "sum of the ink channels at the darkest place",
    checks=("ink_load_percent",),
)
AIR = Input(
    "air_temp_c",
    "°C",
    5,
    40,
    "air temperature where the print dries",
    checks=("drying_air_c",),
)
HUMIDITY = Input(
    "humidity_percent", "%", 5, 100, "relative humidity where the print dries", natural=True
)
LAYER = Input("layer_ratio", "", 0.5, 4, "thickness of the ink against a single pass")
STACKING = Input(
    "stacking",
    "",
    0,
    0,
    "how the print lies while it dries",
    words=("flat_or_hung_with_air", "loose_roll_on_end", "tight_roll", "stacked"),
    checks=("drying_posture",),
)
WAITED = Input(
    "print_to_laminate_h",
    "h",
    0,
    240,
    "hours from print to laminate",
    checks=("print_to_laminate_h",),
)
# Waits at 20 °C and usual load, hours: solvent as printers publish it; the others common practice.
_BASES = {
    "solvent_or_eco": Quantity(24, 48),
    "uv_cured": Quantity(12, 24),
    "latex": Quantity(1, 24),
}
_LEAST_WAIT_H = 0.1
INK = Input("ink", "", 0, 0, "kind of ink", words=tuple(_BASES), checks=("ink_kind",))

PITCH = Input(
    "repeat_pitch_mm",
    "mm",
    0.3,
    3000,
    "distance of the repeats, over at least five of them",
    checks=("repeat_pitch_mm",),
)
PART_SIZE = Input("part_mm", "mm", 5, 1000, "diameter of the roller, or height of the print swath")
PART = Input("part", "", 0, 0, "what the repeat may come from", words=("roller", "swath"))
FILM_STRETCH = Input(
    "stretch_percent", "%", 0, 60, "stretch of the film at that place", checks=("stretch_percent",)
)


def outgas_window_h(
    base_h: float,
    ink_load_percent: float,
    air_temp_c: float,
    humidity_percent: float,
    layer_ratio: float,
    stacking: str,
) -> float:
    """Hours that a print has to wait before lamination.

    base · n² · 2^((20 − T)/10), n the layer ratio, base 0 to 96 h at 20 °C; doubled over 250 %
    ink load; at least 24 h over 70 % humidity. Diffusion time goes with thickness squared, twice
    per 10 K from memory, base and humidity as printers publish them. A rule of thumb to about a
    factor of two: no tack and no smell are the end point. Raises OutOfRange, CannotSay for print
    in a tight roll or a stack, which does not dry.
    """
    refuse_outside(
        (BASE, base_h),
        (INK_LOAD, ink_load_percent),
        (AIR, air_temp_c),
        (HUMIDITY, humidity_percent),
        (LAYER, layer_ratio),
        (STACKING, stacking),
    )
    if stacking in ("tight_roll", "stacked"):
        raise CannotSay(
            "a print in a tight roll or a stack does not give off its solvent: unroll it, hang it "
            "or stand it loose, and count from then."
        )
    load = 2 if ink_load_percent > 250 else 1
    hours = base_h * load * layer_ratio**2 * 2 ** ((20 - air_temp_c) / 10)
    return max(hours, 24.0) if humidity_percent > 70 else hours


def print_wait(print_to_laminate_h: float, **conditions: float | str) -> str:
    """Whether a print waited long enough for its conditions: `too_soon` or `long_enough`.

    Conditions as `outgas_window_h`. Raises OutOfRange, CannotSay.
    """
    refuse_outside((WAITED, print_to_laminate_h))
    asked = outgas_window_h(**conditions)  # type: ignore[arg-type]
    return "long_enough" if print_to_laminate_h >= asked else "too_soon"


def print_wait_share(print_to_laminate_h: float, **conditions: float | str) -> float:
    """Hours that a print waited over those that its conditions ask for, a ratio.

    Conditions as `outgas_window_h`. Raises OutOfRange, CannotSay where hardly a wait is asked for.
    """
    refuse_outside((WAITED, print_to_laminate_h))
    asked = outgas_window_h(**conditions)  # type: ignore[arg-type]
    if asked < _LEAST_WAIT_H:
        raise CannotSay("hardly any wait is asked for, so there is no share of it.")
    return print_to_laminate_h / asked


def _base(given: Given) -> Given:
    rest = {name: value for name, value in given.items() if name != "ink"}
    return {"base_h": _BASES[str(given["ink"])], **rest}


def _pitches(part: str, part_mm: float, stretch_percent: float) -> tuple[float, float]:
    whole = part_mm * (math.pi if part == "roller" else 1) * (1 + stretch_percent / 100)
    return whole, whole / 2


def pitch_matches_roller(
    repeat_pitch_mm: float, part: str, part_mm: float, stretch_percent: float
) -> str:
    """Whether a repeat fits a roller or a swath: `differs` or `matches`.

    Compares the pitch with π·d (or the swath's height) and half of it, each grown by the film's
    stretch; it fits within 2 mm or 1 %, whichever is more. Pitch 0.3 to 3000 mm over at least five
    repeats, d 5 to 1000 mm. Raises OutOfRange. Geometry; the tolerance is common practice.
    """
    refuse_outside(
        (PITCH, repeat_pitch_mm),
        (PART, part),
        (PART_SIZE, part_mm),
        (FILM_STRETCH, stretch_percent),
    )
    fits = any(
        abs(repeat_pitch_mm - pitch) <= _tolerance(pitch)
        for pitch in _pitches(part, part_mm, stretch_percent)
    )
    return "matches" if fits else "differs"


def _tolerance(pitch: float) -> float:
    return max(2.0, 0.01 * pitch)


def _pitch_over(given: Given) -> str | None:
    """Give the word over ranges, for a fit that comes and goes as the pitch grows."""
    seen, part = given["repeat_pitch_mm"], str(given["part"])
    size, stretch = given["part_mm"], given["stretch_percent"]
    if isinstance(seen, str) or isinstance(size, str) or isinstance(stretch, str):
        raise TypeError("pitch, size and stretch are numbers")
    least = _pitches(part, size.low, stretch.low)
    most = _pitches(part, size.high, stretch.high)
    spans = list(zip(least, most, strict=True))
    if any(_always_fits(seen, low, high) for low, high in spans):
        return "matches"
    if all(_never_fits(seen, low, high) for low, high in spans):
        return "differs"
    return None


def _always_fits(seen: Quantity, low: float, high: float) -> bool:
    farthest = max(seen.high - low, high - seen.low)
    return farthest <= _tolerance(low)


def _never_fits(seen: Quantity, low: float, high: float) -> bool:
    return seen.low > high + _tolerance(high) or seen.high < low - _tolerance(low)


_WAIT = ResultWords(
    (
        (
            "too_soon",
            "Laminated before the print had given off its solvent: soft film, lost "
            "adhesion, edges that curl.",
        ),
        ("long_enough", "The print had the time it needs; look elsewhere."),
    )
)
_SHARE = Bands(
    ((1.0, "Laminated before the ink could give off its solvent: it stays shut in."),),
    "The print had the time that it needs; look elsewhere.",
)
_PITCH = ResultWords(
    (
        ("differs", "The repeat does not come from this roller or swath."),
        ("matches", "The repeat fits this roller or swath: look at it for a dent, dirt or a step."),
    )
)
_CONDITIONS = (
    INK.defaulting("solvent_or_eco"),
    INK_LOAD.rises().defaulting(exact(200)),
    AIR.falls().defaulting(exact(20)),
    HUMIDITY.rises().defaulting(exact(50)),
    LAYER.rises().defaulting(exact(1)),
    STACKING.defaulting("loose_roll_on_end"),
    BASE.rises(),
)


def _turned(wanted: Input) -> Input:
    """Turn the shape: what asks for a longer wait makes a given wait the less enough."""
    turned = {Trend.RISES: Trend.FALLS, Trend.FALLS: Trend.RISES}
    return replace(wanted, shape=turned.get(wanted.shape, wanted.shape))


# What may be taken for granted where nobody noted it: a heated room, any ink load but the lightest.
_UNNOTED = {
    "air_temp_c": between(17, 25),
    "humidity_percent": between(35, 65),
    "ink_load_percent": between(150, 300),
}


def _unnoted(wanted: Input) -> Input:
    """Give the input as it is taken where nobody noted it; without the ink nothing can be said."""
    if wanted.name == INK.name:
        return replace(wanted, default=None)
    return replace(wanted, default=_UNNOTED.get(wanted.name, wanted.default))


MEASURES = (
    Measure(
        id="outgas_window_h",
        name="Hours between print and laminate",
        function=outgas_window_h,
        inputs=_CONDITIONS,
        unit="h",
        says=lambda value: (
            "A window: before its low end too soon, after its high end long enough. The ink and "
            "film makers' sheets go first; ready is when there is no tack and no smell."
        ),
        error_bound="a factor of two",
        source="printers' texts (24 to 48 h); thickness squared by diffusion; Q10 from memory",
        maturity=Maturity.SOURCED,
        expand=_base,
        example=(("ink", "solvent_or_eco"), ("air_temp_c", "13")),
        example_result=38.99,
    ),
    Measure(
        id="print_wait",
        name="Whether a print waited long enough",
        function=print_wait,
        inputs=(WAITED.rises(), *map(_turned, _CONDITIONS)),
        unit="",
        says=_WAIT,
        words=_WAIT.order,
        error_bound="a factor of two in the hours asked",
        source="as the hours between print and laminate",
        maturity=Maturity.SOURCED,
        expand=_base,
        example=(("print_to_laminate_h", "6"), ("ink", "solvent_or_eco")),
        example_result="too_soon",
    ),
    Measure(
        id="print_wait_share",
        name="Wait of a print against the wait that it needs",
        function=print_wait_share,
        inputs=(WAITED.rises(), *(_unnoted(_turned(wanted)) for wanted in _CONDITIONS)),
        unit="",
        says=_SHARE,
        error_bound="a factor of two in the hours asked",
        source="as the hours between print and laminate",
        maturity=Maturity.SOURCED,
        expand=_base,
        example=(
            ("print_to_laminate_h", "30"),
            ("ink", "solvent_or_eco"),
            ("base_h", "24"),
            ("air_temp_c", "10"),
            ("ink_load_percent", "200"),
        ),
        example_result=0.625,
    ),
    Measure(
        id="pitch_matches_roller",
        name="Whether a repeat fits a roller or swath",
        function=pitch_matches_roller,
        inputs=(
            PITCH,
            PART.defaulting("roller"),
            PART_SIZE,
            FILM_STRETCH.defaulting(exact(0)),
        ),
        unit="",
        says=_PITCH,
        words=_PITCH.order,
        error_bound="2 mm or 1 %, over at least five repeats",
        source="circumference of a circle; the tolerance is common practice, no source",
        maturity=Maturity.COMMON_PRACTICE,
        over=_pitch_over,
        example=(("repeat_pitch_mm", "236"), ("part_mm", "75")),
        example_result="matches",
    ),
)
