"""Shrink-back and curl: what retreats from an edge, in the oven, and in a laminate."""

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
    "edge_retreat_reading",
    "edge_shrink_mm",
    "ftm14_verdict",
    "laminate_curl",
    "oven_vs_stated",
    "retreat_vs_stated",
    "web_strain_percent",
]

STRAIN = Input("strain_percent", "%", 0, 50, "strain left in the film near the edge")
STIFFNESS = Input("film_modulus_mpa", "MPa", 10, 5000, "modulus of the warm film")
FILM_MM = Input("film_mm", "mm", 0.01, 0.5, "thickness of the film, laminate included")
GLUE_MM = Input("adhesive_mm", "mm", 0.005, 0.2, "thickness of the adhesive")
GLUE_SHEAR = Input(
    "adhesive_shear_mpa", "MPa", 0.0001, 1, "shear modulus of the adhesive over the time looked at"
)
OVEN = Input(
    "oven_shrink_mm",
    "mm",
    0,
    5,
    "widest gape of the cross cut after the oven",
    checks=("oven_shrink_mm",),
)
RETREAT = Input(
    "edge_retreat_mm",
    "mm",
    0,
    30,
    "how far the edge has drawn back",
    checks=("edge_retreat_mm",),
)
WHERE = Input(
    "where",
    "",
    0,
    0,
    "whether all edges of the piece retreat alike or only some",
    words=("all_edges_alike", "some_edges"),
)
ALLOWED = Input(
    "allowed_mm",
    "mm",
    0.01,
    5,
    "dimensional stability that the data sheet states",
    checks=("stated_shrink_mm",),
    optional=True,
)
CHORD = Input("chord_mm", "mm", 10, 1000, "distance between the ends of the free strip")
RISE = Input("rise_mm", "mm", 0, 500, "rise of the arc over that line")
TENSION = Input("tension_n_per_m", "N/m", 0, 2000, "pull of the web per width")

# Usual data-sheet limits after FINAT FTM 14 by film class, mm; from memory, the sheet goes first.
_SHEET = {
    "cast_pvc": Quantity(0.2, 0.3),
    "calendered_polymeric": Quantity(0.4, 0.5),
    "calendered_monomeric": Quantity(0.7, 1.0),
}
FILM_CLASS = Input(
    "film_class", "", 0, 0, "class of the film", words=tuple(_SHEET), checks=("film_class",)
)


def edge_shrink_mm(
    strain_percent: float,
    film_modulus_mpa: float,
    film_mm: float,
    adhesive_mm: float,
    adhesive_shear_mpa: float,
) -> float:
    """Retreat in mm of a bonded edge under a strain left in the film: ε·λ, λ = √(E·t·ta/G).

    ε 0 to 50 %, E and G in MPa, t and ta in mm. Only the lag length λ near the edge moves, so
    retreat does not grow with the panel. An order of size: G falls a hundredfold from minutes to
    hot months. Raises OutOfRange. Shear-lag after Volkersen (1938), inputs from memory.
    """
    refuse_outside(
        (STRAIN, strain_percent),
        (STIFFNESS, film_modulus_mpa),
        (FILM_MM, film_mm),
        (GLUE_MM, adhesive_mm),
        (GLUE_SHEAR, adhesive_shear_mpa),
    )
    lag = math.sqrt(film_modulus_mpa * film_mm * adhesive_mm / adhesive_shear_mpa)
    return strain_percent / 100 * lag


def ftm14_verdict(oven_shrink_mm: float, allowed_mm: float) -> str:
    """Oven retreat against the stated dimensional stability: `within` or `over`.

    FINAT FTM 14: film on 150 × 100 × 0.6 mm aluminium, 72 h rest, cross cut, 70 ± 2 °C oven
    (48 h, from memory), widest gape in mm to about 0.1 mm. Raises OutOfRange.
    """
    refuse_outside((OVEN, oven_shrink_mm), (ALLOWED, allowed_mm))
    return "over" if oven_shrink_mm > allowed_mm else "within"


def oven_vs_stated(oven_shrink_mm: float, allowed_mm: float) -> float:
    """Gape of the cross cut after the oven over the dimensional stability stated, a ratio.

    As `ftm14_verdict`: over 1 the film shrinks more than it may. Raises OutOfRange.
    """
    refuse_outside((OVEN, oven_shrink_mm), (ALLOWED, allowed_mm))
    return oven_shrink_mm / allowed_mm


def retreat_vs_stated(edge_retreat_mm: float, allowed_mm: float) -> float:
    """Retreat of an edge over the dimensional stability that its film's sheet states, a ratio.

    Retreat 0 to 30 mm. The oven of FINAT FTM 14 brings out what heat can bring out of the film, on
    two edges of a cut at once: a sound film's edge draws back no further by itself, so over 1
    needs age or heat, and several times as much a pull. Raises OutOfRange. Derived.
    """
    refuse_outside((RETREAT, edge_retreat_mm), (ALLOWED, allowed_mm))
    return edge_retreat_mm / allowed_mm


def _allowed(given: Given) -> Given:
    rest = {name: value for name, value in given.items() if name != "film_class"}
    return {"allowed_mm": _SHEET[str(given["film_class"])], **rest}


def edge_retreat_reading(edge_retreat_mm: float, where: str) -> str:
    """Read what a retreat points to: `normal`, `film` (class, lot, age), `pull`, or `wrong_film`.

    Retreat 0 to 30 mm to about 0.2 mm. Under 0.5 mm is normal movement; 0.5 to 2 mm alike on all
    edges is the film, only at some edges pull and heat; over 2 mm is wrong or very old film, or
    film pulled to the edge. Raises OutOfRange. Common practice, no source.
    """
    refuse_outside((RETREAT, edge_retreat_mm), (WHERE, where))
    if edge_retreat_mm < 0.5:
        return "normal"
    if where == "some_edges":
        return "pull"
    return "film" if edge_retreat_mm <= 2 else "wrong_film"


def laminate_curl(chord_mm: float, rise_mm: float, film_mm: float) -> float:
    """Strain mismatch in percent of a laminate whose free strip curls: 100·h/(1.5·R).

    R = (c²/4 + s²)/(2s) from the chord c (10 to 1000 mm) and the rise s (to half the chord),
    h thickness of the whole. Two layers of equal stiffness: about 30 %. Raises OutOfRange,
    CannotSay for a rise over half the chord. Timoshenko (1925), from memory.
    """
    refuse_outside((CHORD, chord_mm), (RISE, rise_mm), (FILM_MM, film_mm))
    if rise_mm > chord_mm / 2:
        raise CannotSay("the strip rolls up past a half circle: cut a shorter strip.")
    # 1/R written so that a flat strip gives 0 instead of dividing by it
    curvature = 2 * rise_mm / (chord_mm**2 / 4 + rise_mm**2)
    return 100 * film_mm * curvature / 1.5


def web_strain_percent(tension_n_per_m: float, film_modulus_mpa: float, film_mm: float) -> float:
    """Strain in percent of a web under tension: 100·T/(E·t).

    T 0 to 2000 N/m, E in MPa, t in mm; elastic, so up to about 2 %. Raises OutOfRange. Hooke.
    """
    refuse_outside((TENSION, tension_n_per_m), (STIFFNESS, film_modulus_mpa), (FILM_MM, film_mm))
    return 100 * tension_n_per_m / (film_modulus_mpa * film_mm * 1000)


_RETREAT = ResultWords(
    (
        ("normal", "Normal movement of film; no fault by itself."),
        ("film", "All edges alike: film class, lot or age, not the hand that laid it."),
        ("pull", "Only some edges: the film was pulled toward these edges or heated too little."),
        (
            "wrong_film",
            "All edges, over 2 mm (0.08 in): a film too simple for the place, or very old.",
        ),
    )
)
_OVEN = ResultWords(
    (
        ("within", "The film keeps what its class promises; look for pull or heat instead."),
        ("over", "The film shrinks more than its class promises: keep the sample for the maker."),
    )
)
_OF_STATED = Bands(
    ((1.0, "No more than the film's sheet allows; look for pull or heat instead."),),
    "More than the film's sheet allows: keep the sample and the roll's number for the maker.",
)
_RETREAT_OF_STATED = Bands(
    (
        (1.0, "Within what a sound film of this kind draws back by itself."),
        (4.0, "More than a sound film of this kind draws back: age, heat or a pull comes on top."),
    ),
    "Several times what film of this kind draws back by itself: it was pulled, or is worn out.",
)
_SHRINK = Bands(
    (
        (0.5, "Movement that every film makes; nobody sees it on a trimmed edge."),
        (2.0, "A visible line at the edge; shrinkage of the film can explain it."),
    ),
    "More than shrinkage of a sound film explains: the edge was pulled in.",
)
_CURL = Bands(
    (
        (0.02, "Lies flat: no tension left between the layers."),
        (0.2, "Some tension between the layers: edges of this print are under a standing pull."),
    ),
    "Laminated under tension: the print curls toward the layer that was stretched and lifts.",
)

MEASURES = (
    Measure(
        id="edge_shrink_mm",
        name="Retreat that shrinkage explains",
        function=edge_shrink_mm,
        inputs=(
            STRAIN.rises(),
            STIFFNESS.rises().defaulting(exact(200)),
            FILM_MM.rises().defaulting(exact(0.08)),
            GLUE_MM.rises().defaulting(exact(0.03)),
            GLUE_SHEAR.falls().defaulting(between(0.0005, 0.02)),
        ),
        unit="mm",
        says=_SHRINK,
        error_bound="an order of size",
        source="shear-lag after Volkersen 1938; moduli from memory",
        maturity=Maturity.SOURCED,
        example=(("strain_percent", "2"), ("adhesive_shear_mpa", "0.002")),
        example_result=0.3098,
    ),
    Measure(
        id="ftm14_verdict",
        name="Oven retreat against the film's class",
        function=ftm14_verdict,
        inputs=(OVEN.rises(), FILM_CLASS.defaulting("cast_pvc"), ALLOWED),
        unit="",
        says=_OVEN,
        words=_OVEN.order,
        error_bound="0.1 mm with a scaled loupe; class limits from memory",
        source="FINAT FTM 14; class limits from memory, the data sheet goes first",
        maturity=Maturity.SOURCED,
        expand=_allowed,
        caution="A hot oven and plate burn skin: gloves. Blade: cut away from the hand.",
        example=(("oven_shrink_mm", "0.6 ± 0.1"), ("film_class", "cast_pvc")),
        example_result="over",
    ),
    Measure(
        id="oven_vs_stated",
        name="Oven retreat against what the sheet states",
        function=oven_vs_stated,
        inputs=(OVEN.rises(), FILM_CLASS, ALLOWED.falls()),
        unit="",
        says=_OF_STATED,
        error_bound="0.1 mm with a scaled loupe; class limits from memory",
        source="FINAT FTM 14; class limits from memory, the data sheet goes first",
        maturity=Maturity.SOURCED,
        expand=_allowed,
        caution="A hot oven and plate burn skin: gloves. Blade: cut away from the hand.",
        example=(
            ("oven_shrink_mm", "0.6"),
            ("film_class", "cast_pvc"),
            ("allowed_mm", "0.3"),
        ),
        example_result=2.0,
    ),
    Measure(
        id="retreat_vs_stated",
        name="Retreat of an edge against what the film's sheet states",
        function=retreat_vs_stated,
        inputs=(RETREAT.rises(), FILM_CLASS, ALLOWED.falls()),
        unit="",
        says=_RETREAT_OF_STATED,
        error_bound="0.2 mm with a steel rule; class limits from memory",
        source="FINAT FTM 14; class limits from memory, the data sheet goes first",
        maturity=Maturity.SOURCED,
        expand=_allowed,
        example=(
            ("edge_retreat_mm", "3"),
            ("film_class", "calendered_polymeric"),
            ("allowed_mm", "0.5"),
        ),
        example_result=6.0,
    ),
    Measure(
        id="edge_retreat_reading",
        name="What an edge's retreat points to",
        function=edge_retreat_reading,
        inputs=(RETREAT.rises(), WHERE),
        unit="",
        says=_RETREAT,
        words=_RETREAT.order,
        error_bound="0.2 mm with a steel rule",
        source="common practice, no source",
        maturity=Maturity.COMMON_PRACTICE,
        example=(("edge_retreat_mm", "3"), ("where", "some_edges")),
        example_result="pull",
    ),
    Measure(
        id="laminate_curl",
        name="Strain between print and laminate from the curl of a strip",
        function=laminate_curl,
        inputs=(CHORD.falls(), RISE.rises(), FILM_MM.rises().defaulting(exact(0.16))),
        unit="%",
        says=_CURL,
        error_bound="about 30 %, for layers of unequal stiffness",
        source="Timoshenko's two-layer strip (1925), from memory",
        maturity=Maturity.SOURCED,
        example=(("chord_mm", "90"), ("rise_mm", "20")),
        example_result=0.1759,
    ),
    Measure(
        id="web_strain_percent",
        name="Strain of a web under tension",
        function=web_strain_percent,
        inputs=(TENSION.rises(), STIFFNESS.falls(), FILM_MM.falls()),
        unit="%",
        says=_CURL,
        error_bound="as good as the modulus",
        source="Hooke's law; worked example in a converter's trade magazine",
        maturity=Maturity.CHECKED,
        example=(
            ("tension_n_per_m", "1 lbf/in"),
            ("film_modulus_mpa", "500000 psi"),
            ("film_mm", "1 mil"),
        ),
        example_result=0.2,
    ),
)
