"""Film under stretch: how much it was stretched, how thin it is, what stands across an edge."""

import math

from diagnose.measures.model import (
    Bands,
    CannotSay,
    Input,
    Maturity,
    Measure,
    refuse_outside,
)
from diagnose.measures.quantity import exact

__all__ = [
    "MEASURES",
    "STRETCH",
    "THIN_RATIO",
    "area_stretch_percent",
    "stretch_from_thickness_percent",
    "stretch_percent_from_marks",
    "tension_across_edge",
    "thickness_after_stretch",
]

STRETCH = Input(
    "stretch_percent",
    "%",
    -20,
    120,
    "stretch of the film along the pull",
    checks=("stretch_percent",),
)
BEFORE = Input("before_mm", "mm", 20, 5000, "distance of two marks on the unstretched film")
AFTER = Input("after_mm", "mm", 10, 10000, "distance of the same marks on the car, along the curve")
CROSS = Input("cross_percent", "%", -20, 120, "stretch square to the first direction")
ANGLE = Input("pull_angle_deg", "°", 0, 90, "angle of the pull to the edge: 0 along it, 90 square")
FILM_UM = Input("film_um", "µm", 30, 500, "thickness of the film before stretching")
THIN_RATIO = Input(
    "film_thickness_ratio",
    "",
    0.3,
    1.0,
    "thickness here over that of unstretched film",
    checks=("film_thickness_ratio",),
)
WAY = Input(
    "way",
    "",
    0,
    0,
    "how the film was held while it was stretched",
    words=("free_strip", "width_held", "both_ways"),
)
_THINNING = {"free_strip": 0.5, "width_held": 1.0, "both_ways": 2.0}


def stretch_percent_from_marks(before_mm: float, after_mm: float) -> float:
    """Stretch in percent from two marks: 100·(L1 − L0) / L0.

    L0 at least 20 mm; a reading error of 0.5 mm on 20 mm is 2.5 points. Raises OutOfRange, and
    CannotSay for a result outside −20 to 120 %, where the marks were mixed up. Definition.
    """
    refuse_outside((BEFORE, before_mm), (AFTER, after_mm))
    stretch = 100 * (after_mm - before_mm) / before_mm
    if not STRETCH.low <= stretch <= STRETCH.high:
        raise CannotSay(
            f"these marks give {stretch:.0f} %, which no film stands: measure both again."
        )
    return stretch


def area_stretch_percent(stretch_percent: float, cross_percent: float) -> float:
    """Growth of area in percent by stretch in two directions: 100·((1 + e1)(1 + e2) − 1).

    Both −20 to 120 %. Exact geometry. Raises OutOfRange.
    """
    refuse_outside((STRETCH, stretch_percent), (CROSS, cross_percent))
    return 100 * ((1 + stretch_percent / 100) * (1 + cross_percent / 100) - 1)


def thickness_after_stretch(film_um: float, stretch_percent: float, way: str) -> float:
    """Thickness in µm after stretch, volume kept: t0 / (1 + e)^n.

    n = 1/2 for a free narrow strip, 1 with the width held, 2 for the same stretch both ways.
    Stretch −20 to 120 %. Within a few percent for soft PVC. Raises OutOfRange. Derived from
    constant volume.
    """
    refuse_outside((FILM_UM, film_um), (STRETCH, stretch_percent), (WAY, way))
    return film_um / math.pow(1 + stretch_percent / 100, _THINNING[way])


def stretch_from_thickness_percent(film_thickness_ratio: float, way: str) -> float:
    """Stretch in percent from how thin the film is: 100·(ratio^(−1/n) − 1), n as for thickness.

    Ratio 0.3 to 1. A gauge error of ±2 µm and paint scatter of ±10 µm hide anything under 15 %.
    Raises OutOfRange. Derived from constant volume.
    """
    refuse_outside((THIN_RATIO, film_thickness_ratio), (WAY, way))
    return 100 * (math.pow(film_thickness_ratio, -1 / _THINNING[way]) - 1)


def tension_across_edge(stretch_percent: float, pull_angle_deg: float) -> float:
    """Stretch in percent that stands across an edge after a pull at an angle to it.

    e·sin²φ, φ from 0 (along the edge) to 90° (square to it), width held, stretch 0 to 120 %.
    Small-strain rotation (Mohr's circle): within 5 % of itself up to 10 % stretch. Raises
    OutOfRange, CannotSay for film that was not stretched.
    """
    refuse_outside((STRETCH, stretch_percent), (ANGLE, pull_angle_deg))
    if stretch_percent < 0:
        raise CannotSay("the film was pressed together, not pulled: there is no pull to divide.")
    return stretch_percent * math.sin(math.radians(pull_angle_deg)) ** 2


_STRETCHED = Bands(
    (
        (0.0, "The film is shorter than it was: it was pressed together or has shrunk."),
        (3.0, "Hardly stretched; within the error of short marks."),
        (10.0, "Ordinary stretch; post-heat holds it."),
        (
            15.0,
            "Care: from about here on film pulls back unless the bulletin allows it and it is "
            "post-heated.",
        ),
    ),
    "Much stretched: thin film, thin adhesive and a standing pull; compare with the bulletin.",
)
_ACROSS = Bands(
    (
        (2.0, "Hardly any pull across the edge."),
        (5.0, "Some pull across the edge: it holds only if it is clean, wrapped and post-heated."),
    ),
    "A standing pull across the edge: it creeps back. Relax it with heat, lay it along the edge.",
)
MEASURES = (
    Measure(
        id="stretch_percent_from_marks",
        name="Stretch from reference marks",
        function=stretch_percent_from_marks,
        inputs=(BEFORE.falls(), AFTER.rises()),
        unit="%",
        says=_STRETCHED,
        error_bound="none of its own; 0.5 mm on 20 mm is 2.5 points",
        source="definition; what counts as much from film sellers' texts",
        maturity=Maturity.SOURCED,
        example=(("before_mm", "100"), ("after_mm", "112 ± 0.5")),
        example_result=12.0,
    ),
    Measure(
        id="area_stretch_percent",
        name="Growth of area by stretch in two directions",
        function=area_stretch_percent,
        inputs=(STRETCH.rises(), CROSS.rises()),
        unit="%",
        says=lambda value: "The film and its adhesive are thinner by the same share of area.",
        error_bound="none of its own",
        source="geometry",
        maturity=Maturity.SOURCED,
        example=(("stretch_percent", "12"), ("cross_percent", "8")),
        example_result=20.96,
    ),
    Measure(
        id="thickness_after_stretch",
        name="Film thickness after stretch",
        function=thickness_after_stretch,
        inputs=(
            FILM_UM.rises().defaulting(exact(80)),
            STRETCH.falls(),
            WAY.defaulting("width_held"),
        ),
        unit="µm",
        says=lambda value: (
            "Adhesive thins by the same share; film this thin tears, fades and pulls back sooner."
        ),
        error_bound="a few percent for soft PVC",
        source="derived from constant volume",
        maturity=Maturity.SOURCED,
        example=(("film_um", "80"), ("stretch_percent", "30")),
        example_result=61.54,
    ),
    Measure(
        id="stretch_from_thickness_percent",
        name="Stretch from how thin the film is",
        function=stretch_from_thickness_percent,
        inputs=(THIN_RATIO.falls(), WAY.defaulting("width_held")),
        unit="%",
        says=_STRETCHED,
        error_bound="says nothing below 15 %: gauge ±2 µm, paint ±10 µm",
        source="derived from constant volume",
        maturity=Maturity.SOURCED,
        example=(("film_thickness_ratio", "0.77"),),
        example_result=29.87,
    ),
    Measure(
        id="tension_across_edge",
        name="Stretch across an edge after a pull at an angle",
        function=tension_across_edge,
        inputs=(STRETCH.rises(), ANGLE.rises()),
        unit="%",
        says=_ACROSS,
        error_bound="5 % of itself up to 10 % stretch",
        source="rotation of strain (Mohr's circle), mechanics textbooks",
        maturity=Maturity.CHECKED,
        example=(("stretch_percent", "12"), ("pull_angle_deg", "30")),
        example_result=3.0,
    ),
)
