"""The numbers of judgement that no single entry holds: what is worth what."""

from __future__ import annotations

from math import log
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from diagnose.knowledge.model.words import (
    Entry,
    FilmWord,
    HarmWord,
    OriginWord,
    PlaceWord,
    ShareWord,
    Sources,
    StrengthWord,
)

Percent = Annotated[float, Field(gt=0, lt=100)]


class Acting(Entry):
    """From where on something is done about a cause, and somebody pays for it."""

    in_play_percent: Percent = Field(
        description="from this probability on a cause is acted on, though another leads"
    )
    payers_apart_decibans: Annotated[float, Field(gt=0)] = Field(
        description="nearer than this two payers are not told apart"
    )
    proof_decibans: Annotated[float, Field(gt=0)] = Field(
        description="from this sum of its signs on a cause counts as shown by itself"
    )
    nearly_sure_percent: Percent = Field(
        description="a plan that ends the matter so often needs no looking further behind it"
    )
    least_hope_percent: Percent = Field(
        description="nobody is asked to come in for a try that holds less often"
    )
    another_visit_hours: Annotated[float, Field(gt=0)] = Field(
        description="what is judged later than this after the work is judged at another visit"
    )
    least_laying_hours: Annotated[float, Field(ge=0)] = Field(
        description="that laying takes, once the machines' work is taken off a reprint's"
    )
    beyond_size_percent: Annotated[float, Field(ge=0, le=100)] = Field(
        description="of the spread of the hours (of its logarithm), what the size of the job does"
        " not explain: how hard the place is, and who works there"
    )

    @property
    def in_play(self) -> float:
        """The probability from which on a cause is acted on."""
        return self.in_play_percent / 100


class Asking(Entry):
    """What is held against what a check saves, and what is hoped for from it."""

    waiting_percent: Annotated[float, Field(ge=0)] = Field(
        description="what a minute of waiting costs of a minute of work"
    )
    untold_in_a_row: Annotated[int, Field(ge=1)] = Field(
        description="so many checks a person may fail to tell before less is expected of the next;"
        " one that was told makes up for as many again"
    )


class Stakes(Entry):
    """What a wrong end costs beside the hours of remedies, in hours of the shop's work."""

    film_hours: dict[FilmWord, Annotated[float, Field(ge=0)]] = Field(
        description="what the film of a remedy is worth"
    )
    visit_hours: Annotated[float, Field(ge=0)] = Field(
        description="the car coming in once more, with the owner's trouble"
    )
    look_further_hours: Annotated[float, Field(ge=0)] = Field(
        description="looking further, with a laboratory, where nothing fits"
    )
    wrong_payer_percent: Annotated[float, Field(ge=0, le=100)] = Field(
        description="of the correction, what is lost where the wrong side pays"
    )
    comes_back_percent: Annotated[float, Field(ge=0, le=100)] = Field(
        description="how often a fault comes back whose cause was not the one prevented"
    )


Cases = Annotated[float, Field(gt=0, le=100_000)]
MaturityWord = Literal["A", "B", "C", "D", "common-practice", "memory", "derived"]


class WorthCases(Entry):
    """How many closed cases what is judged counts for, where it is not so in a shop.

    And how much of it is expected not to be so, before a shop has counted anything.
    """

    shares: Cases = 80
    rows: Cases = 12
    differing_percent: Annotated[float, Field(gt=0, lt=100)] = Field(
        default=5, description="of rows, and of shares, that are not as judged in a shop"
    )
    differing_rows: Cases = Field(
        default=10, description="rows that this percentage counts for beside those of a shop"
    )
    times: tuple[Cases, ...] = Field(
        default=(1,),
        min_length=1,
        description="what is judged may be worth so many times as much; the shop's rows tell which",
    )
    by_source: dict[MaturityWord, Cases] = Field(
        default_factory=dict,
        description="of rows that rest on a source of this weight, or on one of the words"
        " common-practice, memory, derived; the others are worth what `rows` says",
    )

    def of(self, maturity: str) -> float:
        """What an entry that rests on this is worth."""
        return self.by_source.get(maturity, self.rows)  # type: ignore[call-overload, no-any-return]


class Scales(Entry):
    """The numbers behind the words, in one place."""

    strengths: dict[StrengthWord, Annotated[float, Field(gt=0, lt=60)]] = Field(
        description="decibans of each word of strength"
    )
    shares: dict[ShareWord, Annotated[float, Field(gt=0)]] = Field(
        description="cars in a hundred for which each word of share stands"
    )
    unlisted_percent: Annotated[float, Field(gt=0, lt=100)] = Field(
        description="kept at each symptom for a cause that is not in the rule base"
    )
    asking_minutes: Annotated[float, Field(ge=0)] = Field(
        description="added to the minutes of a check for being asked at all"
    )
    harm_minutes: dict[HarmWord, Annotated[float, Field(ge=0)]] = Field(
        description="added to the minutes of a check that harms film or paint"
    )
    away_minutes: dict[PlaceWord, Annotated[float, Field(ge=0)]] = Field(
        description="added for a check that is not done at the car"
    )
    told_percent: dict[PlaceWord, Annotated[float, Field(gt=0, le=100)]] = Field(
        description="how often a check that is asked there can be told at all (a record is there,"
        " a person remembers)"
    )
    carried_over_percent: Annotated[float, Field(gt=0, lt=100)] = Field(
        description="a cause at work on the whole vehicle explains a complaint that it lies"
        " behind with this probability"
    )
    vehicle_wide_percent: Annotated[float, Field(ge=0, lt=100)] = Field(
        description="of a whole-vehicle cause's share behind a symptom, the part in which it is at"
        " work on the whole vehicle and not at this place only"
    )
    elsewhere_percent: dict[OriginWord, Annotated[float, Field(ge=0, lt=100)]] = Field(
        description="the same for a cause of a single place, by its origin: the part in which it is"
        " at work at other places of the vehicle too; none where an origin is not named"
    )
    leads_clearly_percent: Annotated[float, Field(gt=0, lt=100)]
    probable_percent: Annotated[float, Field(gt=0, lt=100)]
    possible_percent: Annotated[float, Field(gt=0, lt=100)]
    poor_fit_percent: Percent = Field(
        description="where listed causes leave so little evidence for themselves less often than"
        " this, something that is not listed may well be it"
    )
    acting: Acting
    asking: Asking
    stakes: Stakes
    estimated_percent: Annotated[float, Field(ge=0, lt=100)] = Field(
        default=0,
        description="how much of a row is what a panel estimated of it, where it did",
    )
    over_all_percent: Annotated[float, Field(ge=0, lt=100)] = Field(
        default=0,
        description="how much of a written row is what a panel estimated over all symptoms of the"
        " cause, where it estimated nothing at the symptom",
    )
    worth_cases: WorthCases = Field(
        default_factory=WorthCases,
        description="how many closed cases the shares and rows of these files count for",
    )
    source: Sources

    @model_validator(mode="after")
    def _has_room(self) -> Self:
        """A cause is at work on no more vehicles than show it."""
        parts = {"vehicle_wide_percent": self.vehicle_wide_percent}
        parts |= {f"elsewhere_percent of {o.words}": p for o, p in self.elsewhere_percent.items()}
        for name, part in parts.items():
            if part > self.carried_over_percent:
                raise ValueError(
                    f"{name} ({part:g}) is more than carried_over_percent"
                    f" ({self.carried_over_percent:g}): a cause of the whole vehicle would be at"
                    " work on more cars than there are"
                )
        return self

    def weight(self, share: float | ShareWord) -> float:
        """Of a hundred cars with a symptom, those with a cause, said as a number or a word."""
        return self.shares[share] if isinstance(share, str) else share

    def how_often(self, share: float | ShareWord) -> str:
        """The word whose number stands nearest, in as many times as one is of the other."""
        if isinstance(share, str):
            return share.replace("_", " ")
        near = min(self.shares.items(), key=lambda item: abs(log(item[1] / share)))
        return near[0].replace("_", " ")
