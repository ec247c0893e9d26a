"""One place that turns answers into diagnoses: what the screens, the files and the claims call.

A Reasoner keeps what is made once for a rule base, symptom by symptom: engines, tables, matrices.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from diagnose.knowledge.answers import Answers, known
from diagnose.knowledge.base import Base
from diagnose.reasoning.chain import Chain, Trace
from diagnose.reasoning.conclude import Concluder, Conclusion
from diagnose.reasoning.question import Asked, Choice
from diagnose.reasoning.tables import Tables, tables
from diagnose.reasoning.together import together
from diagnose.reasoning.weigh import Differential, weigh

if TYPE_CHECKING:
    # Arrays are imported with the first use: the first question needs none.
    from diagnose.reasoning.choose import Chooser
    from diagnose.reasoning.matrix import Matrix

Priors = Mapping[str, tuple[float, ...]]
"""For a symptom, shares that stand in for the rule base's own (learned from outcomes)."""


@dataclass(frozen=True, slots=True)
class Complaint:
    """What reasoning needs of a complaint: its symptom and all that was answered.

    `closed` are checks that cannot be done here, beyond those answered.
    """

    symptom: str
    answers: Answers
    closed: frozenset[str] = frozenset()

    @property
    def asked(self) -> Asked:
        """What is known, and what need not be asked again."""
        return Asked(known(self.answers), frozenset(self.answers) | self.closed)


@dataclass(frozen=True)
class Diagnosis:
    """All that is concluded about one complaint.

    What follows (`conclusion`) and what to check next (`choice`) are reckoned when first asked for.
    """

    complaint: Complaint
    trace: Trace
    differential: Differential
    table: Tables
    _conclude: Callable[[], Conclusion] = field(repr=False, compare=False)
    _choose: Callable[[], Choice] = field(repr=False, compare=False)

    @cached_property
    def conclusion(self) -> Conclusion:
        """Remedies, what is barred, who carries the cost, cautions."""
        return self._conclude()

    @cached_property
    def choice(self) -> Choice:
        """What to check next, or why to stop."""
        return self._choose()


@dataclass(frozen=True, slots=True)
class CarDiagnosis:
    """The complaints of one car, weighed together.

    `vehicle_wide`: causes that may be at work on the whole vehicle, with their probability; empty
    for a single complaint.
    """

    diagnoses: tuple[Diagnosis, ...]
    vehicle_wide: tuple[tuple[str, float], ...]


class Reasoner:
    """Diagnoses with one rule base."""

    def __init__(self, base: Base, priors: Priors | None = None) -> None:
        self.base = base
        self._priors = dict(priors or {})
        self._chains: dict[str, Chain] = {}
        self._concluders: dict[str, Concluder] = {}
        self._tables: dict[str, Tables] = {}
        self._choosers: dict[tuple[str, tuple[float, ...]], Chooser] = {}

    def learned(self, symptom: str) -> bool:
        """Whether other shares than the rule base's own are in use behind a symptom."""
        return symptom in self._priors

    def table(self, symptom: str) -> Tables:
        """The tables of a symptom."""
        if symptom not in self._tables:
            self._tables[symptom] = tables(self.base, symptom, self._priors.get(symptom))
        return self._tables[symptom]

    def matrix(self, symptom: str) -> Matrix:
        """The evaluator of many rows for a symptom."""
        from diagnose.reasoning.matrix import Matrix

        return Matrix(self.base, self.table(symptom))

    def trace(self, complaint: Complaint) -> Trace:
        """What follows from the answers."""
        symptom = complaint.symptom
        if symptom not in self._chains:
            self._chains[symptom] = Chain(self.base, symptom)
        return self._chains[symptom].run(known(complaint.answers))

    def differential(self, complaint: Complaint) -> Differential:
        """The causes of one complaint, weighed by itself."""
        return weigh(self.base, self.table(complaint.symptom), self.trace(complaint))

    def choose(self, complaint: Complaint) -> Choice:
        """What to check next for one complaint, weighed by itself."""
        table = self.table(complaint.symptom)
        return self._chooser(table).choose(self._asked(complaint, self.trace(complaint)))

    def diagnose(self, complaint: Complaint) -> Diagnosis:
        """Everything about one complaint, weighed by itself."""
        return self.car([complaint]).diagnoses[0]

    def car(self, complaints: Sequence[Complaint]) -> CarDiagnosis:
        """Everything about the complaints of one car."""
        plain = [self.table(c.symptom) for c in complaints]
        traces = [self.trace(c) for c in complaints]
        alone = [weigh(self.base, t, trace) for t, trace in zip(plain, traces, strict=True)]
        shared = together(self.base, plain, alone)
        diagnoses = []
        for complaint, trace, priors, table in zip(
            complaints, traces, shared.priors, plain, strict=True
        ):
            its = table if priors == table.priors else tables(self.base, table.symptom, priors)
            diagnoses.append(self._diagnosis(complaint, trace, its))
        return CarDiagnosis(tuple(diagnoses), shared.vehicle_wide)

    def _diagnosis(self, complaint: Complaint, trace: Trace, table: Tables) -> Diagnosis:
        differential = weigh(self.base, table, trace)
        return Diagnosis(
            complaint,
            trace,
            differential,
            table,
            lambda: self._concluder(complaint.symptom).run(trace, differential),
            lambda: self._chooser(table).choose(self._asked(complaint, trace)),
        )

    @staticmethod
    def _asked(complaint: Complaint, trace: Trace) -> Asked:
        asked = complaint.asked
        return Asked(trace.values, asked.closed | frozenset(trace.silent_measures))

    def _concluder(self, symptom: str) -> Concluder:
        if symptom not in self._concluders:
            self._concluders[symptom] = Concluder(self.base, symptom)
        return self._concluders[symptom]

    def _chooser(self, table: Tables) -> Chooser:
        from diagnose.reasoning.choose import Chooser

        key = (table.symptom, table.priors)
        if key not in self._choosers:
            self._choosers[key] = Chooser(self.base, table)
        return self._choosers[key]
