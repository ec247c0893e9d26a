"""Entries for what was estimated blind: what causes show of a check at one symptom."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from diagnose.knowledge.model.words import CheckId, Entry, Id, Sources, To

Named = Annotated[str, To("causes")]
"""A cause, whose id is looked up with all references; no pattern, for there are many."""

Parts = str
"""Numbers from 0 to 100 with a space between; as one text, for there are many and few are read."""


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
    of_100: dict[Named, Parts] = Field(
        min_length=1,
        description="cause: of a hundred cars with it, how many show each answer: 5 20 75",
    )

    def numbers(self, cause: str) -> tuple[float, ...]:
        """The numbers of a cause, in the order of the answers; raises ValueError for others."""
        return tuple(map(float, self.of_100[cause].split()))


class Estimates(Entry):
    """What a panel that saw no rule estimated at one symptom.

    A row of a cause is the mean of what stands with it and of this, by `estimated_percent`.
    """

    id: Id = Field(description="the symptom")
    rows: tuple[EstimatedRows, ...]
    source: Sources
