"""The small words of the file format: ids, texts, words of strength and share, conditions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Annotated, Any, Literal, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    WithJsonSchema,
)
from pydantic_core import PydanticCustomError

from diagnose.knowledge.model import conditions
from diagnose.knowledge.model.conditions import Condition

UNLISTED = "unlisted"
"""The cause that is not in the rule base."""

Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$", max_length=60)]
"""A name such as relief_cut: lower case, digits, single underscores."""


@dataclass(frozen=True, slots=True)
class To:
    """Says of a field that it holds ids of a section: `Annotated[Id, To("remedies")]`."""

    section: str

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> Any:
        return {**handler(schema), SECTION: self.section}


SECTION = "x-section"
"""In a schema that knows no rule base: the section whose ids belong here."""

CONDITIONS = "conditions"
OBSERVABLES = "observables"
"""Checks and measures together, as a section."""


SymptomId = Annotated[Id, To("symptoms")]
CheckId = Annotated[Id, To("checks")]
ObservableId = Annotated[Id, To(OBSERVABLES)]
CauseId = Annotated[Id, To("causes")]
RemedyId = Annotated[Id, To("remedies")]
PayerId = Annotated[Id, To("payers")]
CautionId = Annotated[Id, To("cautions")]
PlaceKindId = Annotated[Id, To("place_kinds")]

Text = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


def _day(value: str) -> str:
    try:
        if not _DATE.fullmatch(value):
            raise ValueError
        date.fromisoformat(value)
    except ValueError:
        raise ValueError(f"'{value}' is no date: write it as 2026-12-24") from None
    return value


DayText = Annotated[str, AfterValidator(_day)]
"""A day such as 2026-12-24."""

StrengthWord = Literal["barely", "substantial", "strong", "decisive"]
ShareWord = Literal["very_common", "common", "occasional", "rare"]

DateWord = Literal["laid_on", "handed_on", "seen_on", "claimed_on"]
"""A date among the facts of a record."""

COMMON_PRACTICE = "common-practice"
UNSOURCED = (COMMON_PRACTICE, "memory", "derived")
"""Words that may stand instead of a source: the trade's habit, recalled, or computed here."""


class Origin(StrEnum):
    """Where a root cause comes from; `nothing_wrong` is for what is normal and no fault."""

    SURFACE_PREPARATION = "surface_preparation"
    ENVIRONMENT = "environment"
    TECHNIQUE = "technique"
    DESIGN = "design"
    PRINT_AND_LAMINATE = "print_and_laminate"
    FILM_MANUFACTURE = "film_manufacture"
    SUBSTRATE = "substrate"
    AFTERCARE = "aftercare"
    OUTSIDE_EVENT = "outside_event"
    END_OF_LIFE = "end_of_life"
    NOTHING_WRONG = "nothing_wrong"

    @property
    def words(self) -> str:
        """The origin as a reader sees it."""
        return self.value.replace("_", " ")


class CheckPlace(StrEnum):
    """Where a check is done."""

    AT_CAR = "at_car"
    IN_BAY = "in_bay"
    PAPERWORK = "paperwork"
    LAB = "lab"


class Harm(StrEnum):
    """What a check does to the film or the paint."""

    NONE = "none"
    MINOR = "minor"
    DESTRUCTIVE = "destructive"


OriginWord = Annotated[Origin, Field(strict=False)]
PlaceWord = Annotated[CheckPlace, Field(strict=False)]
HarmWord = Annotated[Harm, Field(strict=False)]
FilmWord = Literal["none", "strip", "piece", "set", "vehicle"]
"""How much new film a remedy takes."""


def _as_tuple(value: Any) -> Any:
    """A source alone, or a list as JSON gives it, as the tuple that is wanted."""
    return (
        (value,) if isinstance(value, str) else tuple(value) if isinstance(value, list) else value
    )


def _as_condition(value: Any) -> Any:
    try:
        return conditions.parse(value)
    except conditions.ConditionError as error:
        raise PydanticCustomError(
            "condition", "{sentence}", {"sentence": str(error), "at": error.at}
        ) from None


class _AsCondition:
    """Tells pydantic to read a Condition from plain data and how its JSON Schema looks."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(_as_condition)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> Any:
        return {SECTION: CONDITIONS}


When = Annotated[Condition, _AsCondition()]
Sources = Annotated[
    tuple[Text, ...],
    BeforeValidator(_as_tuple),
    Field(min_length=1),
    WithJsonSchema(
        {
            "anyOf": [
                {SECTION: "sources"},
                {"type": "array", "items": {SECTION: "sources"}, "minItems": 1},
            ]
        }
    ),
]
"""A source's id, a list of them, or one of: common-practice, memory, derived."""

REST = "rest"
"""Stands for the number of an answer that has a reason and takes its part of what is left."""


def _as_number(value: Any) -> Any:
    if value == REST:
        return value
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 100:
        sentence = f"{value!r} is neither a number from 0 to 100 nor the word rest"
        raise PydanticCustomError("of_100", "{sentence}", {"sentence": sentence})
    return value


SHARE_WORDS: tuple[str, ...] = get_args(ShareWord)


def _as_share(value: Any) -> Any:
    if value in SHARE_WORDS:
        return value
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < 100:
        sentence = f"{value!r} is neither a number under 100 nor one of {', '.join(SHARE_WORDS)}"
        raise PydanticCustomError("share", "{sentence}", {"sentence": sentence})
    return value


Share = Annotated[
    float | ShareWord,
    BeforeValidator(_as_share),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 100},
                {"enum": list(SHARE_WORDS)},
            ],
            "description": "of a hundred cars with the symptom, how many have it; or a word",
        }
    ),
]
"""How often a symptom is due to a cause: of a hundred cars, or a word of the scales."""


Of100 = Annotated[
    float | Literal["rest"],
    BeforeValidator(_as_number),
    WithJsonSchema(
        {
            "anyOf": [{"type": "number", "minimum": 0, "maximum": 100}, {"const": REST}],
            "description": "how many of a hundred; 0 rules out; rest: its part of what is left",
        }
    ),
]


class Entry(BaseModel):
    """Anything in a rule file."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)
