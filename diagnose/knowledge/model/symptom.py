"""Entries for what is seen on the vehicle: symptoms, and what looks like them."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from diagnose.knowledge.model.words import (
    CautionId,
    CheckId,
    Entry,
    Id,
    ObservableId,
    Sources,
    SymptomId,
    Text,
)


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
        default=(), description="what is looked at first, the most urgent first"
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
