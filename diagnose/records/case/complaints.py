"""The complaints of a case as reasoning takes them."""

from __future__ import annotations

from diagnose.reasoning.diagnosis import Complaint
from diagnose.records.case.journal import Case


def complaints_of(case: Case) -> tuple[Complaint, ...]:
    """Each complaint with the vehicle's circumstances and what was set aside."""
    return tuple(
        Complaint(c.symptom, case.answers(c), frozenset(c.set_aside)) for c in case.complaints
    )
