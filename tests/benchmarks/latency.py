"""From Enter on an answer to the next question, and from shell to the first question.

Run: python -m tests.benchmarks.latency
Best of several runs, in milliseconds and as multiples of a fixed piece of Python work in the same
process, so that two machines can be compared.
"""

from __future__ import annotations

import fcntl
import os
import pty
import random
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Callable
from pathlib import Path

from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.load import load, read_texts
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from tests.small import SCALES

ROOT = Path(__file__).resolve().parents[2]
RUNS = 7


def best(work: Callable[[], object], runs: int = RUNS) -> float:
    """The shortest time of several runs, in milliseconds."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times) * 1000


def yardstick() -> int:
    """A fixed piece of work of the interpreter: 200,000 dictionary steps."""
    counts: dict[int, int] = {}
    for n in range(200_000):
        counts[n % 97] = counts.get(n % 97, 0) + n
    return len(counts)


def generated(signs: int, checks: int, causes: int, seed: int = 7) -> Base:
    """A base of one symptom with so many signs, checks and causes, drawn by a seed."""
    rng = random.Random(seed)
    lines = [
        "symptoms:",
        "  - {id: s, name: S, group: G, look: x, appears: x, where: x, source: memory}",
    ]
    lines += ["payers:", "  - {id: p, name: P, carries: x, source: memory}", "remedies:"]
    for n in range(8):
        lines.append(
            f"  - {{id: r{n}, name: R, kind: wait, applies: x, steps: [x],"
            ' hours: {from: 1, to: 1}, destroys_piece: "no", reprint: "no", look_again: x,'
            " source: memory}"
        )
    lines.append("checks:")
    for n in range(checks):
        answers = ", ".join(
            f"a{k}: {{says: A, usual: {u}}}" for k, u in enumerate((10, 20, 30, 40))
        )
        lines.append(
            f"  - {{id: c{n}, name: C, ask: x, how: x, tool: x, minutes: {rng.randint(1, 9)},"
            " place: at_car, harm: none, scope: complaint, source: memory,"
            f" answers: {{{answers}}}}}"
        )
    lines.append("causes:")
    per_cause = signs // causes
    for n in range(causes):
        lines += [
            f"  - id: k{n}",
            "    name: K",
            "    plainly: x",
            "    origin: technique",
            "    mechanism: x",
            "    behind: {s: common}",
            f"    remedies: {{r{n % 8}: 60}}",
            "    responsibility: {payer: p, because: x}",
            "    prevention: x",
            "    source: memory",
            "    shows:",
        ]
        for check in rng.sample(range(checks), per_cause):
            answer, number = rng.choice([(0, 56), (rng.randint(1, 3), 1)])
            lines.append(
                f"      - {{check: c{check}, of_100: {{a{answer}: {number}}}, because: x,"
                " source: memory}"
            )
    reading = read_texts({"generated.yaml": "\n".join(lines) + "\n", "scales.yaml": SCALES})
    assert reading.base is not None, reading.problems[:3]
    return reading.base


def answer(reasoner: Reasoner, complaint: AnsweredComplaint) -> Callable[[], object]:
    """What happens between Enter and the next question: the differential and the choice."""

    def work() -> object:
        car = reasoner.car([complaint])
        return car.diagnoses[0].differential, car.diagnoses[0].choice

    return work


def shell(*command: str) -> float:
    """From shell to the first question, with a warm cache of the rule base."""
    with tempfile.TemporaryDirectory() as home:
        environment = {**os.environ, "HOME": home, "XDG_CACHE_HOME": home, "XDG_DATA_HOME": home}

        def start() -> None:
            subprocess.run(
                [sys.executable, "-m", "diagnose.cli", *command],
                input=b"",
                capture_output=True,
                env=environment,
                cwd=ROOT,
                check=False,
            )

        start()
        return best(start, 5)


def screens(awaited: bytes = b"What is wrong") -> float:
    """From shell to the first question in a terminal of 80 by 24, with a warm cache."""
    with tempfile.TemporaryDirectory() as home:
        environment = {
            **os.environ,
            "HOME": home,
            "XDG_CACHE_HOME": home,
            "XDG_DATA_HOME": home,
            "TERM": "xterm-256color",
        }

        def start() -> None:
            ours, theirs = pty.openpty()
            fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
            process = subprocess.Popen(
                [sys.executable, "-m", "diagnose.cli", "callback", "--new"],
                stdin=theirs,
                stdout=theirs,
                stderr=theirs,
                env=environment,
                cwd=ROOT,
                start_new_session=True,
            )
            os.close(theirs)
            shown = b""
            while awaited not in shown:
                shown += os.read(ours, 65536)
            process.kill()
            process.wait()
            os.close(ours)

        start()
        return best(start, 5)


def main() -> None:
    """Print the table."""
    unit = best(yardstick)
    rows: list[tuple[str, float, str]] = [("yardstick", unit, "")]
    shipped = Reasoner(load(ROOT / "rules"))
    for symptom in ("edge_lifting", "grit_bumps", "sheen_patches"):
        complaint = AnsweredComplaint(symptom, {"film_finish": "matte", "first_seen": "weeks"})
        work = answer(shipped, complaint)
        work()
        rows.append((f"Enter to next question, shipped base, {symptom}", best(work), "50"))
    made = Reasoner(generated(500, 100, 25))
    work = answer(made, AnsweredComplaint("s", {"c1": "a1", "c2": "a0", "c3": "a3"}))
    work()
    rows.append(("Enter to next question, 500 signs and 100 checks", best(work), "50"))
    for signs in (250, 500, 1000):
        made = Reasoner(generated(signs, 100, 25))
        work = answer(made, AnsweredComplaint("s", {"c1": "a1", "c2": "a0"}))
        work()
        rows.append((f"growth: {signs} signs, 100 checks", best(work), ""))
    with tempfile.TemporaryDirectory() as cache:
        load(ROOT / "rules", Path(cache))
        rows.append(
            ("rule base load, kept", best(lambda: load(ROOT / "rules", Path(cache))), "300")
        )
    rows.append(("rule base load, parsed and verified", best(lambda: load(ROOT / "rules"), 3), ""))
    rows.append(("shell to first question, plain", shell("callback", "--plain", "--new"), "500"))
    rows.append(("shell to first question, screens of 80 by 24", screens(), "1000"))
    print(f"{'what':58} {'ms':>8} {'× yardstick':>12} {'bound ms':>9}")
    for what, milliseconds, bound in rows:
        print(f"{what:58} {milliseconds:8.1f} {milliseconds / unit:12.2f} {bound:>9}")


if __name__ == "__main__":
    main()
