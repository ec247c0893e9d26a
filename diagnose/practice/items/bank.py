"""The bank of items: each complaint of a worked case with a confirmed cause, as it came in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer, Answers
from diagnose.knowledge.model.words import UNLISTED
from diagnose.records.case.case_text import GRADES
from diagnose.records.case.journal import Case, Complaint, Outcome

TOLD = ("vehicle", "film", "laid_on", "handed_on", "seen_on", "place", "remark")
"""Facts of a case that are told at the start; its title and its lesson would give it away."""

UNGRADED = "tricky"
"""The grade of a case that has none, such as the shop's own."""


@dataclass(frozen=True, slots=True)
class PracticeItem:
    """One complaint to practise on.

    `given` is known from the start; `record` is all that the case can answer; `twist` says what a
    variant differs in from its case, '' for the case itself.
    """

    id: str
    case: str
    number: int
    grade: str
    symptom: str
    panel: str
    facts: Mapping[str, str]
    given: Answers
    record: Answers
    outcome: Outcome
    title: str
    lesson: str
    twist: str = ""

    @property
    def right(self) -> tuple[str, ...]:
        """The confirmed causes, the main one first."""
        return (self.outcome.cause, *self.outcome.also_causes)

    @property
    def root(self) -> str:
        """The id of the item that a variant was made from."""
        return f"{self.case}.{self.number}"

    def answer(self, check: str) -> Answer:
        """What the record says of a check."""
        return self.record.get(check, UNKNOWN)


def items_of(base: Base, case: Case) -> tuple[PracticeItem, ...]:
    """The items of a case: its complaints whose confirmed cause can lie behind their symptom."""
    return tuple(
        _item(base, case, complaint, complaint.outcome)
        for complaint in case.complaints
        if complaint.outcome and _usable(base, complaint, complaint.outcome)
    )


def _usable(base: Base, complaint: Complaint, outcome: Outcome) -> bool:
    behind = {cause.id for cause in base.behind(complaint.symptom)} | {UNLISTED}
    return complaint.symptom in base.symptoms and outcome.cause in behind


def _item(base: Base, case: Case, complaint: Complaint, outcome: Outcome) -> PracticeItem:
    record = {n: a for n, a in case.answers(complaint).items() if n in base.checks}
    grade = case.facts.get("grade", "")
    return PracticeItem(
        id=f"{case.id}.{complaint.number}",
        case=case.id,
        number=complaint.number,
        grade=grade if grade in GRADES else UNGRADED,
        symptom=complaint.symptom,
        panel=complaint.panel,
        facts={fact: case.facts[fact] for fact in TOLD if case.facts.get(fact)},
        given={check: record[check] for check in base.intake if check in record},
        record=record,
        outcome=outcome,
        title=case.facts.get("title", case.id),
        lesson=case.facts.get("lesson", ""),
    )


class Bank:
    """Items by id, in the order in which they were given."""

    def __init__(self, items: Iterable[PracticeItem]) -> None:
        self.items: Mapping[str, PracticeItem] = {item.id: item for item in items}

    @classmethod
    def of(cls, base: Base, cases: Iterable[Case]) -> Bank:
        """The bank of all usable complaints of these cases."""
        return cls(item for case in cases for item in items_of(base, case))

    def __len__(self) -> int:
        return len(self.items)

    def causes(self, grades: Sequence[str] = GRADES) -> tuple[str, ...]:
        """Every cause that some item teaches."""
        found = {item.right[0]: None for item in self.items.values() if item.grade in grades}
        return tuple(found)

    def teaching(self, cause: str, grades: Sequence[str] = GRADES) -> tuple[PracticeItem, ...]:
        """The items whose main cause this is."""
        return tuple(i for i in self.items.values() if i.right[0] == cause and i.grade in grades)
