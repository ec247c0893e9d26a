"""Bumps: how many, how large, and whether anyone sees them."""

import math

from diagnose.measures.model import Bands, Input, Maturity, Measure, ResultWords, refuse_outside
from diagnose.measures.quantity import between, exact

__all__ = [
    "MEASURES",
    "bump_density",
    "defect_rating",
    "size_vs_sight",
    "visible",
    "visible_size_mm",
]

DENSITY = Input(
    "bump_count_dm2",
    "per dm²",
    0,
    500,
    "bumps in 1 dm², mean of three windows",
    checks=("bump_count_dm2",),
)
SIZE = Input("bump_size_mm", "mm", 0.01, 100, "usual diameter of a bump", checks=("bump_size_mm",))
DISTANCE = Input(
    "distance_m",
    "m",
    0.2,
    20,
    "distance from which the car is looked at",
    checks=("agreed_distance_m",),
)
ACUITY = Input("arc_minutes", "", 0.5, 10, "smallest angle that the viewer resolves")
COUNT = Input("count", "", 0, 5000, "bumps counted", whole=True)
AREA = Input("area_dm2", "dm²", 0.1, 100, "area in which they were counted")

_QUANTITY_EDGES = (0.0, 1.0, 3.0, 10.0, 30.0)
# Largest size of the classes 1 to 4 in mm. The first is one arc minute at 250 mm.
_SIZE_EDGES = (0.07, 0.2, 0.5, 5.0)


def bump_density(count: float, area_dm2: float) -> float:
    """Bumps per dm² from a count and the area counted, 0.1 to 100 dm². Raises OutOfRange.

    A count scatters by its own square root, so count at least ten. Definition.
    """
    refuse_outside((COUNT, count), (AREA, area_dm2))
    return count / area_dm2


def defect_rating(bump_count_dm2: float, bump_size_mm: float) -> str:
    """Quantity and size class after the scheme of ISO 4628-1, such as `3(S4)`.

    Quantity 0 to 5: none, to 1, 3, 10, 30 per dm², more (a proposal for bumps, common practice;
    the standard has pictures). Size S1 to S5: to 0.07, 0.2, 0.5, 5 mm, more (from memory). No
    bumps is `0(S0)`. Raises OutOfRange.
    """
    refuse_outside((DENSITY, bump_count_dm2), (SIZE, bump_size_mm))
    quantity = sum(bump_count_dm2 > edge for edge in _QUANTITY_EDGES)
    size = 1 + sum(bump_size_mm > edge for edge in _SIZE_EDGES)
    return f"{quantity}(S{size})" if quantity else "0(S0)"


def visible_size_mm(distance_m: float, arc_minutes: float) -> float:
    """Smallest detail in mm that is resolved from a distance: 2·D·tan(α/2).

    D 0.2 to 20 m, α 0.5 to 10 arc minutes, one for normal sight. For detail: a bright line or the
    shadow of raking light is seen much smaller. Raises OutOfRange. Illuminating engineers'
    definition of visual acuity.
    """
    refuse_outside((DISTANCE, distance_m), (ACUITY, arc_minutes))
    return 2000 * distance_m * math.tan(math.radians(arc_minutes / 60) / 2)


def visible(bump_size_mm: float, distance_m: float, arc_minutes: float) -> str:
    """Whether a bump is seen from a distance: `not_visible` or `visible`.

    As `visible_size_mm`. Raises OutOfRange.
    """
    refuse_outside((SIZE, bump_size_mm))
    smallest = visible_size_mm(distance_m, arc_minutes)
    return "visible" if bump_size_mm >= smallest else "not_visible"


def size_vs_sight(bump_size_mm: float, distance_m: float, arc_minutes: float) -> float:
    """Size of a bump over the smallest detail that is resolved from a distance, a ratio.

    As `visible_size_mm`, bump 0.01 to 100 mm. Raises OutOfRange.
    """
    refuse_outside((SIZE, bump_size_mm))
    return bump_size_mm / visible_size_mm(distance_m, arc_minutes)


_QUANTITY_WORDS = (
    "No bumps",
    "Very few bumps",
    "Few bumps",
    "A moderate number of bumps",
    "Considerably many bumps",
    "Dense bumps",
)
_SIZE_WORDS = (
    "seen only under a lens",
    "just seen with the naked eye",
    "clearly seen, to 0.5 mm",
    "0.5 to 5 mm",
    "over 5 mm",
)
_RATING = ResultWords(
    (
        ("0(S0)", "No bumps."),
        *(
            (f"{quantity}(S{size})", f"{quantity_words}, {size_words}.")
            for quantity, quantity_words in enumerate(_QUANTITY_WORDS[1:], start=1)
            for size, size_words in enumerate(_SIZE_WORDS, start=1)
        ),
    )
)
_VISIBLE = ResultWords(
    (
        ("not_visible", "Not seen as detail from there; raking light may still show it."),
        ("visible", "Seen from there by normal sight in even light."),
    )
)
_SEEN = Bands(
    ((1.0, "Too small to be made out from there in even light; raking light may show it."),),
    "Large enough to be made out from there.",
)
_DENSITY = Bands(
    (
        (1.0, "Very few: single specks."),
        (10.0, "Few to moderate: dirt from hands, cloth or the car."),
    ),
    "Many: dust from the air of the bay, or the ground itself.",
)

MEASURES = (
    Measure(
        id="bump_density",
        name="Bumps per square decimetre",
        function=bump_density,
        inputs=(COUNT.rises(), AREA.falls().defaulting(exact(1))),
        unit="per dm²",
        says=_DENSITY,
        error_bound="the square root of the count",
        source="definition; what the numbers point to is common practice",
        maturity=Maturity.COMMON_PRACTICE,
        example=(("count", "18"), ("area_dm2", "3")),
        example_result=6.0,
    ),
    Measure(
        id="defect_rating",
        name="Quantity and size of bumps after ISO 4628",
        function=defect_rating,
        inputs=(DENSITY, SIZE),
        unit="",
        says=_RATING,
        words=_RATING.order,
        error_bound="one class between two readers is usual",
        source="scheme of ISO 4628-1; classes from memory and common practice",
        maturity=Maturity.COMMON_PRACTICE,
        example=(("bump_count_dm2", "6"), ("bump_size_mm", "0.8 ± 0.2")),
        example_result="3(S4)",
    ),
    Measure(
        id="visible_size_mm",
        name="Smallest detail seen from a distance",
        function=visible_size_mm,
        inputs=(DISTANCE.rises(), ACUITY.rises().defaulting(exact(1))),
        unit="mm",
        says=lambda value: "Smaller bumps are not seen as detail from there in even light.",
        error_bound="sight differs by half and double between people",
        source="visual acuity of one arc minute",
        maturity=Maturity.CHECKED,
        example=(("distance_m", "1"),),
        example_result=0.2909,
    ),
    Measure(
        id="visible",
        name="Whether a bump is seen from a distance",
        function=visible,
        inputs=(SIZE.rises(), DISTANCE.falls(), ACUITY.falls().defaulting(exact(1))),
        unit="",
        says=_VISIBLE,
        words=_VISIBLE.order,
        error_bound="sight differs by half and double between people",
        source="visual acuity of one arc minute; 1 m at handover is common practice",
        maturity=Maturity.CHECKED,
        example=(("bump_size_mm", "0.8"), ("distance_m", "1")),
        example_result="visible",
    ),
    Measure(
        id="size_vs_sight",
        name="Size of a bump against what is seen from the distance",
        function=size_vs_sight,
        inputs=(
            SIZE.rises(),
            DISTANCE.falls(),
            ACUITY.falls().defaulting(between(0.5, 2)),
        ),
        unit="",
        says=_SEEN,
        error_bound="sight differs by half and double between people, as taken in",
        source="visual acuity of one arc minute",
        maturity=Maturity.CHECKED,
        example=(("bump_size_mm", "0.3"), ("distance_m", "3"), ("arc_minutes", "1")),
        example_result=0.3438,
    ),
)
