"""One place that turns answers into diagnoses: what the screens, the files and the claims call.

A Reasoner keeps what is made once for a rule base, symptom by symptom: engines, tables, matrices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from diagnose.garbage import uncollected
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import known
from diagnose.reasoning.conclusion import Concluder, Following
from diagnose.reasoning.diagnosis import AnsweredComplaint, CarDiagnosis, Diagnosis
from diagnose.reasoning.evidence.chain import Chain, Ground, Trace
from diagnose.reasoning.evidence.tables import Tables, tables
from diagnose.reasoning.evidence.together import together
from diagnose.reasoning.evidence.weigh import Differential, weigh
from diagnose.reasoning.questions.question import Asked, NextChecks

if TYPE_CHECKING:
    # Arrays are imported with the first use: the first question needs none.
    from diagnose.reasoning.evidence.matrix import Matrix
    from diagnose.reasoning.questions.choose import Chooser


FEW = 2
"""Symptoms of one car, at most as a rule."""


class Reasoner:
    """Diagnoses with one rule base, be it as judged or with what closed cases counted."""

    def __init__(self, base: Base) -> None:
        self.base = base
        self._chains: dict[str, Chain] = {}
        self._concluders: dict[str, Concluder] = {}
        self._tables: dict[str, Tables] = {}
        self._choosers: dict[str, Chooser] = {}

    def table(self, symptom: str) -> Tables:
        """The tables of a symptom."""
        if symptom not in self._tables:
            with uncollected():
                self._tables[symptom] = tables(self.base, symptom)
        return self._tables[symptom]

    @cached_property
    def _ground(self) -> Ground:
        return Ground(self.base)

    @cached_property
    def _following(self) -> Following:
        return Following(self.base, tuple(self.base.symptoms))

    def matrix(self, symptom: str) -> Matrix:
        """The evaluator of many rows for a symptom."""
        from diagnose.reasoning.evidence.matrix import Matrix

        return Matrix(self.base, self.table(symptom))

    def trace(self, complaint: AnsweredComplaint) -> Trace:
        """What follows from the answers."""
        symptom = complaint.symptom
        if symptom not in self._chains:
            with uncollected():
                self._chains[symptom] = Chain(self.base, symptom, self._ground)
        return self._chains[symptom].run(known(complaint.answers))

    def differential(self, complaint: AnsweredComplaint) -> Differential:
        """The causes of one complaint, weighed by itself."""
        return weigh(self.base, self.table(complaint.symptom), self.trace(complaint))

    def choose(self, complaint: AnsweredComplaint) -> NextChecks:
        """What to check next for one complaint, weighed by itself."""
        table = self.table(complaint.symptom)
        return self._chooser(table).choose(self._asked(complaint, self.trace(complaint)))

    def diagnose(self, complaint: AnsweredComplaint) -> Diagnosis:
        """Everything about one complaint, weighed by itself."""
        return self.car([complaint]).diagnoses[0]

    def car(self, complaints: Sequence[AnsweredComplaint]) -> CarDiagnosis:
        """Everything about the complaints of one car."""
        plain = [self.table(c.symptom) for c in complaints]
        traces = [self.trace(c) for c in complaints]
        alone = [weigh(self.base, t, trace) for t, trace in zip(plain, traces, strict=True)]
        shared = together(self.base, plain, alone)
        diagnoses = []
        for complaint, trace, priors, table, by_itself in zip(
            complaints, traces, shared.priors, plain, alone, strict=True
        ):
            if priors == table.priors:
                diagnoses.append(self._diagnosis(complaint, trace, table, by_itself))
                continue
            its = replace(table, priors=priors)
            diagnoses.append(self._diagnosis(complaint, trace, its, weigh(self.base, its, trace)))
        return CarDiagnosis(tuple(diagnoses), shared.vehicle_wide)

    def _diagnosis(
        self,
        complaint: AnsweredComplaint,
        trace: Trace,
        table: Tables,
        differential: Differential,
    ) -> Diagnosis:
        return Diagnosis(
            complaint,
            trace,
            differential,
            table,
            lambda: self._concluder(complaint.symptom).run(trace, differential),
            lambda: self._chooser(table).choose(self._asked(complaint, trace)),
        )

    @staticmethod
    def _asked(complaint: AnsweredComplaint, trace: Trace) -> Asked:
        asked = complaint.asked
        closed = asked.closed | frozenset(trace.silent_measures)
        return replace(asked, values=trace.values, closed=closed)

    def _concluder(self, symptom: str) -> Concluder:
        if symptom not in self._concluders:
            # Who concludes at many symptoms will do so at more: one network then does for all.
            shared = self._following if len(self._concluders) >= FEW else None
            with uncollected():
                self._concluders[symptom] = Concluder(self.base, symptom, shared)
        return self._concluders[symptom]

    def _chooser(self, table: Tables) -> Chooser:
        from diagnose.reasoning.questions.choose import Chooser

        own = self.table(table.symptom)
        if own.symptom not in self._choosers:
            with uncollected():
                self._choosers[own.symptom] = Chooser(self.base, own)
        chooser = self._choosers[own.symptom]
        return chooser if table.priors == own.priors else chooser.weighed_by(table.priors)
