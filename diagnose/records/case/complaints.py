"""The complaints of a case as reasoning takes them."""

from __future__ import annotations

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers, Unknown
from diagnose.knowledge.logic.dates import conflicts, dated
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case import journal
from diagnose.records.case.journal import Case


def complaints_of(base: Base, case: Case) -> tuple[AnsweredComplaint, ...]:
    """Each complaint with all that is known of it, and what was set aside."""
    return tuple(
        AnsweredComplaint(
            c.symptom,
            answers_of(base, case, c),
            frozenset(c.set_aside),
            tuple(conflicts(base.checks, case.facts, case.answers(c))),
            c.panel,
        )
        for c in case.complaints
    )


def answers_of(base: Base, case: Case, complaint: journal.Complaint) -> Answers:
    """The vehicle's circumstances, the answers at the place, and what the dates say besides.

    An answer that these rules do not have (it was given with others) is no evidence.
    """
    had = {
        check: answer
        for check, answer in case.answers(complaint).items()
        if check in base.checks
        and (isinstance(answer, Unknown) or base.checks[check].kind.allows(answer))
    }
    return dated(base.checks, case.facts, had)
