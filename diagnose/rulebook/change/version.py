"""The worked cases as one version of a rule base sees them, and what they come to under it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.folders import yaml_files
from diagnose.knowledge import marked
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers
from diagnose.knowledge.marked import Problem, Spot
from diagnose.knowledge.reading.parsed import Parse
from diagnose.practice.items.trial import Trial, scored
from diagnose.records.case.casefile import read_case
from diagnose.records.case.journal import Case, Complaint
from diagnose.rulebook.change.asking import Task
from diagnose.rulebook.change.kept import KeptResults
from diagnose.rulebook.change.replay import MOST_CHECKS, Play, Replay, Told
from diagnose.rulebook.change.rests import Rests, of_record


@dataclass(frozen=True, slots=True)
class Cases:
    """The readable cases of folders, and the problems of the others."""

    cases: tuple[Case, ...]
    problems: tuple[Problem, ...]


def read_cases(base: Base, *folders: Path, parse: Parse = marked.read) -> Cases:
    """Every case file below folders, read with a base; of cases of one id the first counts."""
    cases: dict[str, Case] = {}
    problems: list[Problem] = []
    for folder in folders:
        for path in yaml_files(folder):
            under = path.relative_to(folder).as_posix()
            name = under if len(folders) == 1 else (folder / under).as_posix()
            text = path.read_text(encoding="utf-8-sig")
            case_file, faults = read_case(name, text, base, parse)
            problems += [p for p in faults if p.severity == "error"]
            if case_file and case_file.case.id in cases:
                sentence = f"there is a case '{case_file.case.id}' already: give it another id"
                problems.append(Problem(Spot(name, 1, 1), sentence))
            elif case_file:
                cases[case_file.case.id] = case_file.case
    return Cases(tuple(cases.values()), tuple(problems))


def reads_alike(one: Base, other: Base) -> bool:
    """Whether two bases read every case alike: by the same checks and the same ids."""
    ids = ("symptoms", "causes", "remedies", "payers")
    same = all(getattr(one, s).keys() == getattr(other, s).keys() for s in ids)
    return same and one.checks == other.checks


@dataclass(frozen=True, slots=True)
class WorkedComplaint:
    """A complaint of a worked case, as one version reads it."""

    case: Case
    complaint: Complaint
    record: Answers
    digest: str

    @property
    def key(self) -> tuple[str, int]:
        """The case and the number of the complaint."""
        return self.case.id, self.complaint.number


Jobs = Mapping[tuple[str, int], WorkedComplaint]


class Version:
    """A base with what its cases came to."""

    def __init__(self, base: Base, kept: KeptResults) -> None:
        self.base = base
        self.replay = Replay(base)
        self._rests = Rests(base)
        self._kept = kept

    def rests(self, job: WorkedComplaint) -> tuple[str, str]:
        """What the outcome of a job rests on; equal on both sides if nothing can have moved."""
        return self._rests.digest(job.complaint.symptom), job.digest

    def told(self, job: WorkedComplaint) -> Told:
        """What a job came to; it must have been run."""
        found = self._kept.told(*self.rests(job))
        assert found is not None
        return found

    def play(self, job: WorkedComplaint, most: int) -> Play:
        """How its asking went, as far as wanted; it must have been run."""
        found = self._kept.play(*self.rests(job), most)
        assert found is not None
        return found

    def trial(self, job: WorkedComplaint) -> Trial:
        """A job with all its answers told, held against its outcome."""
        return told_trial(job, self.told(job))

    def asked_trial(self, job: WorkedComplaint) -> Trial:
        """A job asked to the end, held against its outcome."""
        return asked_trial(self.base, job, self.play(job, MOST_CHECKS))

    def run(self, jobs: Iterable[WorkedComplaint]) -> None:
        """Have every job told."""
        missing = [job for job in jobs if self._kept.told(*self.rests(job)) is None]
        for symptom, its in _by_symptom(missing).items():
            told = self.replay.told(symptom, [job.record for job in its])
            digests = [job.digest for job in its]
            self._kept.keep(self._rests.digest(symptom), dict(zip(digests, told, strict=True)), {})

    def tasks(
        self, jobs: Iterable[WorkedComplaint], most: int
    ) -> Iterator[tuple[Task, list[WorkedComplaint]]]:
        """What has to be asked so that `play` knows it."""
        missing = [job for job in jobs if self._kept.play(*self.rests(job), most) is None]
        for symptom, its in _by_symptom(missing).items():
            yield Task(self.replay, symptom, tuple(job.record for job in its), most), its

    def keep(self, task: Task, jobs: Sequence[WorkedComplaint], plays: Sequence[Play]) -> None:
        """Keep what came of a task."""
        digests = [job.digest for job in jobs]
        self._kept.keep(
            self._rests.digest(task.symptom), {}, dict(zip(digests, plays, strict=True))
        )


def told_trial(job: WorkedComplaint, told: Told) -> Trial:
    """A complaint with all its answers told, held against its outcome."""
    return scored(job.case, job.complaint, dict(told.chances))


def asked_trial(base: Base, job: WorkedComplaint, play: Play) -> Trial:
    """A complaint as it was asked, held against its outcome."""
    return scored(
        job.case,
        job.complaint,
        dict(play.chances),
        asked=play.checks,
        unknown=play.unknown,
        minutes=sum(base.checks[check].minutes for check in play.checks),
        stop=play.stop,
    )


def _by_symptom(jobs: Iterable[WorkedComplaint]) -> dict[str, list[WorkedComplaint]]:
    found: dict[str, list[WorkedComplaint]] = {}
    for job in jobs:
        found.setdefault(job.complaint.symptom, []).append(job)
    return found


def jobs_of(cases: Cases) -> Jobs:
    """The complaints of cases that have an outcome."""
    jobs = (
        WorkedComplaint(case, complaint, record, of_record(complaint.symptom, record))
        for case in cases.cases
        for complaint in case.complaints
        if complaint.outcome
        for record in (case.answers(complaint),)
    )
    return {job.key: job for job in jobs}
