"""Cases run many at a time come to what they come to one by one."""

from __future__ import annotations

from itertools import islice

import pytest

from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import known
from diagnose.practice.items.trial import play, told
from diagnose.reasoning.diagnose import Reasoner
from diagnose.rulebook.change.asking import Task, ask
from diagnose.rulebook.change.replay import MOST_CHECKS, Replay
from diagnose.rulebook.change.version import WorkedComplaint, jobs_of, read_cases

SYMPTOMS = ["corner_lifting", "gloss_loss", "staining"]


@pytest.fixture(scope="module")
def replay(base: Base) -> Replay:
    """The shipped base, ready to run many cases."""
    return Replay(base)


@pytest.fixture(scope="module")
def jobs(base: Base) -> dict[str, list[WorkedComplaint]]:
    """The worked complaints by symptom."""
    found: dict[str, list[WorkedComplaint]] = {}
    for job in jobs_of(read_cases(base, shipped("cases"))).values():
        found.setdefault(job.complaint.symptom, []).append(job)
    return found


def test_answers_told_many_at_a_time(
    reasoner: Reasoner, replay: Replay, jobs: dict[str, list[WorkedComplaint]]
) -> None:
    """Probabilities, measures, findings and payer are those of the explained diagnosis."""
    for symptom, its in islice(jobs.items(), 0, None, 6):
        records = [job.record for job in its]
        followed = replay.follow(symptom, records)
        for n, found in enumerate(replay.told(symptom, records)):
            one = reasoner.diagnose(told(its[n].case, its[n].complaint))
            chances = {s.cause.id: s.probability for s in one.differential.standings}
            assert dict(found.chances[:-1]) == pytest.approx(chances, abs=1e-12)
            assert found.payer == one.conclusion.pays[0].payer
            assert followed.values[n] == one.trace.values
            assert followed.silent[n] == frozenset(one.trace.silent_measures)


def test_asking_many_at_a_time(
    reasoner: Reasoner, replay: Replay, jobs: dict[str, list[WorkedComplaint]]
) -> None:
    """The questions, their order and the reason to stop are those of one case asked alone."""
    its = [job for symptom in SYMPTOMS for job in jobs.get(symptom, ())[:2]]
    assert its
    for job in its:
        (found,) = replay.asked(job.complaint.symptom, [job.record], MOST_CHECKS)
        alone = {t.number: t for t in play(reasoner, job.case)}[job.complaint.number]
        assert (found.checks, found.stop) == (alone.asked, alone.stop)
        assert found.unknown == alone.unknown


def test_fewer_questions_are_the_first_ones(
    replay: Replay, jobs: dict[str, list[WorkedComplaint]]
) -> None:
    """A play that is cut short is the beginning of the whole one and says that it is not whole."""
    symptom, its = next((s, j) for s, j in jobs.items() if len(j) > 2)
    records = [job.record for job in its]
    whole = replay.asked(symptom, records, MOST_CHECKS)
    short = replay.asked(symptom, records, 1)

    assert [p.checks for p in short] == [p.checks[:1] for p in whole]
    assert all(p.whole for p in whole)
    assert [p.whole for p in short] == [not p.checks for p in whole]


def test_another_process_comes_to_the_same(
    replay: Replay, jobs: dict[str, list[WorkedComplaint]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Much to ask is shared with a second process, and the plays come back in their order."""
    monkeypatch.setattr("diagnose.rulebook.change.asking.PAYS", 2)
    symptom, job = next((s, j[0]) for s, j in jobs.items() if known(j[0].record))
    tasks = [Task(replay, symptom, (job.record,) * size, 1) for size in (3, 2)]
    counted: list[int] = []

    plays = ask(tasks, counted.append)

    assert [len(found) for found in plays] == [3, 2]
    assert len({play for found in plays for play in found}) == 1
    assert sum(counted) >= 3
