"""Entries for what follows: remedies, payers, papers, cautions, laying the piece anew."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from diagnose.knowledge.model.words import (
    CauseId,
    CautionId,
    CheckId,
    Entry,
    FilmWord,
    Id,
    PayerId,
    RemedyId,
    Sources,
    SymptomId,
    Text,
    When,
)


class Hours(Entry):
    """Working hours of one person."""

    low: Annotated[float, Field(ge=0)] = Field(alias="from")
    high: Annotated[float, Field(ge=0)] = Field(alias="to")
    per: Literal["job", "metre", "piece", "recess", "vehicle", "bubble"] = "job"


class BarredWhen(Entry):
    """Where a remedy must not be done."""

    when: When
    because: Text
    instead: tuple[RemedyId, ...] = ()


class Tried(Entry):
    """A check that is the remedy in small: where it held, the remedy is likelier to last."""

    when: When
    passes_percent: Annotated[float, Field(gt=0, lt=100)] = Field(
        description="of repairs that will not last, those that pass this check all the same"
    )
    because: Text


class Remedy(Entry):
    """One step of a correction."""

    id: Id
    name: Text
    kind: Literal["in_place", "wait", "replace", "surface", "removal", "paperwork"]
    applies: Text = Field(description="when it is the right thing")
    steps: Annotated[tuple[Text, ...], Field(min_length=1)]
    tools: tuple[Text, ...] = ()
    hours: Hours
    waits_hours: Annotated[float, Field(ge=0)] = Field(
        default=0, description="hours of drying, curing or resting within it"
    )
    before_waiting_percent: Annotated[float, Field(ge=0, le=100)] = Field(
        default=100, description="of the work, what is done before that waiting"
    )
    destroys_piece: Literal["no", "partly", "yes"]
    reprint: Literal["no", "if_printed", "yes"]
    film: FilmWord = Field(default="none", description="how much new film it takes")
    look_again: Text = Field(description="when to check that it held")
    look_again_hours: Annotated[float, Field(ge=0)] = 0
    spoils: dict[RemedyId, Annotated[float, Field(gt=1)]] = Field(
        default_factory=dict, description="dearer by this factor afterwards, if this one failed"
    )
    mends: tuple[Text, ...] = Field(
        default=(), description="the symptoms, or groups of them, that it can end; none: any"
    )
    barred_when: tuple[BarredWhen, ...] = ()
    tried: tuple[Tried, ...] = Field(
        default=(), description="checks by which the remedy has been tried at the car already"
    )
    warning: Text | None = None
    cautions: tuple[CautionId, ...] = ()
    source: Sources


class Evidence(Entry):
    """A piece of evidence that a payer's answer needs, and how it shows in the answers."""

    says: Text
    when: When | None = Field(default=None, description="on file when this holds")


class Payer(Entry):
    """Who may carry the cost."""

    id: Id
    name: Text
    carries: Text
    not_carries: Text | None = None
    needs: tuple[Evidence, ...] = ()
    helps: tuple[Evidence, ...] = ()
    falls_if: tuple[Evidence, ...] = ()
    papers: tuple[Text, ...] = Field(default=(), description="what to send with the demand")
    role: Literal["film_maker", "nobody", "no_cost"] | None = Field(
        default=None,
        description="film_maker: the pages for the maker are cut for this payer; nobody: nobody in"
        " particular, so that no claim is decided by it; no_cost: there is nothing to pay, so that"
        " nobody shares a cost with it",
    )
    source: Sources


class Caution(Entry):
    """A warning shown before the step that calls for it."""

    id: Id
    name: Text
    say: Text
    owner: Text | None = Field(
        default=None, description="what whoever owns or drives the car is told, in plain words"
    )
    when: When | None = Field(default=None, description="shown only where this does not fail")
    role: Literal["rules_first"] | None = Field(
        default=None, description="rules_first: stands in every report, whatever is done"
    )
    source: Sources


class Aftermath(Entry):
    """What to know once film comes off, after an impact, or where a new piece meets old ones.

    topic: `under_film` what to look for when it comes off; `impact` what a film takes of a blow;
    `match` whether a new piece will match, with how far the replacement must then reach.
    """

    id: Id
    topic: Literal["under_film", "impact", "match"]
    says: Text
    when: When | None = Field(default=None, description="said only where this holds")
    symptoms: tuple[SymptomId, ...] = Field(default=(), description="said of these complaints only")
    payer: PayerId | None = Field(default=None, description="to whom it belongs as a rule")
    reaches: Literal["piece", "neighbours", "side", "vehicle"] | None = Field(
        default=None, description="for `match`: how much must be replaced together"
    )
    source: Sources


class RequiredPaper(Entry):
    """Something that a payer asks to see before paying, and how it shows that it is at hand."""

    id: Id
    payer: PayerId
    says: Text
    when: When | None = Field(default=None, description="at hand when this holds")
    answered: tuple[CheckId, ...] = Field(
        default=(), description="at hand when these checks have an answer, whatever it is"
    )
    fact: Literal["vehicle", "film", "lot", "installer", "laid_on", "seen_on", "place"] | None = (
        Field(default=None, description="at hand when this is noted in the case")
    )
    source: Sources


class WorkStep(Entry):
    """A step of laying a piece, in the order of the work (that of the file)."""

    id: Id
    says: Text
    because: Text
    when: When | None = Field(default=None, description="left out unless this holds")
    prevents: tuple[CauseId, ...] = Field(
        default=(), description="causes that this step keeps away"
    )
    source: Sources
