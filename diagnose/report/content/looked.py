"""What was looked at in a case, each with its tool and its method, as a laboratory asks for it."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers, says
from diagnose.knowledge.model import Check
from diagnose.records.case.journal import Case
from diagnose.report.content.data import Looked


def looked(base: Base, case: Case) -> tuple[Looked, ...]:
    """Every answer of a case: those for the whole car (complaint 0), then by complaint."""
    return (
        *_of(base, 0, case.circumstances),
        *(its for c in case.complaints for its in _of(base, c.number, c.answers)),
    )


def _of(base: Base, complaint: int, answers: Answers) -> Iterator[Looked]:
    for name, answer in answers.items():
        check = base.checks.get(name)
        if check:
            yield Looked(
                complaint=complaint,
                name=check.name,
                words=says(check, answer),
                source=_source(check),
                tool=check.tool,
                how=check.how,
                mistake=check.mistake or "",
            )


def _source(check: Check) -> str:
    """Where an answer comes from: papers, laboratory, a reading in numbers, or the eye."""
    place = {"paperwork": "papers", "lab": "laboratory"}.get(check.place.value)
    return place or ("reading" if check.number else "look")
