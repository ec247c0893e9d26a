"""A report as plain data: every format is a rendering of this."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.explanation import explain, reckoned
from diagnose.reasoning.explanation.explain import Failed, Reason
from diagnose.reasoning.explanation.misfit import Misfit
from diagnose.reasoning.explanation.said import Said
from diagnose.records.experience.nearness import LikeThis
from diagnose.report.content.plan_data import PlanReport


@dataclass(frozen=True, slots=True)
class Ranked:
    """A cause with its probability, the share before any answer, and what the evidence weighs."""

    id: str
    name: str
    probability: float
    prior: float
    decibans: float


@dataclass(frozen=True, slots=True)
class WhyNot:
    """A cause that does not lead: what speaks against it and what failed."""

    name: str
    probability: float
    against: tuple[Reason, ...]
    failed: tuple[Failed, ...]


@dataclass(frozen=True, slots=True)
class RuledOut:
    """A cause that is impossible, and the answer that says so."""

    name: str
    because: str
    by: Said


@dataclass(frozen=True, slots=True)
class RemedyReport:
    """One remedy of the correction, in order; `holds`: chance that it ends the matter, done now."""

    id: str
    name: str
    serves: tuple[str, ...]
    holds: float
    applies: str
    steps: tuple[str, ...]
    tools: tuple[str, ...]
    hours: str
    look_again: str
    warning: str | None
    reprint: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Payment:
    """Who carries the cost, with the evidence it needs; `to_judge` shows in no answer."""

    payer: str
    name: str
    because: str
    cause: str
    as_a_rule: bool
    on_file: tuple[str, ...]
    missing: tuple[str, ...]
    against: tuple[str, ...]
    papers: tuple[str, ...]
    to_judge: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Looked:
    """An answer with the way to it: `complaint` 0 for the whole car, what it was looked at with.

    `source`: papers, laboratory, reading (a number) or look; `mistake`: what falsifies it.
    """

    complaint: int
    name: str
    words: str
    source: str
    tool: str
    how: str
    mistake: str


@dataclass(frozen=True, slots=True)
class Unchecked:
    """A check that was not done, with the minutes it takes and the bits it would tell."""

    name: str
    minutes: float
    bits: float


@dataclass(frozen=True, slots=True)
class ComplaintReport:
    """Complaint, cause and correction of one complaint.

    `as_it_is`: names of the cautions that hold before anything is done; `for_owner`: those that
    also concern whoever owns or drives the car, in plain words; `misfit`: said where nothing listed
    fits what was found; `inseparable`: said where the two that lead are told apart by nobody.
    """

    number: int
    symptom: str
    symptom_id: str
    panel: str
    look: str
    answers: tuple[Said, ...]
    cause: str
    cause_id: str
    plainly: str
    mechanism: str
    origin: str
    probability: float
    how_sure: str
    ranked: tuple[Ranked, ...]
    unlisted: float
    reasons_for: tuple[Reason, ...]
    reasons_against: tuple[Reason, ...]
    why_not: tuple[WhyNot, ...]
    ruled_out: tuple[RuledOut, ...]
    correction: tuple[RemedyReport, ...]
    beside: tuple[str, ...]
    never: tuple[Said, ...]
    should_it_be: tuple[tuple[str, str, str], ...]
    payments: tuple[Payment, ...]
    prevention: str
    would_change: str
    not_checked: tuple[Unchecked, ...]
    later: tuple[str, ...]
    contradictions: tuple[tuple[str, tuple[Said, ...]], ...]
    rather: tuple[Said, ...]
    cautions: tuple[Said, ...]
    as_it_is: tuple[str, ...] = ()
    for_owner: tuple[Said, ...] = ()
    measured: tuple[reckoned.Measured, ...] = ()
    misfit: Misfit | None = None
    inseparable: str = ""

    @property
    def settled(self) -> bool:
        """Whether a cause can be named."""
        return self.cause_id != UNLISTED and self.how_sure != explain.NOT_SETTLED


@dataclass(frozen=True, slots=True)
class Report:
    """A whole report.

    `versions` name what it was made with, `like` closed cases most like it; `looked` has every
    answer with its method.
    """

    case: str
    made: str
    versions: tuple[Said, ...]
    facts: tuple[Said, ...]
    circumstances: tuple[Said, ...]
    complaints: tuple[ComplaintReport, ...]
    vehicle_wide: tuple[tuple[str, float], ...]
    defer: str
    plan: PlanReport | None = None
    learned: tuple[str, ...] = ()
    like: tuple[LikeThis, ...] = ()
    looked: tuple[Looked, ...] = ()
