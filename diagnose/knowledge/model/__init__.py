"""The rule base as typed, immutable objects: one class for each kind of entry.

The classes are also the file format: the JSON Schema in rules/schema.json is made from them, and
their docstrings and field descriptions are what an editor shows while a rule is written.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import Field

from diagnose.knowledge.model.cause import (
    Cause,
    Contradiction,
    Inseparable,
    Never,
    OtherPayer,
    Responsibility,
    RuleOut,
    Shown,
    Sign,
)
from diagnose.knowledge.model.correction import (
    Aftermath,
    BarredWhen,
    Caution,
    Evidence,
    Hours,
    Paper,
    Payer,
    Remedy,
    WorkStep,
)
from diagnose.knowledge.model.evidence import (
    Bin,
    Check,
    ConfusedWith,
    Finding,
    FindingRule,
    MeasureUse,
    Normal,
    Number,
    Observable,
    PlaceKind,
    PossibleAnswer,
    Scales,
    Symptom,
)
from diagnose.knowledge.model.source import Source
from diagnose.knowledge.model.wording import Amount, Told, Wording
from diagnose.knowledge.model.words import (
    COMMON_PRACTICE,
    REST,
    UNSOURCED,
    Entry,
    Harm,
    HarmWord,
    Id,
    Origin,
    OriginWord,
    Place,
    PlaceWord,
    ShareWord,
    Sources,
    StrengthWord,
    Text,
    When,
)

__all__ = [
    "COMMON_PRACTICE",
    "REST",
    "UNSOURCED",
    "Aftermath",
    "Amount",
    "BarredWhen",
    "Bin",
    "Cause",
    "Caution",
    "Check",
    "ConfusedWith",
    "Contradiction",
    "Entry",
    "Evidence",
    "Finding",
    "FindingRule",
    "Harm",
    "HarmWord",
    "Hours",
    "Id",
    "Inseparable",
    "MeasureUse",
    "Never",
    "Normal",
    "Number",
    "Observable",
    "Origin",
    "OriginWord",
    "OtherPayer",
    "Paper",
    "Payer",
    "Place",
    "PlaceKind",
    "PlaceWord",
    "PossibleAnswer",
    "Remedy",
    "Responsibility",
    "RuleFile",
    "RuleOut",
    "Scales",
    "ShareWord",
    "Shown",
    "Sign",
    "Source",
    "Sources",
    "StrengthWord",
    "Symptom",
    "Text",
    "Told",
    "When",
    "Wording",
    "WorkStep",
    "index",
]


class RuleFile(Entry):
    """One file of the rule base: any of these sections."""

    scales: Scales | None = None
    sources: tuple[Source, ...] = ()
    symptoms: tuple[Symptom, ...] = ()
    checks: tuple[Check, ...] = ()
    measures: tuple[MeasureUse, ...] = ()
    findings: tuple[Finding, ...] = ()
    causes: tuple[Cause, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    payers: tuple[Payer, ...] = ()
    cautions: tuple[Caution, ...] = ()
    contradictions: tuple[Contradiction, ...] = ()
    aftermath: tuple[Aftermath, ...] = ()
    papers: tuple[Paper, ...] = ()
    work_steps: tuple[WorkStep, ...] = ()
    place_kinds: tuple[PlaceKind, ...] = ()
    inseparable: tuple[Inseparable, ...] = ()
    words: Wording | None = None
    intake: tuple[Id, ...] = Field(
        default=(), description="checks asked first at every callback, in this order"
    )


def index(entries: tuple[Any, ...]) -> Mapping[str, Any]:
    """Entries by id."""
    return {entry.id: entry for entry in entries}
