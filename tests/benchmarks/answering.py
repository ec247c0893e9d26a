"""What one answer of a phone takes of one core: kept on the disk, weighed, the next page made.

`python -m tests.benchmarks.answering` works on the shipped rules with no network and no other
phones. It counts seconds of work and not of the clock, so that other work on the machine hardly
disturbs it; `phones.py` tells what it comes to on the clock when thirty are at work.
"""

from __future__ import annotations

import argparse
import asyncio
import random
import tempfile
import time
from collections.abc import Sequence
from datetime import datetime
from itertools import count
from pathlib import Path

from diagnose.knowledge.reading.command import base_of
from diagnose.reasoning.diagnose import Reasoner
from diagnose.serve.acts import ACTS, Sent
from diagnose.serve.desk import Desk
from diagnose.serve.page import Page, html
from diagnose.serve.views.look import Look, step_path
from diagnose.serve.views.table import VIEWS

ANSWERS = 15
WHO = "somebody"


def main(arguments: Sequence[str]) -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--cases", type=int, default=25)
    its = options.parse_args(arguments)
    reasoner = Reasoner(base_of(None))
    with tempfile.TemporaryDirectory() as folder:
        records = Path(folder) / "records.sqlite3"
        desk = Desk(reasoner, records, lambda: datetime.now().astimezone())
        try:
            ready, took = asyncio.run(desk.do(lambda: _played(desk, its.cases)))
        finally:
            desk.close()
    ranked = sorted(took)
    at = [1000 * ranked[int(share * (len(ranked) - 1))] for share in (0.5, 0.95, 1)]
    print(f"a symptom made ready: {1000 * ready:.0f} ms of a core")
    print(f"{len(ranked)} answers: median {at[0]:.0f}, 95 of 100 {at[1]:.0f}, most {at[2]:.0f} ms")


def _played(desk: Desk, cases: int) -> tuple[float, list[float]]:
    """Seconds of a symptom made ready, and of each answer; in the desk's own thread."""
    begun = time.process_time()
    for symptom in desk.base.symptoms:
        desk.warm(symptom)
    ready = (time.process_time() - begun) / len(desk.base.symptoms)
    answering = Answering(desk)
    for _ in range(cases):
        answering.case()
    return ready, answering.took


class Answering:
    """Plays cases; complaints are drawn from all symptoms alike, answers from those of a check."""

    def __init__(self, desk: Desk) -> None:
        self._desk, self._draw, self._marks = desk, random.Random(3), count()
        self.took: list[float] = []

    def case(self) -> None:
        """One case, until it asks no more."""
        symptom = self._draw.choice(list(self._desk.base.symptoms))
        self._send("new", "skip")
        self._send("new", "symptom", symptom=symptom)
        path = self._send("new", "place", panel="front_door_left", symptom=symptom)
        case = path.split("/")[2]
        for _ in range(ANSWERS):
            if "/ask/" not in path:
                return
            begun = time.process_time()
            self._answer(case, path.rpartition("/")[2])
            path = step_path(self._desk.open(WHO, case))
            self._look(case, path)
            self.took.append(time.process_time() - begun)

    def _answer(self, case: str, check: str) -> None:
        answers = list(self._desk.base.checks[check].answers)
        given = {"answer": self._draw.choice(answers)} if answers else {"do": "unknown"}
        self._send(case, "ask", check, seen="999", **given)

    def _look(self, case: str, path: str) -> None:
        if "/ask/" in path:
            work = self._desk.open(WHO, case)
            found = VIEWS["ask"](Look(self._desk, WHO, work, {}, path.rpartition("/")[2]))
            assert isinstance(found, Page)
            html(found, form="")

    def _send(self, case: str, page: str, rest: str = "", **fields: str) -> str:
        given = {name: [value] for name, value in fields.items()}
        sent = Sent(self._desk, WHO, case, f"mark-{next(self._marks)}", given, rest)
        return ACTS[page](sent)


if __name__ == "__main__":
    import sys

    main(sys.argv[1:])
