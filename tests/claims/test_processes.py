"""With a helper: the same bytes, one that is lost is told, none is left behind."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.claims.elsewhere import setup
from diagnose.claims.job import Job
from diagnose.claims.parts import Kept
from diagnose.claims.processes import WithHelper, many
from diagnose.claims.run import run
from diagnose.claims.table.source import Piece
from diagnose.commands import CommandFailed
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from tests.claims.tables import every, job, made_up

pytestmark = pytest.mark.xdist_group("claims_helper")

EXAMPLE = "policies/example_policy.yml"
ROWS, SIZE = 240, 30


def with_helper(its: Job) -> WithHelper:
    """What decides the pieces of a job under the shipped rules and the example's terms."""
    text = (shipped("rules") / EXAMPLE).read_text(encoding="utf-8")
    return WithHelper(its, setup(its, shipped("rules"), EXAMPLE, text))


@pytest.fixture
def given(base: Base, tmp_path: Path) -> Path:
    """A table of made-up claims."""
    path = tmp_path / "in.parquet"
    made_up(base, ROWS, every=every()).write_parquet(path)
    return path


def test_a_helper_gives_the_same_bytes(base: Base, given: Path, tmp_path: Path) -> None:
    """Both processes decide some of the pieces, and no byte of the output differs."""
    by: dict[int, int] = {}
    its = job(base, given, tmp_path / "two.csv", size=SIZE)
    two = with_helper(its)

    def decide(pieces: Iterator[Piece]) -> Iterator[Kept]:
        for kept in two(pieces):
            assert kept.number not in by
            by[kept.number] = kept.rows
            yield kept

    found = run(its, decide=decide)
    run(job(base, given, tmp_path / "one.csv", size=SIZE))

    assert found.rows == ROWS
    assert by == dict.fromkeys(range(ROWS // SIZE), SIZE)
    assert not multiprocessing.active_children()
    for part in ("", ".set_aside", ".summary"):
        one, other = (tmp_path / f"{name}{part}.csv" for name in ("one", "two"))
        assert one.read_bytes() == other.read_bytes()


def test_a_helper_that_is_ended_is_told_and_the_run_goes_on(
    base: Base, given: Path, tmp_path: Path
) -> None:
    """Killed from outside: one sentence with what to do, and that ends as a run in one go."""
    its = job(base, given, tmp_path / "two.csv", size=SIZE)
    two = with_helper(its)

    def decide(pieces: Iterator[Piece]) -> Iterator[Kept]:
        for number, kept in enumerate(two(pieces)):
            if not number:
                for child in multiprocessing.active_children():
                    child.kill()
                    child.join()
            yield kept

    with pytest.raises(CommandFailed, match="with --resume goes on from here"):
        run(its, decide=decide)
    run(its, resume=True)
    run(job(base, given, tmp_path / "one.csv", size=SIZE))

    assert (tmp_path / "one.csv").read_bytes() == (tmp_path / "two.csv").read_bytes()


ALONE = """
    import sys, time
    from concurrent.futures import ProcessPoolExecutor
    import multiprocessing
    from diagnose.claims import processes

    if __name__ == "__main__":
        pool = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), processes._begin)
        print(pool.submit(processes.os.getpid).result(), flush=True)
        time.sleep(60)
"""


def test_no_helper_outlives_the_one_that_it_helps(tmp_path: Path) -> None:
    """Kill -9 of the process that gives the work ends the helper too."""
    script = tmp_path / "alone.py"
    script.write_text(textwrap.dedent(ALONE))
    root = str(Path(__file__).parents[2])
    with subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": root},
    ) as process:  # fmt: skip
        assert process.stdout is not None
        helper = int(process.stdout.readline())
        assert Path(f"/proc/{helper}").exists()
        process.send_signal(signal.SIGKILL)
    until = time.monotonic() + 60
    while Path(f"/proc/{helper}").exists() and time.monotonic() < until:
        time.sleep(0.05)

    assert not Path(f"/proc/{helper}").exists()


@pytest.mark.parametrize(("pieces", "worth"), [(0, False), (2, False), (3, True), (60, True)])
def test_a_small_table_needs_no_helper(
    monkeypatch: pytest.MonkeyPatch, pieces: int, worth: bool
) -> None:
    """From three pieces on it is worth to start one; on one processor it never is."""
    monkeypatch.setattr(os, "sched_getaffinity", lambda process: {0, 1}, raising=False)
    assert many(pieces) is worth
    monkeypatch.setattr(os, "sched_getaffinity", lambda process: {0}, raising=False)
    assert not many(pieces)
