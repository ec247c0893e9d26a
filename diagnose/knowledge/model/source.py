"""What is published and statements rest on, so named that anybody can find it again."""

from __future__ import annotations

import re
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from diagnose.knowledge.model.words import DayText, Entry, Id, Text

WEIGHTS = {
    "A": "standard, authority, journal or textbook",
    "B": "trade body, trade magazine or technical text of a converter",
    "C": "text of a maker, a seller or one shop",
    "D": "general text on the web",
}
READ = {"full": "read in full", "excerpt": "read in parts", "memory": "recalled, to be confirmed"}

UNDATED = "undated"
_YEAR = re.compile(r"1[89]\d\d|20\d\d")
_ADDRESS = re.compile(r"https?://[^\s/]+\.[^\s/]+(/\S*)?")


def _year(value: object) -> str:
    text = str(value)
    if text != UNDATED and not _YEAR.fullmatch(text):
        raise ValueError(f"'{text}' is no year: write it as 2016, or undated")
    return text


def _address(value: str) -> str:
    if not _ADDRESS.fullmatch(value):
        raise ValueError(f"'{value}' is no address: write it whole, from https:// on")
    return value


Year = Annotated[str, BeforeValidator(_year, json_schema_input_type=int | Literal["undated"])]
Address = Annotated[str, AfterValidator(_address)]


class Source(Entry):
    """Something published. Makers are named here only, as publishers of what is cited."""

    id: Id
    title: Text
    authors: Text | None = Field(default=None, description="of an article in a journal or a book")
    publisher: Text = Field(description="who answers for it: body, journal, firm")
    year: Year = Field(description="of the edition or text that was read, or undated")
    reference: Text | None = Field(
        default=None,
        description="number of a standard or report; volume, issue and pages; DOI",
    )
    address: Address | None = Field(default=None, description="where it, or a copy, can be read")
    weight: Literal["A", "B", "C", "D"] = Field(
        description="A standard, government, journal, textbook; B trade body or magazine;"
        " C maker's or seller's text; D general web text"
    )
    read: Literal["full", "excerpt", "memory"] = Field(description="how much of it was read")
    looked_up: DayText = Field(description="the last day on which somebody looked for it")
    note: Text | None = None

    @model_validator(mode="after")
    def _can_be_found(self) -> Self:
        if not (self.reference or self.address):
            raise ValueError(f"source '{self.id}' cannot be found: give its address or reference")
        return self

    @property
    def citation(self) -> str:
        """Authors, title, publisher, year, reference and address in one line."""
        by = f"{self.authors}: " if self.authors else ""
        said = (f"{by}{self.title}", f"{self.publisher}, {self.year}", self.reference, self.address)
        return ". ".join(part for part in said if part)

    @property
    def reading(self) -> str:
        """How much of it was read, and when it was looked up."""
        return f"{READ[self.read]}; looked up on {self.looked_up}"
