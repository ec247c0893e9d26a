"""The tool asking in many cases, in a second process too where that pays."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context

from diagnose.knowledge.logic.answers import Answers
from diagnose.knowledge.reading.load import as_json, from_json
from diagnose.rulebook.change.replay import Play, Replay, Tell

PAYS = 150
"""Questions from which another process is worth its start."""

USUAL_QUESTIONS = 9
"""How many questions a whole play has, about."""


@dataclass(frozen=True, slots=True)
class Task:
    """Records of one symptom to be asked under one base."""

    replay: Replay
    symptom: str
    records: tuple[Answers, ...]
    most: int

    @property
    def questions(self) -> int:
        """How many questions that will be, about."""
        return len(self.records) * min(self.most, USUAL_QUESTIONS)


def ask(tasks: Sequence[Task], tell: Tell) -> list[list[Play]]:
    """The plays of each task, in order."""
    here, there = _halves(tasks)
    found: dict[int, list[Play]] = {}
    with _elsewhere([tasks[n] for n in there]) as elsewhere:
        for n in here:
            task = tasks[n]
            found[n] = task.replay.asked(task.symptom, task.records, task.most, tell)
        found.update(zip(there, elsewhere(), strict=True))
        tell(sum(tasks[n].questions for n in there))
    return [found[n] for n in range(len(tasks))]


def _halves(tasks: Sequence[Task]) -> tuple[list[int], list[int]]:
    """Tasks for this process and for another; none for that if there is little to do."""
    order = sorted(range(len(tasks)), key=lambda n: -tasks[n].questions)
    if sum(task.questions for task in tasks) < PAYS or _processors() < 2:
        return order, []
    here: list[int] = []
    there: list[int] = []
    for n in order:
        less = min((here, there), key=lambda half: sum(tasks[m].questions for m in half))
        less.append(n)
    return here, there


def _processors() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def _elsewhere(tasks: Sequence[Task]) -> Iterator[Callable[[], list[list[Play]]]]:
    """Tasks under way in another process; called, the results."""
    if not tasks:
        yield list
        return
    bases = {id(t.replay.base): t.replay.base for t in tasks}
    written = {at: (as_json(base), base.version) for at, base in bases.items()}
    given = [(id(t.replay.base), t.symptom, t.records, t.most) for t in tasks]
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        future = pool.submit(_ask, written, given)
        yield future.result


def _ask(
    written: dict[int, tuple[str, str]],
    given: Sequence[tuple[int, str, tuple[Answers, ...], int]],
) -> list[list[Play]]:
    """Run in the other process, which reads the bases anew."""
    replays = {at: Replay(from_json(text, version)) for at, (text, version) in written.items()}
    return [replays[at].asked(symptom, records, most) for at, symptom, records, most in given]
