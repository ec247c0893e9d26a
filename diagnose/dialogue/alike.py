"""Closed cases beside the complaint at hand: like it, or of another mind than the answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.diagnosis import Diagnosis
from diagnose.reasoning.questions.question import Question
from diagnose.records.experience.disagreement import (
    deciding,
    disagreement,
    disagreement_words,
)
from diagnose.records.experience.nearness import PastComplaint, like_this
from diagnose.records.experience.past import worked
from diagnose.records.store.database import StoreError

Past = Callable[[str], Sequence[PastComplaint]]
"""Gives the shop's own closed complaints of a symptom."""


class Alike:
    """What a shop's closed complaints say of the one at hand; each symptom is read once."""

    def __init__(self, base: Base, past: Past | None = None) -> None:
        self._base = base
        self._give = past
        self._past: dict[str, Sequence[PastComplaint]] = {}
        self._last: tuple[Diagnosis, tuple[Question, str] | None] | None = None

    def past(self, symptom: str) -> Sequence[PastComplaint]:
        """The shop's closed complaints of a symptom, read when first asked for."""
        if self._give is None:
            return ()
        if symptom not in self._past:
            try:
                self._past[symptom] = self._give(symptom)
            except StoreError:
                # Old cases that cannot be read are no reason to ask no further.
                self._past[symptom] = ()
        return self._past[symptom]

    def deciding(self, diagnosis: Diagnosis) -> tuple[Question, str] | None:
        """The question between the nearest cases and the answers, with both sides in words."""
        if self._last is None or self._last[0] is not diagnosis:
            self._last = (diagnosis, self._between(diagnosis))
        return self._last[1]

    def _between(self, diagnosis: Diagnosis) -> tuple[Question, str] | None:
        past = self.past(diagnosis.complaint.symptom)
        found = disagreement(self._base, diagnosis, past) if past else None
        question = deciding(self._base, diagnosis, found) if found else None
        return (question, disagreement_words(self._base, found)) if question and found else None

    def like(self, diagnosis: Diagnosis, case_id: str) -> tuple[str, ...]:
        """The nearest closed complaints in words, the shop's own first, then the worked ones."""
        symptom = diagnosis.complaint.symptom
        examples = worked(self._base, shipped("cases"), {symptom})
        past = (*self.past(symptom), *(one for one in examples if one.case_id != case_id))
        return _like_this(self._base, diagnosis, past)


def _like_this(base: Base, diagnosis: Diagnosis, past: Sequence[PastComplaint]) -> tuple[str, ...]:
    symptom, values = diagnosis.complaint.symptom, diagnosis.trace.values
    leading = diagnosis.differential.leading
    cause = leading.cause.id if leading else UNLISTED
    found = [line for its in like_this(base, symptom, values, cause, past) for line in its.lines]
    return tuple(found) or ("No closed case has anything in common with this one yet.",)
