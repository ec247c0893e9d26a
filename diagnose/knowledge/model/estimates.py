"""Entries for what was estimated blind: what causes show of a check at one symptom."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from diagnose.knowledge.model.words import CauseId, CheckId, Entry, Id, Sources

Part = Annotated[float, Field(ge=0, le=100)]


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
    of_100: dict[CauseId, tuple[Part, ...]] = Field(
        min_length=1, description="cause: of a hundred cars with it, how many show each answer"
    )


class Estimates(Entry):
    """What a panel that saw no rule estimated at one symptom.

    A row of a cause is the mean of what stands with it and of this, by `estimated_percent`.
    """

    id: Id = Field(description="the symptom")
    rows: tuple[EstimatedRows, ...]
    source: Sources
