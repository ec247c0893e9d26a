"""The shape of a case as a YAML file."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, PlainValidator, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from diagnose.knowledge.logic.answers import digits
from diagnose.knowledge.model.words import Entry
from diagnose.knowledge.reading.shape import tuples
from diagnose.records.case.journal import EventKind

GRADES = ("plain", "tricky", "treacherous")
Grade = Literal["plain", "tricky", "treacherous"]

_ID = re.compile(r"[a-z0-9][a-z0-9_-]{0,99}")
_HASH = re.compile(r"[0-9a-f]{64}")


def _id(value: str) -> str:
    if not _ID.fullmatch(value):
        raise ValueError(f"'{value}' is no id: lower case letters, digits, - and _")
    return value


def _hash(value: str) -> str:
    if not _HASH.fullmatch(value):
        raise ValueError(f"'{value}' is no photo's content hash (64 hex digits)")
    return value


def _moment(value: str) -> str:
    try:
        datetime.fromisoformat(value)
    except ValueError:
        raise ValueError(f"'{value}' is no time such as 2026-03-31T14:05:00+00:00") from None
    return value


def _said(value: Any) -> Any:
    said = value if isinstance(value, tuple | list) and value else [value]
    if any(item is None or isinstance(item, bool | list | tuple | dict) for item in said):
        sentence = "needs an answer, a list of them, a number, or unknown"
        raise PydanticCustomError("of_key", sentence)
    texts = tuple(item if isinstance(item, str) else digits(item) for item in said)
    return texts if isinstance(value, tuple | list) else texts[0]


def _figure(value: Any) -> Any:
    if value is None or (isinstance(value, int | float) and not isinstance(value, bool)):
        return value
    raise PydanticCustomError("of_key", "must be a number")


Said = Annotated[str | tuple[str, ...], PlainValidator(_said)]
"""An answer as written, a number in its digits; several, of which one or all are right."""

Figure = Annotated[int | float | None, PlainValidator(_figure)]
Number = Annotated[int, Field(ge=1)]


class PhotoText(Entry):
    """A photo by its content."""

    photo: Annotated[str, AfterValidator(_hash)]
    caption: str = ""


class OutcomeText(Entry):
    """What a complaint turned out to be."""

    cause: str
    confirmed_by: str
    also_causes: tuple[str, ...] = ()
    remedy: str = ""
    held: bool | None = None
    payer: str = ""
    cost: Figure = None
    note: str = ""


class ComplaintText(Entry):
    """One symptom at one place."""

    number: Number | None = None
    symptom: str
    panel: str
    answers: dict[str, Said] = Field(default_factory=dict)
    set_aside: tuple[str, ...] = ()
    photos: tuple[PhotoText, ...] = ()
    remedies_done: tuple[str, ...] = ()
    held: bool | None = None
    outcome: OutcomeText | None = None


class CustomerText(Entry):
    """Whose vehicle it is."""

    name: str
    plate: str = ""


class EventText(Entry):
    """One line of a journal."""

    at: Annotated[str, AfterValidator(_moment)]
    kind: Annotated[EventKind, Field(strict=False)]
    number: int | None = None
    key: str = ""
    text: str = ""
    answer: Said | None = None
    complaint: Number | None = None
    undoes: Number | None = None
    data: dict[str, Any] = Field(default_factory=dict, validate_default=True)

    @field_validator("data")
    @classmethod
    def _is_outcome(cls, data: dict[str, Any], info: ValidationInfo) -> dict[str, Any]:
        """What closes a complaint has the shape of an outcome."""
        if info.data.get("kind") is EventKind.CLOSED:
            OutcomeText.model_validate(tuples(data))
        return data


class CaseText(Entry):
    """The whole file; facts are text as typed."""

    case: Annotated[str, AfterValidator(_id)]
    title: str = ""
    grade: Grade | None = None
    vehicle: str = ""
    film: str = ""
    lot: str = ""
    installer: str = ""
    laid_on: str = ""
    handed_on: str = ""
    seen_on: str = ""
    place: str = ""
    remark: str = ""
    told: str = ""
    not_understood: str = ""
    lesson: str = ""
    customer: CustomerText | None = None
    circumstances: dict[str, Said] = Field(default_factory=dict)
    photos: tuple[PhotoText, ...] = ()
    complaints: tuple[ComplaintText, ...]
    journal: tuple[EventText, ...] = ()
