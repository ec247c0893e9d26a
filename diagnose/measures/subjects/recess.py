"""What a recess asks of film that is laid over it in one piece."""

import math
from collections.abc import Callable

from diagnose.measures.model import Bands, CannotSay, Input, Maturity, Measure, refuse_outside
from diagnose.measures.quantity import between, exact
from diagnose.measures.subjects.limits import LIMIT, RATIO_TO_LIMIT

__all__ = ["MEASURES", "demand_vs_limit", "recess_demand_percent", "tape_bridge_percent"]

WIDTH = Input(
    "recess_width_mm",
    "mm",
    2,
    2000,
    "opening of the recess from shoulder to shoulder",
    checks=("recess_width_mm",),
)
DEPTH = Input(
    "recess_depth_mm",
    "mm",
    0.5,
    300,
    "depth below the line over the shoulders",
    checks=("recess_depth_mm",),
)
WALL = Input(
    "recess_wall_deg",
    "°",
    15,
    90,
    "angle of the wall to the surface, trapezoid channels only",
    checks=("recess_wall_deg",),
)
REACH = Input(
    "reach_mm", "mm", 0, 1000, "free film on each side that was gathered in before it stuck"
)
BRIDGE = Input("bridge_mm", "mm", 10, 2000, "length of the tape between the shoulders")
GAP = Input("gap_mm", "mm", 0, 1000, "gap of the cut tape pressed into the recess")


def _round(width: float, depth: float, _wall: float) -> float:
    radius = (width**2 / 4 + depth**2) / (2 * depth)
    # asin of a half circle can exceed 1 by rounding
    return 2 * radius * math.asin(min(1.0, width / (2 * radius))) / width - 1


# (share of the opening, deepest depth as a share of the width) by form; the wall is in radians.
_FORMS: dict[str, tuple[Callable[[float, float, float], float], Callable[[float], float]]] = {
    "rectangular": (lambda w, d, _: 2 * d / w, lambda _: math.inf),
    "trapezoid": (lambda w, d, wall: 2 * d * math.tan(wall / 2) / w, lambda a: math.tan(a) / 2),
    "v": (lambda w, d, _: math.hypot(1, 2 * d / w) - 1, lambda _: math.inf),
    "round": (_round, lambda _: 0.5),
    "corner": (lambda w, d, _: (2 * d / w) ** 2, lambda _: 0.5),
}
FORM = Input(
    "recess_form",
    "",
    0,
    0,
    "form of the recess; `corner` is a cup, a portion of a sphere, and gives growth of area",
    words=tuple(_FORMS),
)


def recess_demand_percent(
    recess_form: str,
    recess_width_mm: float,
    recess_depth_mm: float,
    recess_wall_deg: float,
    reach_mm: float,
) -> float:
    """Stretch in percent that film laid on both shoulders first needs to reach the ground.

    w opening, d depth, θ wall: rectangular 2d/w; trapezoid 2d(1 − cos θ)/(w sin θ), floor at
    least 0; v √(1 + (2d/w)²) − 1; round (arc) 2R·asin(w/2R)/w − 1 with R = (w²/4 + d²)/(2d),
    d ≤ w/2; corner (cap of a sphere) growth of area (2d/w)², d ≤ w/2. Film gathered from a reach
    r on each side spreads it over w + 2r. Exact geometry and a lower bound: friction and early
    sticking put two or three times the mean on walls and floor (common practice, no source).
    Raises OutOfRange, CannotSay for a depth that the form cannot have.
    """
    refuse_outside(
        (FORM, recess_form),
        (WIDTH, recess_width_mm),
        (DEPTH, recess_depth_mm),
        (WALL, recess_wall_deg),
        (REACH, reach_mm),
    )
    share, deepest = _FORMS[recess_form]
    wall = math.radians(recess_wall_deg)
    if recess_depth_mm > deepest(wall) * recess_width_mm * (1 + 1e-9):
        raise CannotSay(
            f"a {recess_form} recess {recess_width_mm:g} mm wide cannot be {recess_depth_mm:g} mm "
            "deep: measure again or name another form."
        )
    demand = 100 * share(recess_width_mm, recess_depth_mm, wall)
    return demand * recess_width_mm / (recess_width_mm + 2 * reach_mm)


def tape_bridge_percent(bridge_mm: float, gap_mm: float) -> float:
    """Stretch in percent by the tape test: 100 · gap / bridge length.

    Bridge 10 to 2000 mm, gap 0 to 1000 mm, about 1 mm each. Raises OutOfRange. Film seller's
    training text.
    """
    refuse_outside((BRIDGE, bridge_mm), (GAP, gap_mm))
    return 100 * gap_mm / bridge_mm


def demand_vs_limit(
    recess_form: str,
    recess_width_mm: float,
    recess_depth_mm: float,
    recess_wall_deg: float,
    reach_mm: float,
    stretch_limit_percent: float,
) -> float:
    """Stretch demanded by a recess over the stretch that the bulletin allows, a ratio.

    As `recess_demand_percent`, limit 1 to 150 %. For `corner` both are growth of area, so give
    the limit as area too. Raises OutOfRange, CannotSay.
    """
    refuse_outside((LIMIT, stretch_limit_percent))
    demand = recess_demand_percent(
        recess_form, recess_width_mm, recess_depth_mm, recess_wall_deg, reach_mm
    )
    return demand / stretch_limit_percent


_DEMAND = Bands(
    (
        (8.0, "Little stretch: most cast films take it, post-heated."),
        (12.0, "Stretch at which care begins: heat, relax and post-heat it."),
        (30.0, "Much stretch: only films whose bulletin allows it, or an inlay."),
    ),
    "More than most cast films stand: inlay or relief cut.",
)
_SHAPE = (
    FORM.defaulting("trapezoid"),
    WIDTH.falls(),
    DEPTH.rises(),
    WALL.rises().defaulting(between(45, 90)),
    REACH.falls().defaulting(exact(0)),
)

MEASURES = (
    Measure(
        id="recess_demand_percent",
        name="Stretch that a recess demands",
        function=recess_demand_percent,
        inputs=_SHAPE,
        unit="%",
        says=_DEMAND,
        error_bound="exact geometry, but a lower bound: peaks are two or three times the mean",
        source="geometry; bands from film sellers' texts",
        maturity=Maturity.CHECKED,
        example=(
            ("recess_form", "trapezoid"),
            ("recess_width_mm", "60"),
            ("recess_depth_mm", "10"),
            ("recess_wall_deg", "60"),
        ),
        example_result=19.245,
    ),
    Measure(
        id="tape_bridge_percent",
        name="Stretch that a recess demands, by the tape test",
        function=tape_bridge_percent,
        inputs=(BRIDGE.falls(), GAP.rises()),
        unit="%",
        says=_DEMAND,
        error_bound="about 1 mm in gap and bridge",
        source="film seller's training text on the tape test",
        maturity=Maturity.CHECKED,
        caution="Blade: mark the tape, take it off the car and cut it there, away from the hand.",
        example=(("bridge_mm", "100"), ("gap_mm", "18")),
        example_result=18.0,
    ),
    Measure(
        id="demand_vs_limit",
        name="Stretch that a recess demands against the film's limit",
        function=demand_vs_limit,
        inputs=(*_SHAPE, LIMIT.falls()),
        unit="",
        says=RATIO_TO_LIMIT,
        error_bound="a lower bound, as the demand is",
        source="geometry; the bulletin's limit",
        maturity=Maturity.SOURCED,
        example=(
            ("recess_form", "rectangular"),
            ("recess_width_mm", "60"),
            ("recess_depth_mm", "10"),
            ("stretch_limit_percent", "30"),
        ),
        example_result=1.1111,
    ),
)
