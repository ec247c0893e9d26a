"""On Dask: a cluster of two workers, one killed on the way; the output is the same."""

from __future__ import annotations

import os
import signal
import warnings
from collections.abc import Iterator
from pathlib import Path

import polars as pl
import pytest

from diagnose.claims.classify import Decided
from diagnose.claims.run import run
from diagnose.claims.table.source import Piece
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from tests.claims.tables import every, job, made_up
from tests.examples import examples

pytest.importorskip("distributed")
pytestmark = pytest.mark.filterwarnings("ignore")
"""The library warns of its own sockets and of the worker that is killed."""

EXAMPLE = "policies/example_policy.yml"


def test_two_workers_one_killed_give_the_same_bytes(base: Base, tmp_path: Path) -> None:
    """A real local cluster; after the second piece a worker dies; no byte differs."""
    from diagnose.claims.elsewhere import setup
    from diagnose.claims.on_dask import OnDask

    given = tmp_path / "in.parquet"
    rows, size = examples(1500), examples(100)
    made_up(base, rows, every=every()).write_parquet(given)
    alone, spread = tmp_path / "alone.csv", tmp_path / "spread.csv"
    run(job(base, given, alone, size=size))
    its = job(base, given, spread, size=size)
    text = (shipped("rules") / EXAMPLE).read_text(encoding="utf-8")
    killed: list[int] = []
    with OnDask(setup(its, shipped("rules"), EXAMPLE, text)) as cluster:

        def decide(pieces: Iterator[Piece]) -> Iterator[Decided]:
            for number, decided in enumerate(cluster(pieces)):
                if number == 1:
                    pids = sorted(cluster.client.run(os.getpid).values())
                    os.kill(pids[0], signal.SIGKILL)
                    killed.extend(pids)
                yield decided

        result = run(its, decide=decide)

    assert len(set(killed)) == 2
    assert result.rows == rows
    assert spread.read_bytes() == alone.read_bytes()
    for part in ("set_aside", "summary"):
        names = (f"alone.{part}.csv", f"spread.{part}.csv")
        assert (tmp_path / names[0]).read_bytes() == (tmp_path / names[1]).read_bytes()


def test_a_large_piece_is_sent_without_the_librarys_advice(
    base: Base, tmp_path: Path, recwarn: pytest.WarningsRecorder
) -> None:
    """A piece of ten million bytes travels with its task on purpose; the clerk reads no warning."""
    from diagnose.claims.on_dask import OnDask

    class Client:
        """Warns as the library does, and keeps what it is sent."""

        def submit(self, *task: object, pure: bool) -> tuple[object, ...]:
            """Take a task."""
            warnings.warn("Sending large graph of size 16.55 MiB.", UserWarning, stacklevel=2)
            return task

    cluster = OnDask(None)  # type: ignore[arg-type]
    cluster.client = Client()
    piece = Piece(0, pl.DataFrame({"row": [1]}))

    assert cluster._sent(piece)[-1] is piece
    assert not recwarn.list


def test_a_scheduler_that_is_not_there_gets_one_sentence(base: Base, tmp_path: Path) -> None:
    """A wrong address is said, with what to do."""
    from diagnose.claims.elsewhere import setup
    from diagnose.claims.on_dask import NoClusterError, OnDask

    given = tmp_path / "in.parquet"
    made_up(base, 5, every=every()).write_parquet(given)
    its = job(base, given, tmp_path / "out.csv")
    text = (shipped("rules") / EXAMPLE).read_text(encoding="utf-8")
    where = OnDask(setup(its, shipped("rules"), EXAMPLE, text), "tcp://127.0.0.1:1")

    with pytest.raises(NoClusterError, match="cannot be reached"), where:
        pass
