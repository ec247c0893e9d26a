"""A mixed exam of ten cases, and its result."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from diagnose.practice.items.bank import Bank, PracticeItem
from diagnose.practice.progress.progress import Attempt
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.variants import varied

MIX: Mapping[str, int] = {"plain": 4, "tricky": 4, "treacherous": 2}
"""How many cases of each grade; ten in all."""

PASS_RIGHT, PASS_POINTS = 7, 50.0
"""Passed with so many causes right and so many points a case."""


@dataclass(frozen=True, slots=True)
class Exam:
    """An exam under way or done: ids of its cases, in order."""

    id: str
    items: tuple[str, ...]

    def data(self) -> dict[str, Any]:
        """The exam as JSON says it."""
        return {"id": self.id, "items": list(self.items)}

    @classmethod
    def of(cls, data: Mapping[str, Any]) -> Exam:
        """An exam read back."""
        return cls(data["id"], tuple(data["items"]))


@dataclass(frozen=True, slots=True)
class ExamRow:
    """One case of a result."""

    item: str
    grade: str
    symptom: str
    right: tuple[str, ...]
    named: str
    sure: float
    points: float
    minutes: float
    harms: int
    hit: bool


@dataclass(frozen=True, slots=True)
class Result:
    """How an exam went. `on`: the day; `rules`: version of the rule base."""

    apprentice: str
    on: str
    rules: str
    rows: tuple[ExamRow, ...]

    @property
    def right(self) -> int:
        """Causes named rightly."""
        return sum(row.hit for row in self.rows)

    @property
    def mean(self) -> float:
        """Points a case."""
        return sum(row.points for row in self.rows) / len(self.rows) if self.rows else 0.0

    @property
    def passed(self) -> bool:
        """Whether enough causes were right, with enough points."""
        return self.right >= PASS_RIGHT and self.mean >= PASS_POINTS


def draw(bank: Bank, judge: Judge, random: Random, exam_id: str) -> Exam:
    """Ten cases of all grades with different causes, as variants where one can be made.

    Where a grade has too few, others fill in; fewer than ten only where the bank has fewer causes.
    """
    chosen: list[PracticeItem] = []
    for grade, count in MIX.items():
        _add(chosen, [i for i in bank.items.values() if i.grade == grade], count, random)
    _add(chosen, list(bank.items.values()), sum(MIX.values()) - len(chosen), random)
    random.shuffle(chosen)
    return Exam(exam_id, tuple((varied(judge, i, random) or i).id for i in chosen))


def _add(
    chosen: list[PracticeItem], items: Sequence[PracticeItem], count: int, random: Random
) -> None:
    """Add so many items whose case and causes are not in yet."""
    for item in random.sample(list(items), len(items)):
        if count <= 0:
            return
        taken = {cause for other in chosen for cause in other.right}
        if item.case not in {o.case for o in chosen} and not taken & set(item.right):
            chosen.append(item)
            count -= 1


def result(apprentice: str, exam: Exam, attempts: Sequence[Attempt], rules: str) -> Result:
    """The result of the attempts that belong to an exam."""
    its = [a for a in attempts if a.exam == exam.id]
    rows = tuple(
        ExamRow(
            a.item,
            a.grade,
            a.symptom,
            a.right,
            a.named,
            a.sure,
            a.points,
            a.minutes,
            a.harms,
            a.hit,
        )
        for a in its
    )
    on = its[-1].at[:10] if its else ""
    return Result(apprentice, on, rules, rows)
