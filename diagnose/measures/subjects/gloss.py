"""Gloss: which angle counts, a patch against sound film, what a smooth film can read at most."""

import math

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

__all__ = ["MEASURES", "gloss_geometry", "gloss_ratio", "smooth_gloss_gu"]

GLOSS_60 = Input("gloss_60_gu", "GU", 0, 2000, "gloss at 60° on sound film")
HERE = Input("gloss_here_gu", "GU", 0, 2000, "gloss of the patch", checks=("gloss_here_gu",))
SOUND = Input(
    "gloss_ref_gu",
    "GU",
    0.5,
    2000,
    "gloss of sound film of the same piece, same angle",
    checks=("gloss_ref_gu",),
)
INDEX = Input("index", "", 1.3, 1.8, "refractive index of the film's face: PVC 1.54")
ANGLE = Input("angle", "", 0, 0, "angle of the gloss meter", words=("20", "60", "85"))

_REFERENCE_INDEX = 1.567


def gloss_geometry(gloss_60_gu: float) -> str:
    """Angle at which to judge: `85`, `60` or `20` degrees, from the reading at 60°.

    Over 70 GU at 20°, under 10 GU at 85°; 10 and 70 themselves stay with 60°. Raises OutOfRange.
    Source: ISO 2813, ASTM D523.
    """
    refuse_outside((GLOSS_60, gloss_60_gu))
    if gloss_60_gu < 10:
        return "85"
    return "20" if gloss_60_gu > 70 else "60"


def gloss_ratio(gloss_here_gu: float, gloss_ref_gu: float) -> float:
    """Gloss of a patch over that of sound film of the same piece.

    Same angle, same direction along the roll, clean, flat under the foot; sound film from 0.5 GU.
    Meters repeat to about 1 GU. Raises OutOfRange, CannotSay where both lie within 1 GU of nothing.
    """
    refuse_outside((HERE, gloss_here_gu), (SOUND, gloss_ref_gu))
    if gloss_here_gu < 1 and gloss_ref_gu < 1:
        raise CannotSay("both readings are within the meter's error: measure again at 85°.")
    return gloss_here_gu / gloss_ref_gu


def _fresnel(index: float, angle_deg: float) -> float:
    """Share of unpolarised light mirrored by a smooth face."""
    cosine, sine = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    root = math.sqrt(index**2 - sine**2)
    across = (cosine - root) / (cosine + root)
    along = (index**2 * cosine - root) / (index**2 * cosine + root)
    return (across**2 + along**2) / 2


def smooth_gloss_gu(index: float, angle: str) -> float:
    """Gloss in GU of a perfectly smooth face: 100·F(n, θ)/F(1.567, θ), F after Fresnel.

    Index 1.3 to 1.8, angle 20, 60 or 85°. Exact for clear, thick, smooth film. Raises OutOfRange.
    Source: scale of ISO 2813 (polished black glass of index 1.567 reads 100).
    """
    refuse_outside((INDEX, index), (ANGLE, angle))
    return 100 * _fresnel(index, float(angle)) / _fresnel(_REFERENCE_INDEX, float(angle))


_RATIO = Bands(
    (
        (0.8, "Duller than sound film: on gloss film stretched, burnt, scuffed or chalking."),
        (1.2, "As glossy as sound film within what the eye and the meter tell apart."),
    ),
    "Shinier than sound film: on matte film rubbed, waxed, or stretched so far that its texture "
    "is drawn flat.",
)
_ANGLE = ResultWords(
    (
        ("85", "Matte: judge and compare at 85°."),
        ("60", "Semi-gloss: judge and compare at 60°."),
        ("20", "High gloss: judge and compare at 20°."),
    )
)

MEASURES = (
    Measure(
        id="gloss_geometry",
        name="Angle at which to judge gloss",
        function=gloss_geometry,
        inputs=(GLOSS_60.rises(),),
        unit="",
        says=_ANGLE,
        words=_ANGLE.order,
        error_bound="none of its own",
        source="ISO 2813, ASTM D523",
        maturity=Maturity.CHECKED,
        example=(("gloss_60_gu", "6.5"),),
        example_result="85",
    ),
    Measure(
        id="gloss_ratio",
        name="Gloss of a patch against sound film",
        function=gloss_ratio,
        inputs=(HERE.rises(), SOUND.falls()),
        unit="",
        says=_RATIO,
        error_bound="meter about 1 GU on either reading",
        source="ISO 2813 for the readings; the bands are common practice",
        maturity=Maturity.COMMON_PRACTICE,
        example=(("gloss_here_gu", "9"), ("gloss_ref_gu", "6")),
        example_result=1.5,
    ),
    Measure(
        id="smooth_gloss_gu",
        name="Highest gloss that a smooth film can read",
        function=smooth_gloss_gu,
        inputs=(INDEX.defaulting(exact(1.54)), ANGLE.defaulting("60")),
        unit="GU",
        says=lambda value: (
            "No clear film of this index reads higher: more means metal or a bad calibration."
        ),
        error_bound="exact for a smooth face",
        source="Fresnel's equations on the scale of ISO 2813",
        maturity=Maturity.CHECKED,
        example=(("index", "1.54"), ("angle", "60")),
        example_result=95.7,
    ),
)
