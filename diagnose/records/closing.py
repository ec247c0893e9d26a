"""What a person should look at before a complaint is closed with a cause."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.explanation.explain import rule_outs
from diagnose.records.case.complaints import complaints_of
from diagnose.records.case.journal import Case, Complaint


def doubts(base: Base, case: Case, complaint: Complaint, cause: str) -> Iterator[str]:
    """What does not fit: a cause that does not lie behind the symptom, or that answers rule out."""
    symptom = base.symptoms.get(complaint.symptom)
    if symptom is None or cause == UNLISTED:
        return
    its = base.causes[cause]
    if symptom.id not in its.behind:
        yield f"{its.name} does not lie behind {symptom.name.lower()} in these rules."
        return
    told = complaints_of(base, case)[case.complaints.index(complaint)]
    for words in ruled_out(base, symptom.id, told.answers, cause):
        yield f"{words} Either the answer or the cause is not right, or the rule is wrong."


def ruled_out(base: Base, symptom: str, answers: Answers, cause: str) -> Iterator[str]:
    """What rules a cause out behind a symptom, in sentences; none where it does not lie."""
    its = base.causes[cause]
    if symptom not in its.behind:
        return
    standing = Reasoner(base).differential(AnsweredComplaint(symptom, answers)).of(cause)
    for out in rule_outs(base, standing.ruled_out):
        seen = f"{out.seen.name.lower()} ({out.seen.words})"
        yield f"{its.name} is ruled out by {seen}: {out.because}"
