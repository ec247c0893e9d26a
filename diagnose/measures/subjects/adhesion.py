"""Adhesion: cross-cut classes of the paint, wetting of the ground, peel forces."""

from diagnose.measures.model import (
    Bands,
    CannotSay,
    Input,
    Maturity,
    Measure,
    ResultWords,
    refuse_outside,
)
from diagnose.measures.quantity import exact

__all__ = [
    "MEASURES",
    "cross_cut",
    "cross_cut_from_astm",
    "peel_convert",
    "peel_vs_sound",
    "wetting",
    "wetting_gain_mnm",
]

DETACHED = Input(
    "detached_percent",
    "%",
    0,
    100,
    "share of the lattice from which paint came off",
    natural=True,
)
ASTM = Input(
    "astm_class",
    "",
    0,
    0,
    "class after ASTM D3359 method B",
    words=("5B", "4B", "3B", "2B", "1B", "0B"),
)
PEN = Input(
    "dyne_pen_mnm",
    "mN/m",
    18,
    75,
    "highest test liquid that stays a film for two seconds",
    checks=("dyne_pen_mnm",),
)
PEN_CLEANED = Input(
    "dyne_pen_cleaned_mnm",
    "mN/m",
    18,
    75,
    "the same once the place was cleaned",
    checks=("dyne_pen_cleaned_mnm",),
)
GOOD = Input("good_mnm", "mN/m", 30, 60, "wetting tension from which the adhesive is safe")
LOW = Input("low_mnm", "mN/m", 20, 50, "wetting tension under which only high-tack film holds")
FORCE = Input("force", "", 0, 5000, "peel force in the unit named")
UNIT = Input(
    "unit",
    "",
    0,
    0,
    "unit of that force",
    words=("n_per_25mm", "n_per_cm", "n_per_m", "lbf_per_in", "ozf_per_in", "gf_per_25mm"),
)
PEEL_HERE = Input(
    "peel_here", "N/25 mm", 0, 60, "peel at the suspect place", checks=("peel_force_n25",)
)
PEEL_SOUND = Input(
    "peel_sound", "N/25 mm", 0.2, 60, "peel at a sound place, same film, angle and speed"
)

_LARGEST_SHARE = (0.0, 5.0, 15.0, 35.0, 65.0)
_POUND, _INCH, _GRAVITY = 0.45359237, 0.0254, 9.80665
_N_PER_25MM = {
    "n_per_25mm": 1.0,
    "n_per_cm": 2.5,
    "n_per_m": 0.025,
    "lbf_per_in": _POUND * _GRAVITY / _INCH * 0.025,
    "ozf_per_in": _POUND / 16 * _GRAVITY / _INCH * 0.025,
    "gf_per_25mm": _GRAVITY / 1000,
}


def cross_cut(detached_percent: float) -> str:
    """Cross-cut class after ISO 2409, `0` to `5`, from the share of paint that came off.

    Largest shares of the classes: 0, 5, 15, 35, 65 %; more is 5. ASTM D3359 method B counts the
    other way: 5 minus this class, with a B. For paint to 250 µm, not for textured coats, and no
    measure of force. Raises OutOfRange. Source: ISO 2409, ASTM D3359.
    """
    refuse_outside((DETACHED, detached_percent))
    return str(sum(detached_percent > largest for largest in _LARGEST_SHARE))


def cross_cut_from_astm(astm_class: str) -> str:
    """ISO 2409 class, `0` to `5`, of an ASTM D3359 method B class, `5B` to `0B`.

    Same limits of area under both. Raises OutOfRange. Source: ISO 2409, ASTM D3359.
    """
    refuse_outside((ASTM, astm_class))
    return str(5 - int(astm_class[0]))


def wetting(dyne_pen_mnm: float, low_mnm: float, good_mnm: float) -> str:
    """Read the wetting test: `high_tack_only`, `test_patch` or `good`.

    mN/m (the same number as dyn/cm), 18 to 75; pens scatter about ±3, so give 36 ± 3. Thresholds
    38 and 34 are common practice, no source. Raises OutOfRange, CannotSay for swapped thresholds.
    Method: ASTM D2578, ISO 8296.
    """
    refuse_outside((PEN, dyne_pen_mnm), (LOW, low_mnm), (GOOD, good_mnm))
    if low_mnm > good_mnm:
        raise CannotSay("low_mnm lies above good_mnm: swap them.")
    if dyne_pen_mnm < low_mnm:
        return "high_tack_only"
    return "good" if dyne_pen_mnm >= good_mnm else "test_patch"


def wetting_gain_mnm(dyne_pen_mnm: float, dyne_pen_cleaned_mnm: float) -> float:
    """By how much cleaning raised the wetting tension of a place, in mN/m.

    Both 18 to 75 mN/m with the same set of liquids; a pen's step is 2, two readings scatter by
    about 4. What a cleaner takes off was a residue; a coating and the plastic itself stay. Raises
    OutOfRange. Common practice, no source.
    """
    refuse_outside((PEN, dyne_pen_mnm), (PEN_CLEANED, dyne_pen_cleaned_mnm))
    return dyne_pen_cleaned_mnm - dyne_pen_mnm


def peel_convert(force: float, unit: str) -> float:
    """Peel force in N/25 mm from another unit of force per width, 0 to 5000 of it.

    Exact by the definitions of pound, inch and standard gravity. Only the unit changes: glass,
    steel and paint, 90 and 180°, do not convert into each other. Raises OutOfRange.
    """
    refuse_outside((FORCE, force), (UNIT, unit))
    return force * _N_PER_25MM[unit]


def peel_vs_sound(peel_here: float, peel_sound: float) -> float:
    """Peel at a suspect place over peel at a sound place, a ratio.

    Both in N/25 mm with the same film, angle, speed and temperature; by hand within about 30 %.
    Raises OutOfRange. Common practice, no source: on a car only the ratio counts.
    """
    refuse_outside((PEEL_HERE, peel_here), (PEEL_SOUND, peel_sound))
    return peel_here / peel_sound


_CROSS_CUT = ResultWords(
    (
        ("0", "No paint came off (ASTM 5B): sound ground."),
        ("1", "Up to 5 % came off (ASTM 4B): sound for most film, mind removal later."),
        ("2", "Up to 15 % came off (ASTM 3B): doubtful paint; film may take it off again."),
        ("3", "Up to 35 % came off (ASTM 2B): weak paint; send it to a refinisher first."),
        ("4", "Up to 65 % came off (ASTM 1B): weak paint; send it to a refinisher first."),
        ("5", "Over 65 % came off (ASTM 0B): nothing holds on this paint."),
    )
)
_CUT = "Blade: cut away from the hand. The cut goes through the paint: ask the owner first."
_LIQUIDS = (
    "Test liquids can harm skin and an unborn child: gloves, fresh air, the safety data sheet."
)
_WETTING = ResultWords(
    (
        (
            "high_tack_only",
            "Low energy: coated, waxed or a low-energy plastic. Clean and test "
            "again; only a listed high-tack film holds.",
        ),
        ("test_patch", "Undecided: lay a test patch before the job."),
        (
            "good",
            "Wets well enough for graphic adhesives. Pens also wet some dirty surfaces: do "
            "the water-break test too.",
        ),
    )
)
_GAIN = Bands(
    (
        (4.0, "Cleaning changed nothing: what repels is in the surface or holds fast to it."),
        (8.0, "Within the scatter of two readings, or cleaned only in part."),
    ),
    "Cleaning took something off: a residue lay there.",
)
_PEEL = Bands(
    (
        (0.5, "Much weaker than the sound place: ground, pressure or temperature differed here."),
        (0.8, "Somewhat weaker; by hand the difference is only just real."),
    ),
    "As strong as the sound place: look for pull, not for the bond.",
)

MEASURES = (
    Measure(
        id="cross_cut",
        name="Cross-cut class of the paint, ISO 2409 with ASTM D3359",
        function=cross_cut,
        inputs=(DETACHED.rises(),),
        unit="",
        says=_CROSS_CUT,
        words=_CROSS_CUT.order,
        error_bound="one class between two readers is usual",
        source="ISO 2409, ASTM D3359 method B",
        maturity=Maturity.CHECKED,
        caution=_CUT,
        example=(("detached_percent", "12 ± 2"),),
        example_result="2",
    ),
    Measure(
        id="cross_cut_from_astm",
        name="ISO 2409 class of an ASTM D3359 class",
        function=cross_cut_from_astm,
        inputs=(ASTM,),
        unit="",
        says=_CROSS_CUT,
        words=_CROSS_CUT.order,
        error_bound="none: the limits of area are the same",
        source="ISO 2409, ASTM D3359 method B",
        maturity=Maturity.CHECKED,
        caution=_CUT,
        example=(("astm_class", "3B"),),
        example_result="2",
    ),
    Measure(
        id="wetting",
        name="Wetting (dyne) test against a threshold",
        function=wetting,
        inputs=(
            PEN.rises(),
            LOW.falls().defaulting(exact(34)),
            GOOD.falls().defaulting(exact(38)),
        ),
        unit="",
        says=_WETTING,
        words=_WETTING.order,
        error_bound="pens scatter about ±3 mN/m",
        source="ASTM D2578 and ISO 8296 for the method; thresholds common practice, no source",
        maturity=Maturity.COMMON_PRACTICE,
        caution=_LIQUIDS,
        example=(("dyne_pen_mnm", "30 ± 3"),),
        example_result="high_tack_only",
    ),
    Measure(
        id="wetting_gain_mnm",
        name="Gain in wetting by cleaning",
        function=wetting_gain_mnm,
        inputs=(PEN.falls(), PEN_CLEANED.rises()),
        unit="mN/m",
        says=_GAIN,
        error_bound="about 4 mN/m between two readings",
        source="ASTM D2578 and ISO 8296 for the method; the bands are common practice, no source",
        maturity=Maturity.COMMON_PRACTICE,
        caution=_LIQUIDS,
        example=(("dyne_pen_mnm", "30"), ("dyne_pen_cleaned_mnm", "40")),
        example_result=10.0,
    ),
    Measure(
        id="peel_convert",
        name="Peel force in N/25 mm",
        function=peel_convert,
        inputs=(FORCE.rises(), UNIT),
        unit="N/25 mm",
        says=lambda value: (
            "State the method beside it: glass, steel and paint, 90 and 180° do not compare."
        ),
        error_bound="exact",
        source="definitions of pound, inch and standard gravity",
        maturity=Maturity.CHECKED,
        example=(("force", "1"), ("unit", "lbf_per_in")),
        example_result=4.37817,
    ),
    Measure(
        id="peel_vs_sound",
        name="Peel against a sound place",
        function=peel_vs_sound,
        inputs=(PEEL_HERE.rises(), PEEL_SOUND.falls()),
        unit="",
        says=_PEEL,
        error_bound="about 30 % by hand",
        source="common practice, no source",
        maturity=Maturity.COMMON_PRACTICE,
        example=(("peel_here", "3"), ("peel_sound", "8")),
        example_result=0.375,
    ),
)
