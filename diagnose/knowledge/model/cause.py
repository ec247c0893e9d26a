"""Entries for why it happened: causes with their signs, and what cannot be both."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field

from diagnose.knowledge.model.words import (
    CauseId,
    CheckId,
    Entry,
    Id,
    ObservableId,
    Of100,
    OriginWord,
    PayerId,
    RemedyId,
    Share,
    Sources,
    StrengthWord,
    SymptomId,
    Text,
    To,
    When,
)


class ShownAnswers(Entry):
    """Of a hundred cars with this cause, how many show these answers of a check, and why.

    Several entries on one check form its row. What none of them names shares the rest by the usual
    shares of the check.
    """

    check: ObservableId = Field(description="a check or a measure")
    of_100: dict[str, Of100] = Field(
        min_length=1, description="of a hundred cars with this cause, how many show each answer"
    )
    because: Text
    source: Sources
    group: Id | None = Field(
        default=None, description="checks that see the same thing; only the strongest counts"
    )
    at: tuple[SymptomId, ...] = Field(
        default=(),
        description="symptoms at which this row stands in place of the general one",
    )


class Sign(Entry):
    """Evidence for or against a cause in a word of strength.

    Written only where no row can say it: on several subjects, on a finding, or on a number without
    bins. What a row says of an answer is read as a sign too.
    """

    when: When
    speaks: Literal["for", "against"]
    strength: StrengthWord
    because: Text
    source: Sources
    group: Id | None = Field(
        default=None, description="signs that see the same thing twice; only the strongest counts"
    )


class RuleOut(Entry):
    """What makes a cause physically impossible, where no 0 in a row can say it."""

    when: When
    because: Text
    source: Sources


class Never(Entry):
    """A remedy that makes this cause worse or hides it."""

    remedy: RemedyId
    because: Text
    tempts_at: tuple[SymptomId, ...] = Field(
        default=(), description="symptoms at which someone tries it, though it mends none of them"
    )


class OtherPayer(Entry):
    """Who pays instead, where this holds."""

    payer: PayerId
    when: When
    because: Text


class Responsibility(Entry):
    """Who carries the cost as a rule, and where someone else does.

    Where several of `unless` hold, the first of them in the order of the file counts.
    """

    payer: PayerId
    because: Text
    unless: tuple[OtherPayer, ...] = ()


class Cause(Entry):
    """A root cause with all that is known of it, in one place."""

    id: Id
    name: Text
    plainly: Text = Field(description="the cause in one sentence for a customer")
    origin: OriginWord
    mechanism: Text = Field(description="one or two sentences of physics")
    behind: dict[SymptomId, Share] = Field(
        min_length=1,
        description="symptom: of a hundred cars with it, how many have this cause; or a word",
    )
    scope: Literal["place", "vehicle"] = Field(
        default="place", description="vehicle: at work on the whole vehicle, if at all"
    )
    shows: tuple[ShownAnswers, ...] = ()
    signs: tuple[Sign, ...] = ()
    ruled_out_when: tuple[RuleOut, ...] = ()
    remedies: dict[RemedyId, Annotated[float, Field(ge=0, le=100)]] = Field(
        default_factory=dict,
        description="remedies in the order in which they are tried, with percent of success",
    )
    also: tuple[RemedyId, ...] = Field(
        default=(), description="steps that go with any of the remedies"
    )
    never: tuple[Never, ...] = ()
    responsibility: Responsibility
    prevention: Text
    source: Sources


class Contradiction(Entry):
    """Answers that cannot both be right."""

    id: Id
    when: When
    because: Text
    source: Sources


class Inseparable(Entry):
    """Two causes that nobody at the car can tell apart, why that is so, and what would tell."""

    causes: tuple[CauseId, CauseId]
    at: tuple[SymptomId, ...] = Field(
        default=(), description="the symptoms at which it is so; left out: wherever both lie behind"
    )
    because: Text
    would_tell: Text | None = Field(
        default=None, description="what tells them apart all the same: a laboratory, time"
    )


# What was estimated blind

Named = Annotated[str, To("causes")]
"""A cause, whose id is looked up with all references; no pattern, for there are many."""

Parts = str
"""Numbers from 0 to 100 with a space between; as one text, for there are many and few are read."""


ALL_SYMPTOMS = "all_symptoms"
"""The id of what was estimated over all symptoms of a cause."""


class EstimatedRows(Entry):
    """Of a hundred cars with each cause, how many show each answer of one check."""

    check: CheckId
    answers: Annotated[tuple[str, ...], Field(min_length=1)] = Field(
        description="the answers, or bins, that the numbers below stand for, in this order"
    )
    group: Id | None = Field(
        default=None,
        description="what a row is counted with (see `group` of a sign) where the cause itself"
        " says nothing of the check",
    )
    usual: Parts | None = Field(
        default=None,
        description="over all symptoms only: of a hundred callbacks, how many show each answer",
    )
    of_100: dict[Named, Parts] = Field(
        min_length=1,
        description="cause: of a hundred cars with it, how many show each answer: 5 20 75",
    )

    def numbers(self, cause: str) -> tuple[float, ...]:
        """The numbers of a cause, in the order of the answers; raises ValueError for others."""
        return tuple(map(float, self.of_100[cause].split()))

    def usual_numbers(self) -> tuple[float, ...]:
        """The numbers of callbacks in general; raises ValueError for what are none."""
        return tuple(map(float, (self.usual or "").split()))


class Estimates(Entry):
    """What a panel that saw no rule estimated at one symptom.

    A row of a cause is the mean of what stands with it and of this, by `estimated_percent`. What
    was estimated over all symptoms of a cause stands under ALL_SYMPTOMS, beside what is usual; it
    holds where nothing was estimated at the symptom.
    """

    id: Id = Field(description="the symptom, or all_symptoms")
    rows: tuple[EstimatedRows, ...]
    source: Sources


class WholeCases(Entry):
    """By how much a cause moved so that whole complaints come out as a panel judges them.

    A row is put down check by check; who judges a whole complaint weighs its answers together. What
    that comes to for one cause: how much oftener it lies behind a symptom than its share says, and
    how much oftener it shows an answer than its row says. One that is not named stays as it is.
    """

    id: Annotated[str, To("causes")] = Field(description="the cause")
    shares: dict[Annotated[str, To("symptoms")], Annotated[float, Field(gt=0)]] = Field(
        default={}, description="symptom: how many times its share under `behind`"
    )
    shows: dict[Annotated[str, To("checks")], str] = Field(
        default={},
        description="check: answers, each with how many times its number: 'weeks 1.4, years 0.6'",
    )
    source: Sources

    def times(self, check: str) -> Mapping[str, float]:
        """By answer of a check, how many times its number; raises ValueError for what is none."""
        return dict(map(_answer_times, self.shows[check].split(",")))


def _answer_times(part: str) -> tuple[str, float]:
    answer, _, times = part.strip().rpartition(" ")
    if not answer or not float(times) > 0:
        raise ValueError(part)
    return answer, float(times)
