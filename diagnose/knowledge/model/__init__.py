"""The rule base as typed, immutable objects: one class for each kind of entry.

The classes are also the file format: the JSON Schema in rules/schema.json is made from them, and
their docstrings and field descriptions are what an editor shows while a rule is written.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import Field

from diagnose.knowledge.model.cause import (
    ALL_SYMPTOMS,
    Cause,
    Contradiction,
    EstimatedRows,
    Estimates,
    Inseparable,
    Never,
    OtherPayer,
    Responsibility,
    RuleOut,
    ShownAnswers,
    Sign,
    WholeCases,
)
from diagnose.knowledge.model.correction import (
    Aftermath,
    BarredWhen,
    Caution,
    Evidence,
    Hours,
    Payer,
    Remedy,
    RequiredPaper,
    WorkStep,
)
from diagnose.knowledge.model.evidence import (
    Bin,
    Check,
    Finding,
    FindingRule,
    MeasureUse,
    Number,
    Observable,
    PlaceKind,
    PossibleAnswer,
)
from diagnose.knowledge.model.scales import Scales, WorthCases
from diagnose.knowledge.model.source import Source
from diagnose.knowledge.model.symptom import ConfusedWith, Normal, Symptom
from diagnose.knowledge.model.wording import NumberTold, TimeTold, Wording
from diagnose.knowledge.model.words import (
    COMMON_PRACTICE,
    REST,
    UNSOURCED,
    CheckId,
    CheckPlace,
    Entry,
    Harm,
    HarmWord,
    Id,
    Origin,
    OriginWord,
    PlaceWord,
    ShareWord,
    Sources,
    StrengthWord,
    Text,
    When,
)

__all__ = [
    "ALL_SYMPTOMS",
    "COMMON_PRACTICE",
    "REST",
    "UNSOURCED",
    "Aftermath",
    "BarredWhen",
    "Bin",
    "Cause",
    "Caution",
    "Check",
    "CheckPlace",
    "ConfusedWith",
    "Contradiction",
    "Entry",
    "EstimatedRows",
    "Estimates",
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
    "NumberTold",
    "Observable",
    "Origin",
    "OriginWord",
    "OtherPayer",
    "Payer",
    "PlaceKind",
    "PlaceWord",
    "PossibleAnswer",
    "Remedy",
    "RequiredPaper",
    "Responsibility",
    "RuleFile",
    "RuleOut",
    "Scales",
    "ShareWord",
    "ShownAnswers",
    "Sign",
    "Source",
    "Sources",
    "StrengthWord",
    "Symptom",
    "Text",
    "TimeTold",
    "When",
    "WholeCases",
    "Wording",
    "WorkStep",
    "WorthCases",
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
    estimates: tuple[Estimates, ...] = ()
    whole_cases: tuple[WholeCases, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    payers: tuple[Payer, ...] = ()
    cautions: tuple[Caution, ...] = ()
    contradictions: tuple[Contradiction, ...] = ()
    aftermath: tuple[Aftermath, ...] = ()
    papers: tuple[RequiredPaper, ...] = ()
    work_steps: tuple[WorkStep, ...] = ()
    place_kinds: tuple[PlaceKind, ...] = ()
    inseparable: tuple[Inseparable, ...] = ()
    words: Wording | None = None
    intake: tuple[CheckId, ...] = Field(
        default=(), description="checks asked first at every callback, in this order"
    )


def index(entries: tuple[Any, ...]) -> Mapping[str, Any]:
    """Entries by id."""
    return {entry.id: entry for entry in entries}
