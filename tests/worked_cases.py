"""The worked cases played once: the tool asks and the case answers, and all answers are told.

They go in step, many at a time, which comes to what asking one by one does (test_replay).

How each complaint fares stands in `tests/data/worked_cases.txt`; `tests/snapshot.py` writes it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Origin
from diagnose.knowledge.model.words import UNLISTED
from diagnose.practice.items.trial import Trial
from diagnose.reasoning.correction.verdict import carries
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case.casefile import read_case
from diagnose.records.case.journal import Case
from diagnose.rulebook.change.asking import Task, ask
from diagnose.rulebook.change.replay import MOST_CHECKS, Replay
from diagnose.rulebook.change.version import (
    Cases,
    WorkedComplaint,
    asked_trial,
    jobs_of,
    told_trial,
)

ROOT = Path(__file__).resolve().parent.parent
SNAPSHOT = ROOT / "tests" / "data" / "worked_cases.txt"
Trials = Mapping[tuple[str, int], Trial]
"""Trials by case and number of the complaint."""


@dataclass(frozen=True, slots=True)
class Played:
    """One case with its trials, asking and told everything.

    `payers`: of a healthy job, who is named to pay by what was asked and by the whole record.
    """

    case: Case
    asking: tuple[Trial, ...]
    told: tuple[Trial, ...]
    payers: tuple[tuple[tuple[str, ...], ...], ...]


@dataclass(frozen=True, slots=True)
class WorkedCases:
    """All worked cases, played."""

    played: tuple[Played, ...]

    @property
    def asking(self) -> list[Trial]:
        """Every trial in which the tool asked."""
        return [t for p in self.played for t in p.asking]

    @property
    def told(self) -> list[Trial]:
        """Every trial in which all answers of the record were told."""
        return [t for p in self.played for t in p.told]

    @property
    def causes(self) -> set[str]:
        """Every confirmed cause."""
        return {cause for trial in self.told for cause in trial.right}


def play_all(base: Base) -> WorkedCases:
    """Every worked case played, those of a symptom in step, on two processors if there are."""
    replay, reasoner = Replay(base), Reasoner(base)
    jobs: dict[str, list[WorkedComplaint]] = {}
    cases = read_all(base)
    for job in jobs_of(Cases(tuple(cases), ())).values():
        jobs.setdefault(job.complaint.symptom, []).append(job)
    tasks = [
        Task(replay, symptom, tuple(job.record for job in its), MOST_CHECKS)
        for symptom, its in jobs.items()
    ]
    asking, told = {}, {}
    for task, plays in zip(tasks, ask(tasks, lambda questions: None), strict=True):
        all_told = replay.told(task.symptom, task.records)
        for job, play, its in zip(jobs[task.symptom], plays, all_told, strict=True):
            asking[job.key] = asked_trial(base, job, play)
            told[job.key] = told_trial(job, its)
    return WorkedCases(tuple(_played(reasoner, case, asking, told) for case in cases))


def _played(reasoner: Reasoner, case: Case, asking: Trials, told: Trials) -> Played:
    keys = [(case.id, c.number) for c in case.complaints if c.outcome]
    asked, all_told = tuple(asking[key] for key in keys), tuple(told[key] for key in keys)
    healthy = is_healthy(reasoner.base, all_told)
    payers = tuple(_payers(reasoner, case, trial) for trial in asked) if healthy else ()
    return Played(case, asked, all_told, payers)


def read_all(base: Base) -> list[Case]:
    """Every worked case; AssertionError with its problems where one cannot be read."""
    cases = []
    for path in sorted((ROOT / "cases").rglob("*.yaml")):
        case_file, problems = read_case(path.name, path.read_text(encoding="utf-8"), base)
        assert case_file is not None, "\n".join(map(str, problems))
        assert case_file.case.id == path.stem
        cases.append(case_file.case)
    return cases


def is_healthy(base: Base, trials: Iterable[Trial]) -> bool:
    """Whether every confirmed cause is that nothing was wrong."""
    causes = [cause for trial in trials for cause in trial.right]
    return all(c != UNLISTED and base.causes[c].origin is Origin.NOTHING_WRONG for c in causes)


def _payers(reasoner: Reasoner, case: Case, trial: Trial) -> tuple[tuple[str, ...], ...]:
    """Who is named to pay by what was asked, and by the whole record; nobody where it is open."""
    record = case.answers(case.complaint(trial.number))
    seen = (*trial.asked, *reasoner.base.intake)
    asked = {check: answer for check, answer in record.items() if check in seen}
    return tuple(
        carries(
            reasoner.base, reasoner.diagnose(AnsweredComplaint(trial.symptom, its)), case.facts
        ).payers
        for its in (asked, record)
    )


HEAD = """\
How each worked case fares. Written by `python -m tests.snapshot`; look at what changed.
place and chance of the confirmed cause: told all | the tool asking, its checks and their minutes
"""


def snapshot(worked: WorkedCases) -> str:
    """The file that keeps how each complaint fares, a line for each."""
    return "\n".join([HEAD, *_lines(worked), ""])


def _lines(worked: WorkedCases) -> Iterator[str]:
    for told, asking in zip(worked.told, worked.asking, strict=True):
        yield (
            f"{told.case}.{told.number}  {told.symptom}  {'+'.join(told.right)}\n"
            f"  {told.place} {told.probability:6.1%} | {asking.place} {asking.probability:6.1%}"
            f" {asking.checks:2} checks {asking.minutes:3.0f} min"
        )
