"""Entries for why it happened: causes with their signs, and what cannot be both."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from diagnose.knowledge.model.words import (
    Entry,
    Id,
    OriginWord,
    ShareWord,
    Sources,
    StrengthWord,
    Text,
    When,
)


class Sign(Entry):
    """Evidence for or against the cause in which it stands.

    `implied`: the weight follows from the other signs on the same check; the reason is shown.
    """

    when: When
    speaks: Literal["for", "against"]
    strength: StrengthWord | Literal["implied"]
    because: Text
    source: Sources
    group: Id | None = Field(
        default=None, description="signs that see the same thing twice; only the strongest counts"
    )


class RuleOut(Entry):
    """What makes a cause physically impossible."""

    when: When
    because: Text
    source: Sources


class Never(Entry):
    """A remedy that makes this cause worse or hides it."""

    remedy: Id
    because: Text
    tempts_at: tuple[Id, ...] = Field(
        default=(), description="symptoms at which someone tries it, though it mends none of them"
    )


class OtherPayer(Entry):
    """Who pays instead, where this holds."""

    payer: Id
    when: When
    because: Text


class Responsibility(Entry):
    """Who carries the cost as a rule, and where someone else does.

    Where several of `unless` hold, the first of them in the order of the file counts.
    """

    payer: Id
    because: Text
    unless: tuple[OtherPayer, ...] = ()


class Cause(Entry):
    """A root cause with all that is known of it, in one place."""

    id: Id
    name: Text
    plainly: Text = Field(description="the cause in one sentence for a customer")
    origin: OriginWord
    mechanism: Text = Field(description="one or two sentences of physics")
    behind: dict[Id, ShareWord] = Field(min_length=1, description="symptom: how often it is this")
    scope: Literal["place", "vehicle"] = Field(
        default="place", description="vehicle: at work on the whole vehicle, if at all"
    )
    signs: tuple[Sign, ...] = ()
    ruled_out_when: tuple[RuleOut, ...] = ()
    remedies: dict[Id, Annotated[float, Field(ge=0, le=100)]] = Field(
        default_factory=dict,
        description="remedies in the order in which they are tried, with percent of success",
    )
    also: tuple[Id, ...] = Field(default=(), description="steps that go with any of the remedies")
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
    """Two causes that no harmless check tells apart, and why that is so."""

    causes: tuple[Id, Id]
    because: Text
