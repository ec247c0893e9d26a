"""The complaints of a case as reasoning takes them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers, Unknown
from diagnose.knowledge.logic.dates import conflicts, dated
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case import journal
from diagnose.records.case.journal import Case


def known_part(base: Base, case: Case) -> Case:
    """A case without the complaints whose symptom these rules do not have.

    It may have been kept with others, or before a symptom was taken out; all of it stays kept.
    """
    if all(complaint.symptom in base.symptoms for complaint in case.complaints):
        return case
    known = tuple(c for c in case.complaints if c.symptom in base.symptoms)
    return replace(case, complaints=known)


def unknown_here(base: Base, case: Case) -> tuple[str, ...]:
    """What stands in a case that these rules do not have, and that counts for nothing here."""
    told = [*_unknown_answers(base, case.circumstances)]
    for its in case.complaints:
        if its.symptom not in base.symptoms:
            told.append(f"the symptom {its.symptom} (complaint {its.number})")
            continue
        told += _unknown_answers(base, its.answers)
        told += [f"the remedy {name}" for name in its.remedies_done if name not in base.remedies]
    return tuple(dict.fromkeys(told))


def _unknown_answers(base: Base, answers: Answers) -> Iterator[str]:
    for name, answer in answers.items():
        if name not in base.checks:
            yield f"the check {name}"
        elif not isinstance(answer, Unknown) and not base.checks[name].kind.allows(answer):
            yield f"this answer to {base.checks[name].name}: {answer}"


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
