"""How few questions it takes: `python -m tests.benchmarks.conversation [--beside COMMIT]`.

How many are right (the confirmed cause leads) after so many checks, how many checks and minutes
until the program stops, beside a fixed list (the checks of a symptom in the order in which they
tell most before anything is known), and how often it asks somebody who can tell nothing. Of the
worked cases and of the study half of published complaints; what a record does not hold is answered
'unknown'. With `--beside` the same of another commit, by its own rules, cases and questions.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median, quantiles

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers
from diagnose.knowledge.reading.load import load
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case.casefile import read_case
from diagnose.rulebook.change.replay import MOST_CHECKS, Play, Replay
from tests.outside.real.entries import Half
from tests.worked_cases import ROOT, read_all

AFTER = (2, 5, 8, 10, 14, MOST_CHECKS)
"""Checks after which it is looked who is right."""

BESIDE = "088d583"
"""The commit whose way of asking is shown beside today's."""


@dataclass(frozen=True, slots=True)
class Record:
    """What a complaint can tell, and which causes are right."""

    symptom: str
    answers: Answers
    right: frozenset[str]


def worked(base: Base) -> list[Record]:
    """The complaints of the worked cases."""
    return [
        Record(c.symptom, case.answers(c), frozenset((c.outcome.cause, *c.outcome.also_causes)))
        for case in read_all(base)
        for c in case.complaints
        if c.outcome
    ]


def published(base: Base) -> list[Record]:
    """The first complaint of each published one of the study half whose cause is listed."""
    half, found = Half("study"), []
    for entry in half.entries:
        mapped = half.mapped[entry.id]
        read, _ = read_case(f"{entry.id.lower()}.yaml", half.case_text(entry), base)
        if read and mapped.accept and not mapped.abstain and not mapped.missing:
            its = read.case.complaints[0]
            found.append(Record(its.symptom, read.case.answers(its), frozenset(mapped.accept)))
    return found


def played(replay: Replay, records: Sequence[Record]) -> list[tuple[Record, Play]]:
    """Each record asked until the program stops, a symptom at a time."""
    found = []
    for symptom, its in _by_symptom(records).items():
        plays = replay.asked(symptom, [r.answers for r in its], MOST_CHECKS)
        found += list(zip(its, plays, strict=True))
    return found


def _by_symptom(records: Sequence[Record]) -> Mapping[str, list[Record]]:
    found: dict[str, list[Record]] = {}
    for record in records:
        found.setdefault(record.symptom, []).append(record)
    return found


def right_after(replay: Replay, asked: Sequence[tuple[Record, Sequence[str]]], count: int) -> float:
    """Share of the records whose cause leads once their first checks were answered."""
    right = 0
    order = {id(record): checks for record, checks in asked}
    for symptom, its in _by_symptom([record for record, _ in asked]).items():
        told = [_told(replay.base, r, order[id(r)][:count]) for r in its]
        right += sum(
            told.chances[0][0] in record.right
            for record, told in zip(its, replay.told(symptom, told), strict=True)
        )
    return right / len(asked)


def _told(base: Base, record: Record, checks: Sequence[str]) -> Answers:
    named = (*base.intake, *checks)
    return {name: record.answers[name] for name in named if name in record.answers}


def fixed(replay: Replay, records: Sequence[Record]) -> list[tuple[Record, tuple[str, ...]]]:
    """Each record with the checks of its symptom in one order for all: of nobody who tells."""
    reasoner = Reasoner(replay.base)
    lists = {s: _order(reasoner, s) for s in {r.symptom for r in records}}
    return [(r, lists[r.symptom]) for r in records]


def _order(reasoner: Reasoner, symptom: str) -> tuple[str, ...]:
    questions = reasoner.choose(AnsweredComplaint(symptom, {})).questions
    return tuple(dict.fromkeys(q.asks[0] for q in questions))[:MOST_CHECKS]


def minutes(base: Base, play: Play) -> float:
    """Working minutes of the checks asked."""
    return sum(base.checks[c].minutes for c in play.checks if c in base.checks)


def silent(replay: Replay) -> list[tuple[int, str]]:
    """How many questions each symptom asks somebody who can tell nothing, most first."""
    found = [
        (len(replay.asked(symptom, [{}], MOST_CHECKS)[0].checks), symptom)
        for symptom in replay.base.symptoms
    ]
    return sorted(found, reverse=True)


def lines(base: Base) -> Iterator[str]:
    """The tables of one rule base."""
    replay = Replay(base)
    yield " " * 26 + "".join(f"{n:6}" for n in AFTER) + "   checks     minutes"
    for name, records in (("worked", worked(base)), ("published", published(base))):
        plays = played(replay, records)
        asked = [(record, play.checks) for record, play in plays]
        checks = _middle_and_most([len(play.checks) for _, play in plays])
        took = _middle_and_most([minutes(base, play) for _, play in plays])
        yield f"{name + f' ({len(records)})':26}{_row(replay, asked)}   {checks}   {took}"
        yield f"{'  a fixed list':26}{_row(replay, fixed(replay, records))}"
    asks = silent(replay)
    most = ", ".join(f"{symptom} {count}" for count, symptom in asks[:6])
    counts = [count for count, _ in asks]
    yield f"all unsure: median {median(counts):g}, most {most}"


def _row(replay: Replay, asked: Sequence[tuple[Record, Sequence[str]]]) -> str:
    return "".join(f"{right_after(replay, asked, n):6.0%}" for n in AFTER)


def _middle_and_most(counts: Sequence[float]) -> str:
    return f"{median(counts):3.0f} ≤ {quantiles(counts, n=10)[-1]:3.0f}"


def of_commit(commit: str) -> str:
    """What the commit's own table says of it, run in a copy; ValueError where it has none."""
    with tempfile.TemporaryDirectory() as folder:
        archive = subprocess.run(
            ["git", "archive", commit], cwd=ROOT, check=True, capture_output=True
        )
        subprocess.run(["tar", "-x", "-C", folder], input=archive.stdout, check=True)
        if not (Path(folder) / "tests" / "benchmarks" / "conversation.py").exists():
            raise ValueError(f"{commit} has no such table: name a later commit")
        done = subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.conversation", "--alone"],
            cwd=folder,
            env={**os.environ, "PYTHONPATH": folder},
            check=True,
            capture_output=True,
            text=True,
        )
    return done.stdout


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.conversation")
    parser.add_argument("--beside", default=BESIDE, help="a commit; %(default)s")
    parser.add_argument("--alone", action="store_true", help="without another commit")
    options = parser.parse_args()
    print("\n".join(lines(load(ROOT / "rules"))), flush=True)
    if not options.alone:
        try:
            print(f"\nby {options.beside}\n{of_commit(options.beside)}")
        except ValueError as error:
            parser.error(str(error))


if __name__ == "__main__":
    main()
