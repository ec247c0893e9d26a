"""What is concluded about the complaints of a car, as plain data."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from diagnose.knowledge.logic.answers import Answers, known
from diagnose.knowledge.logic.dates import DateConflict
from diagnose.reasoning.conclusion import Conclusion
from diagnose.reasoning.evidence.chain import Trace
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.evidence.weigh import Differential
from diagnose.reasoning.questions.question import Asked, NextChecks


@dataclass(frozen=True, slots=True)
class AnsweredComplaint:
    """What reasoning needs of a complaint: its symptom and all that was answered.

    `closed` are checks that cannot be done here, beyond those answered; `conflicts` are dates that
    do not fit an answer or each other; `panel` is the place, '' where it is not told;
    `told_before` was known of the car, or said in own words, before anything was asked.
    """

    symptom: str
    answers: Answers
    closed: frozenset[str] = frozenset()
    conflicts: tuple[DateConflict, ...] = ()
    panel: str = ""
    told_before: frozenset[str] = frozenset()

    @property
    def asked(self) -> Asked:
        """What is known, and what need not be asked again."""
        closed = frozenset(self.answers) | self.closed
        aside = self.closed - frozenset(self.answers)
        return Asked(known(self.answers), closed, self.panel, aside, self.told_before)


@dataclass(frozen=True)
class Diagnosis:
    """All that is concluded about one complaint.

    What follows (`conclusion`) and what to check next (`choice`) are reckoned when first asked for.
    """

    complaint: AnsweredComplaint
    trace: Trace
    differential: Differential
    table: Tables
    _conclude: Callable[[], Conclusion] = field(repr=False, compare=False)
    _choose: Callable[[], NextChecks] = field(repr=False, compare=False)

    @cached_property
    def conclusion(self) -> Conclusion:
        """Remedies, what is barred, who carries the cost, cautions."""
        return self._conclude()

    @cached_property
    def choice(self) -> NextChecks:
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
