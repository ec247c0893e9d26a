"""Stretch against the limit that the film's bulletin gives."""

import math
from dataclasses import replace

from diagnose.measures.model import (
    Bands,
    CannotSay,
    Input,
    Maturity,
    Measure,
    ResultWords,
    refuse_outside,
)
from diagnose.measures.quantity import between, exact
from diagnose.measures.subjects.film import STRETCH, THIN_RATIO

__all__ = [
    "LIMIT",
    "MEASURES",
    "RATIO_TO_LIMIT",
    "stretch_class",
    "stretch_vs_limit",
    "tape_vs_limit",
    "thinning_vs_limit",
]

LIMIT = Input(
    "stretch_limit_percent",
    "%",
    1,
    150,
    "largest stretch that the film's bulletin allows",
    checks=("stretch_limit_percent",),
)
TAPE = Input(
    "tape_bridge_percent",
    "%",
    0,
    150,
    "gap of the cut tape over the bridge's length",
    checks=("tape_bridge_percent",),
)
THINNED = replace(THIN_RATIO, high=1.1)
DIRECTIONS = Input(
    "directions",
    "",
    1,
    2,
    "1 drawn one way with its width held, 2 alike both ways; between: between",
)
COLD_LIMIT = Input("cold_limit_percent", "%", 1, 50, "stretch that the film stands without heat")


def stretch_vs_limit(stretch_percent: float, stretch_limit_percent: float) -> float:
    """Measured stretch over the stretch that the bulletin allows, a ratio.

    Stretch −20 to 120 %, limit 1 to 150 % (not the elongation at break). Raises OutOfRange.
    """
    refuse_outside((STRETCH, stretch_percent), (LIMIT, stretch_limit_percent))
    return stretch_percent / stretch_limit_percent


def tape_vs_limit(tape_bridge_percent: float, stretch_limit_percent: float) -> float:
    """Stretch by the tape test over the stretch that the bulletin allows, a ratio.

    Tape 0 to 150 %, limit 1 to 150 %. Raises OutOfRange. The tape test beats the formula.
    """
    refuse_outside((TAPE, tape_bridge_percent), (LIMIT, stretch_limit_percent))
    return tape_bridge_percent / stretch_limit_percent


def thinning_vs_limit(
    film_thickness_ratio: float, directions: float, stretch_limit_percent: float
) -> float:
    """Stretch that the film's thickness shows over the stretch that the bulletin allows, a ratio.

    100·(t^(−1/n) − 1) / limit, t the thickness ratio 0.3 to 1.1, n 1 to 2 the ways in which it was
    drawn. Volume is kept, within a few percent for soft PVC. Film that measures thicker than new
    shows no stretch: 0. Raises OutOfRange. Derived.
    """
    refuse_outside(
        (THINNED, film_thickness_ratio),
        (DIRECTIONS, directions),
        (LIMIT, stretch_limit_percent),
    )
    stretch = max(0.0, math.pow(film_thickness_ratio, -1 / directions) - 1)
    return 100 * stretch / stretch_limit_percent


def stretch_class(
    stretch_percent: float, cold_limit_percent: float, stretch_limit_percent: float
) -> str:
    """Whether a stretch can be made `cold`, only `with_heat`, or lies `beyond` the film.

    All in percent. Raises OutOfRange, CannotSay where the cold limit lies over the film's limit.
    The cold limit of 10 % is the sellers' advice to take care from there on; bulletins go first.
    """
    refuse_outside(
        (STRETCH, stretch_percent),
        (COLD_LIMIT, cold_limit_percent),
        (LIMIT, stretch_limit_percent),
    )
    if cold_limit_percent > stretch_limit_percent:
        raise CannotSay("cold_limit_percent lies above stretch_limit_percent: read the bulletin.")
    if stretch_percent > stretch_limit_percent:
        return "beyond"
    return "with_heat" if stretch_percent > cold_limit_percent else "cold"


RATIO_TO_LIMIT = Bands(
    (
        (0.8, "Inside the film's limit with room to spare."),
        (1.0, "Just inside the film's limit: no room for an early stick or a missed post-heat."),
    ),
    "At or beyond the film's limit: it pulls back. Use an inlay, a relief cut or another film.",
)
_CLASS = ResultWords(
    (
        ("cold", "Can be laid without heat."),
        ("with_heat", "Needs heat to lay and post-heat to hold."),
        ("beyond", "More than the film stands: inlay, relief cut or another film."),
    )
)

MEASURES = (
    Measure(
        id="stretch_vs_limit",
        name="Measured stretch against the film's limit",
        function=stretch_vs_limit,
        inputs=(STRETCH.rises(), LIMIT),
        unit="",
        says=RATIO_TO_LIMIT,
        error_bound="none of its own",
        source="common practice: the bulletin's limit, never the elongation at break",
        maturity=Maturity.COMMON_PRACTICE,
        example=(("stretch_percent", "18"), ("stretch_limit_percent", "15")),
        example_result=1.2,
    ),
    Measure(
        id="tape_vs_limit",
        name="Tape test of a recess against the film's limit",
        function=tape_vs_limit,
        inputs=(TAPE.rises(), LIMIT.falls()),
        unit="",
        says=RATIO_TO_LIMIT,
        error_bound="none of its own; the tape's gap to about 1 mm",
        source="film seller's training text on the tape test",
        maturity=Maturity.SOURCED,
        example=(("tape_bridge_percent", "18"), ("stretch_limit_percent", "30")),
        example_result=0.6,
    ),
    Measure(
        id="thinning_vs_limit",
        name="Stretch shown by the film's thickness against its limit",
        function=thinning_vs_limit,
        inputs=(THINNED.falls(), DIRECTIONS.defaulting(between(1, 2)), LIMIT.falls()),
        unit="",
        says=RATIO_TO_LIMIT,
        error_bound="a gauge's ±2 µm and the paint's scatter hide anything under 15 % stretch",
        source="derived from constant volume; the bulletin's limit",
        maturity=Maturity.SOURCED,
        example=(
            ("film_thickness_ratio", "0.77"),
            ("directions", "1"),
            ("stretch_limit_percent", "15"),
        ),
        example_result=1.991,
    ),
    Measure(
        id="stretch_class",
        name="Stretch against the film's limit with and without heat",
        function=stretch_class,
        inputs=(
            STRETCH.rises(),
            COLD_LIMIT.falls().defaulting(exact(10)),
            LIMIT.falls(),
        ),
        unit="",
        says=_CLASS,
        words=_CLASS.order,
        error_bound="none of its own",
        source="film sellers' texts (care from 10 %); the bulletin's limit goes first",
        maturity=Maturity.SOURCED,
        example=(("stretch_percent", "12"), ("stretch_limit_percent", "30")),
        example_result="with_heat",
    ),
)
