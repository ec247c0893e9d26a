"""Entries for what is seen: scales, symptoms, checks, measures and findings."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from math import log
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from diagnose.knowledge.model.kinds import ChoiceKind, Kind, NumberKind, SeveralKind
from diagnose.knowledge.model.values import Value
from diagnose.knowledge.model.words import (
    CautionId,
    CheckId,
    DateWord,
    Entry,
    FilmWord,
    HarmWord,
    Id,
    ObservableId,
    PlaceKindId,
    PlaceWord,
    ShareWord,
    Sources,
    StrengthWord,
    SymptomId,
    Text,
    When,
)
from diagnose.measures.quantity import Quantity

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
    worth_cases: WorthCases = Field(
        default_factory=WorthCases,
        description="how many closed cases the shares and rows of these files count for",
    )
    source: Sources

    @model_validator(mode="after")
    def _has_room(self) -> Self:
        """A cause is at work on no more vehicles than show it."""
        if self.vehicle_wide_percent > self.carried_over_percent:
            raise ValueError(
                f"vehicle_wide_percent ({self.vehicle_wide_percent:g}) is more than"
                f" carried_over_percent ({self.carried_over_percent:g}): a cause of the whole"
                " vehicle would be at work on more cars than there are"
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


class ConfusedWith(Entry):
    """Another symptom that looks like this one, and how to tell."""

    symptom: SymptomId
    tells: Text = Field(description="what tells the two apart, in one sentence")
    check: CheckId | None = Field(default=None, description="the check that tells them apart")
    answers: tuple[Id, ...] = Field(
        default=(), description="answers of that check that speak for the other symptom"
    )


class Normal(Entry):
    """What looks like this symptom and is no fault."""

    seen: Text
    normal_when: Text
    source: Sources


class Symptom(Entry):
    """A kind of visible failure."""

    id: Id
    name: Text
    group: Text
    look: Text = Field(description="how it looks and feels")
    appears: Text = Field(description="when it shows up")
    where: Text = Field(description="where on the car")
    look_first: tuple[CheckId, ...] = Field(
        default=(), description="what practitioners look at first, the most urgent first"
    )
    also_called: tuple[Text, ...] = Field(
        default=(), description="words for it at the counter, found by search and in remarks"
    )
    phrases: tuple[Text, ...] = Field(
        default=(), description="other words that say it, not worth a place among its names"
    )
    confused_with: tuple[ConfusedWith, ...] = ()
    normal: tuple[Normal, ...] = ()
    shows: dict[ObservableId, str] = Field(
        default_factory=dict,
        description="check: the answer that the symptom is by its own look; known without asking"
        " and evidence for nobody here",
    )
    usual: dict[ObservableId, dict[str, Annotated[float, Field(gt=0, le=100)]]] = Field(
        default_factory=dict,
        description="check: percent of its answers with this symptom, where they differ from those"
        " over all callbacks; what is not named shares the rest",
    )
    cautions: tuple[CautionId, ...] = Field(
        default=(), description="what to beware of while it is as it is, whatever is done about it"
    )
    source: Sources


class PossibleAnswer(Entry):
    """One answer of a check."""

    says: Text
    usual: Annotated[float, Field(gt=0, lt=100)] = Field(
        description="percent of callbacks in general in which the check gives this answer"
    )
    phrases: tuple[Text, ...] = Field(
        default=(), description="words in a remark that say this answer"
    )
    days: tuple[float, float] | None = Field(
        default=None,
        description="from how many to how many days between the dates of the check it can be right",
    )
    step: Literal["left_out", "done_badly"] | None = Field(
        default=None, description="what it says of a step of the work, where it says so of one"
    )


class Bin(Entry):
    """A stretch of a number's range, from where the one before ends."""

    under: float | None = Field(default=None, description="its end; the last bin has none")
    usual: Annotated[float, Field(gt=0, lt=100)] = Field(description="percent of callbacks")


class Number(Entry):
    """The unit and the sane range of a number."""

    unit: str
    low: float = Field(alias="from")
    high: float = Field(alias="to")


class Between(Entry):
    """The two dates of a record that a check lies between; of each side the first that is noted."""

    since: Annotated[tuple[DateWord, ...], Field(min_length=1)]
    until: Annotated[tuple[DateWord, ...], Field(min_length=1)]


class Observable(Entry):
    """What has a value that signs can read: a check or a measure.

    `codes` number its answers (or bins) from 0; `usual` are their shares, summing to one.
    """

    id: Id
    name: Text
    answers: dict[Id, PossibleAnswer] = Field(default_factory=dict)
    usual: tuple[Bin, ...] = Field(default=(), description="bins of a number with their shares")
    ordered: tuple[Id, ...] = Field(
        default=(), description="answers that rise or fall in this order; others stand apart"
    )

    @property
    def in_order(self) -> tuple[int, ...]:
        """The codes that have an order, in it; those of a number all do."""
        its = self.labels if self.edges else self.ordered
        return tuple(self.labels.index(label) for label in its)

    @cached_property
    def shares(self) -> tuple[float, ...]:
        """Usual share of each answer or bin; empty if none are stated.

        They sum to one, but where several answers can be right together: there each is its own.
        """
        raw = [a.usual for a in self.answers.values()] or [b.usual for b in self.usual]
        return tuple(x / sum(raw) for x in raw)

    @cached_property
    def outcomes(self) -> tuple[Value, ...]:
        """What it can turn out to be, each apart from the others."""
        return self.kind.outcomes

    @cached_property
    def outcome_codes(self) -> tuple[Sequence[int], ...]:
        """The answers, by code, of each outcome."""
        return tuple(self.kind.codes(outcome) for outcome in self.outcomes)

    @cached_property
    def edges(self) -> tuple[float, ...]:
        """Ends of the bins but the last, rising."""
        return tuple(b.under for b in self.usual if b.under is not None)

    @cached_property
    def labels(self) -> tuple[str, ...]:
        """A word for each code: the answer's id, or the bin in words."""
        return self.kind.labels

    @cached_property
    def kind(self) -> Kind:
        """What kind of value it has."""
        if self.answers:
            return ChoiceKind({word: answer.says for word, answer in self.answers.items()})
        return self._number()

    def _number(self) -> NumberKind:
        return NumberKind("", edges=self.edges)


class PlaceKind(Entry):
    """Places of a car that are alike in what there is to look at."""

    id: Id
    name: Text
    panels: tuple[Text, ...] = Field(description="places, without their side: mirror, front_door")
    source: Sources


class Check(Observable):
    """One thing a person can look at, feel, measure or read from paperwork."""

    headers: tuple[Text, ...] = Field(
        default=(), description="how a shop heads the column of its own table that tells it"
    )
    ask: Text = Field(description="the question, as it is put to the person")
    how: Text = Field(description="how it is done")
    mistake: Text | None = Field(default=None, description="how it is done wrongly")
    tool: Text
    minutes: Annotated[float, Field(gt=0)] = Field(description="working minutes of one person")
    waits_minutes: Annotated[float, Field(ge=0)] = Field(
        default=0, description="minutes until there is an answer, beyond the working minutes"
    )
    role: Literal["age", "edge_length", "same_roll"] | None = Field(
        default=None,
        description="age: months since the film was laid, which a claim also has from its two days;"
        " edge_length: how much of an edge a remedy with hours per metre works on; same_roll:"
        " whether other jobs of the roll show it, the first answer that they do",
    )
    place: PlaceWord
    harm: HarmWord
    scope: Literal["vehicle", "complaint"] = Field(
        description="vehicle: the same for all complaints on the car"
    )
    number: Number | None = None
    words: dict[Text, tuple[float, float]] = Field(
        default_factory=dict,
        description="words that people say for the number, each with the range that it stands for",
    )
    between: Between | None = Field(
        default=None, description="dates of the record that answer it as far as they can"
    )
    several: bool = Field(
        default=False,
        description="several of its answers can be right together; each has a share of its own",
    )
    asked_when: When | None = Field(
        default=None, description="asked only where this holds (say, for printed film only)"
    )
    asked_at: tuple[Text, ...] = Field(
        default=(),
        description="symptoms, or groups of them, that have what is looked at; without it all have",
    )
    not_on: tuple[PlaceKindId, ...] = Field(
        default=(), description="kinds of places that have nothing to look at (glass, plastic)"
    )
    cautions: tuple[CautionId, ...] = ()
    source: Sources

    @cached_property
    def kind(self) -> Kind:
        """What kind of value it has."""
        if self.several:
            return SeveralKind({word: answer.says for word, answer in self.answers.items()})
        return super().kind

    @cached_property
    def shares(self) -> tuple[float, ...]:
        """Usual share of each answer or bin; of answers that can be right together each its own."""
        if self.several:
            return tuple(answer.usual / 100 for answer in self.answers.values())
        return super().shares

    def _number(self) -> NumberKind:
        if self.number is None:
            return super()._number()
        its = self.number
        words = {word.casefold(): Quantity(*ends) for word, ends in self.words.items()}
        return NumberKind(its.unit, its.low, its.high, self.edges, words=words)

    @property
    def unit(self) -> str:
        """The unit of a number, as it is measured in; '' for answers."""
        return self.number.unit if self.number else ""


class MeasureUse(Observable):
    """A number that a function of diagnose.measures computes from answers."""

    function: Id = Field(description="its name in `diagnose measure`")
    inputs: dict[Id, Id | float] = Field(
        description="for each input of the function: a check, a measure, a word or a number"
    )
    needed: tuple[Id, ...] = Field(
        default=(),
        description="inputs that have to be told although the function has a value of its own",
    )
    unit: str = ""
    source: Sources

    def _number(self) -> NumberKind:
        return NumberKind(self.unit, edges=self.edges, digits=3)


class FindingRule(Entry):
    """One way to come to a finding."""

    when: When
    because: Text
    source: Sources


class Finding(Entry):
    """An intermediate conclusion: found when one of its rules holds."""

    id: Id
    name: Text
    role: Literal["printed"] | None = Field(
        default=None, description="printed: where it is found, a new piece is a new print"
    )
    rules: Annotated[tuple[FindingRule, ...], Field(min_length=1)]
