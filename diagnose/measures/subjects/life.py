"""Time: age against stated life, months left, and what is left of a warranty."""

from diagnose.measures.model import Bands, Input, Maturity, Measure, refuse_outside
from diagnose.measures.quantity import exact

__all__ = ["MEASURES", "age_vs_stated", "life_on_face_months", "months_left", "warranty_left"]

AGE = Input("age_months", "months", 0, 240, "age of the wrap", checks=("age_months",))
STATED = Input(
    "stated_life_months",
    "months",
    1,
    144,
    "life that the document of the purchase date states for upright faces",
    checks=("stated_life_months",),
)
FACE = Input(
    "face",
    "",
    0,
    0,
    "how the face lies; more than 10° off vertical is sloped",
    words=("vertical", "sloped", "horizontal"),
    checks=("orientation",),
)
HORIZONTAL = Input(
    "horizontal_share",
    "",
    0.1,
    1,
    "share of the stated life on sloped and horizontal faces; 1 where it is stated for that face",
)
EXPOSURE = Input(
    "exposure_share", "", 0.1, 1, "share of the stated life in this climate zone, by the bulletin"
)
TERMS = Input("terms", "", 0, 0, "how the warranty runs down", words=("linear", "first_year_full"))


def life_on_face_months(
    stated_life_months: float, face: str, horizontal_share: float, exposure_share: float
) -> float:
    """Life in months that is stated for this face and exposure: the stated life times shares.

    Stated 1 to 144 months, shares 0.1 to 1. Half for faces over 10° off vertical is what one
    shop's terms give (12 against 24 months); film makers shorten or exclude them. Raises
    OutOfRange.
    """
    refuse_outside(
        (STATED, stated_life_months),
        (FACE, face),
        (HORIZONTAL, horizontal_share),
        (EXPOSURE, exposure_share),
    )
    lying = 1.0 if face == "vertical" else horizontal_share
    return stated_life_months * lying * exposure_share


def age_vs_stated(
    age_months: float,
    stated_life_months: float,
    face: str,
    horizontal_share: float,
    exposure_share: float,
) -> float:
    """Age over the life stated for this face and exposure, a ratio; 1 is the end of life.

    Age 0 to 240 months, life as `life_on_face_months`. Raises OutOfRange. Definition.
    """
    refuse_outside((AGE, age_months))
    life = life_on_face_months(stated_life_months, face, horizontal_share, exposure_share)
    return age_months / life


def months_left(
    age_months: float,
    stated_life_months: float,
    face: str,
    horizontal_share: float,
    exposure_share: float,
) -> float:
    """Months left of the life stated for this face and exposure, 0 at least.

    As `age_vs_stated`. Raises OutOfRange. Definition.
    """
    refuse_outside((AGE, age_months))
    life = life_on_face_months(stated_life_months, face, horizontal_share, exposure_share)
    return max(0.0, life - age_months)


def warranty_left(
    age_months: float,
    stated_life_months: float,
    face: str,
    horizontal_share: float,
    exposure_share: float,
    terms: str,
) -> float:
    """Share of the price that a pro rata warranty still carries, 0 to 1.

    `linear` falls straight from 1 when new to 0 at the end; `first_year_full` stays 1 for twelve
    months, then falls straight to 0 at the end. As `age_vs_stated`. Which one holds stands in the
    document of the purchase date. Raises OutOfRange. Pro rata terms as published by shops.
    """
    refuse_outside((AGE, age_months), (TERMS, terms))
    life = life_on_face_months(stated_life_months, face, horizontal_share, exposure_share)
    free = min(12.0, life) if terms == "first_year_full" else 0.0
    if age_months >= life:
        return 0.0
    return min(1.0, (life - age_months) / (life - free)) if age_months > free else 1.0


_AGE = Bands(
    (
        (0.5, "Young for its stated life: age does not explain this fault."),
        (0.9, "Well into its stated life."),
        (1.0, "Near the end of its stated life."),
    ),
    "Past its stated life: wear is to be expected.",
)
_LEFT = Bands(
    ((0.01, "Nothing left by these terms; exclusions and goodwill stand in the document."),),
    "Share of the film's price by these terms; labour only where the document says so, and never "
    "more than was paid.",
)
_MONTHS = Bands(
    ((0.01, "The stated life on this face is over."),),
    "Left of the stated life on this face; notice has to be given before it ends.",
)
_LIFE = (
    STATED,
    FACE.defaulting("vertical"),
    HORIZONTAL.defaulting(exact(0.5)),
    EXPOSURE.defaulting(exact(1)),
)

MEASURES = (
    Measure(
        id="age_vs_stated",
        name="Age against the stated life of this face",
        function=age_vs_stated,
        inputs=(AGE.rises(), *(wanted.falls() if not wanted.words else wanted for wanted in _LIFE)),
        unit="",
        says=_AGE,
        error_bound="none of its own; shares are the bulletin's",
        source="definition; half for horizontal faces from one shop's terms",
        maturity=Maturity.SOURCED,
        example=(("age_months", "20"), ("stated_life_months", "72"), ("face", "horizontal")),
        example_result=0.5556,
    ),
    Measure(
        id="months_left",
        name="Months left of the stated life of this face",
        function=months_left,
        inputs=(AGE.falls(), *(wanted.rises() if not wanted.words else wanted for wanted in _LIFE)),
        unit="months",
        says=_MONTHS,
        error_bound="none of its own; shares are the bulletin's",
        source="definition; half for horizontal faces from one shop's terms",
        maturity=Maturity.SOURCED,
        example=(("age_months", "20"), ("stated_life_months", "72"), ("face", "horizontal")),
        example_result=16.0,
    ),
    Measure(
        id="warranty_left",
        name="Share left of a pro rata warranty",
        function=warranty_left,
        inputs=(
            AGE.falls(),
            *(wanted.rises() if not wanted.words else wanted for wanted in _LIFE),
            TERMS.defaulting("linear"),
        ),
        unit="",
        says=_LEFT,
        error_bound="none of its own; the document decides",
        source="pro rata terms as published by shops",
        maturity=Maturity.SOURCED,
        example=(("age_months", "20"), ("stated_life_months", "36")),
        example_result=0.4444,
    ),
)
