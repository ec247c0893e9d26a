"""Entries for the words that people say: what means the same, what denies, what counts time."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from diagnose.knowledge.model.words import (
    CheckId,
    DateWord,
    Entry,
    Id,
    Sources,
    Text,
)

Said = tuple[Text, ...]


class TimeTold(Entry):
    """A check that is answered by how long it took, in days."""

    check: CheckId
    words: Said = Field(description="words beside a time that make it this: 'after', 'later'")
    hints: Said = Field(
        default=(), description="words beside a time that let it be guessed only: 'old'"
    )
    ends: dict[Id, Annotated[float, Field(gt=0)] | None] = Field(
        description="for each answer the number of days until which it holds; the last has none"
    )


class NumberTold(Entry):
    """A check that is answered by a number, and the words that such a number stands beside."""

    check: CheckId
    words: Said
    along: Said = Field(default=(), description="words one of which must stand in the clause too")
    unless: Said = Field(
        default=(), description="words that, as near to the number, make it that of something else"
    )
    alone: bool = Field(
        default=False, description="whether a statement that is only a number says this"
    )
    needs_unit: bool = Field(
        default=True, description="whether a number without a unit says nothing"
    )


class Wording(Entry):
    """How people say things, beside the phrases of answers and the names of symptoms."""

    same: tuple[Annotated[Said, Field(min_length=2)], ...] = Field(
        default=(), description="words that mean the same here; the first stands for all"
    )
    kinds: dict[Text, Said] = Field(
        default_factory=dict,
        description="what is said of the first holds of the others: a decal is film",
    )
    forms: dict[Text, Text] = Field(
        default_factory=dict, description="a form that its ending does not show: torn is tear"
    )
    short: dict[Text, Text] = Field(
        default_factory=dict, description="what is written short: n/s is nearside"
    )
    fillers: Said = Field(default=(), description="words that say nothing of their own")
    little: Said = Field(
        default=(), description="small words, such as 'off', before and after which order matters"
    )
    stops: Said = Field(default=(), description="words at which a new statement begins")
    no: Said = Field(default=(), description="words that deny what follows")
    no_further: Said = Field(default=(), description="small words past which a 'no' does not reach")
    not_no: Said = Field(default=(), description="words that look like denying and do not")
    perhaps: Said = Field(default=(), description="words that make a statement a mere guess")
    unsure: Said = Field(default=(), description="words that say that it could not be told")
    counts: dict[Text, float | tuple[float, float]] = Field(
        default_factory=dict,
        description="words that are numbers, or say no more than two ends: three is 3",
    )
    under: Said = Field(
        default=(), description="words before a number that make it the upper end: 'less than'"
    )
    days: dict[Text, float] = Field(
        default_factory=dict, description="the days of a unit of time: week is 7"
    )
    months: Said = Field(default=(), description="the names of the months, January first")
    outside: Said = Field(
        default=(),
        description="words for what works on film beside how it was made and laid: a blow, a lance,"
        " a cleaner, the hands of others. A claim is not accepted over one that was not weighed",
    )
    later_owner: Said = Field(
        default=(), description="words that say that who claims is not the first owner"
    )
    seasons: dict[Text, Annotated[int, Field(ge=1, le=12)]] = Field(
        default_factory=dict, description="the month in which a season begins; it has three"
    )
    lately: dict[Text, tuple[int, int]] = Field(
        default_factory=dict, description="days ago, least and most: yesterday is 1, 1"
    )
    dates: dict[DateWord, Said] = Field(
        default_factory=dict, description="words beside a date that say what was done then"
    )
    places: dict[Id, Said] = Field(
        default_factory=dict, description="other words for a place of the vehicle, without a side"
    )
    wide: tuple[Id, ...] = Field(
        default=(), description="places that stand back where a nearer one is named too"
    )
    implied: dict[Id, dict[Id, Id]] = Field(
        default_factory=dict, description="answers that a symptom itself gives"
    )
    sides: dict[Literal["left", "right"], Said] = Field(default_factory=dict)
    told: tuple[TimeTold, ...] = ()
    amounts: tuple[NumberTold, ...] = ()
    numbers: dict[Id, dict[Text, Said]] = Field(
        default_factory=dict,
        description="for a check of a number, phrases that say one: '0' is brand new",
    )
    topics: dict[Id, Said] = Field(
        default_factory=dict,
        description="what a check is about, for one who says that he could not tell",
    )
    source: Sources
