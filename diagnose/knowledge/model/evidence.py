"""Entries for what is found out: checks, measures and findings."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Annotated, Literal

from pydantic import Field

from diagnose.knowledge.model.kinds import (
    NONE_OF_THESE,
    NOTHING,
    ChoiceKind,
    Kind,
    NumberKind,
    SeveralKind,
)
from diagnose.knowledge.model.values import Value
from diagnose.knowledge.model.words import (
    CautionId,
    DateWord,
    Entry,
    HarmWord,
    Id,
    PlaceKindId,
    PlaceWord,
    Sources,
    Text,
    When,
)
from diagnose.measures.quantity import Quantity


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


class NoAnswer(Entry):
    """How it is said that none of several answers is right."""

    says: Text
    phrases: tuple[Text, ...] = Field(default=(), description="words in a remark that say so")


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
    role: Literal["age", "edge_length", "same_roll", "who_laid_it"] | None = Field(
        default=None,
        description="age: months since the film was laid, which a claim also has from its two days;"
        " edge_length: how much of an edge a remedy with hours per metre works on; same_roll:"
        " whether other jobs of the roll show it, the first answer that they do; who_laid_it:"
        " whether it was this shop, another or the owner",
    )
    setting: bool = Field(
        default=False,
        description="it tells of what, where and when, and not what was found: no claim is decided"
        " on such answers alone",
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
    nothing: NoAnswer | None = Field(
        default=None, description="how it is said that none of several answers is right"
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
            answers = {word: answer.says for word, answer in self.answers.items()}
            return SeveralKind(answers, self.nothing.says if self.nothing else NONE_OF_THESE)
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

    @cached_property
    def phrases(self) -> dict[str, tuple[str, ...]]:
        """By answer what people say for it, and under 'none' that nothing is so."""
        its = {word: answer.phrases for word, answer in self.answers.items()}
        return {**its, NOTHING: self.nothing.phrases} if self.nothing else its

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
