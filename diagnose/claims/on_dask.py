"""The same pieces on Dask: a cluster by its address, or one on this machine.

Pieces are read here, decided by the workers, and kept here, so that workers need no shared disk and
the result is the same byte for byte. A piece whose worker is lost goes to another one. Workers load
the rule base themselves and refuse to work under another one than asked for.
"""

from __future__ import annotations

import warnings
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from diagnose.claims.classify import Classifier, Decided
from diagnose.claims.mapping.mapping import Mapped
from diagnose.claims.run import Job
from diagnose.claims.table.source import Piece
from diagnose.commands import Misuse

LOCAL = "local"
WORKERS = 2
TRIES = 10
"""Lost workers that a piece survives."""


class NoClusterError(Misuse):
    """A cluster that cannot be reached or used; one sentence with what to do."""


@dataclass(frozen=True, slots=True)
class Setup:
    """What a worker needs to decide pieces; small, and the same for all."""

    rules: str
    rules_version: str
    columns: tuple[tuple[Any, ...], ...]
    policy_name: str
    policy_text: str
    program: str
    today: date | None = None


def setup(job: Job, rules: Path, policy_name: str, policy_text: str) -> Setup:
    """The setup of a job."""
    columns = tuple(
        (c.column, c.fact, tuple(c.values.items()), c.unit, c.date, c.decimal)
        for c in job.mapping.columns
    )
    return Setup(
        str(rules), job.base.version, columns, policy_name, policy_text, job.program, job.today
    )


def decide_piece(its: Setup, piece: Piece) -> Decided:
    """Decide a piece on a worker."""
    return _classifier(its).decide(piece)


@lru_cache(maxsize=2)
def _classifier(its: Setup) -> Classifier:
    from diagnose.claims.mapping.mapping import Column
    from diagnose.claims.policy import policy
    from diagnose.folders import rules_cache, shipped
    from diagnose.knowledge.reading.load import load

    folder = Path(its.rules)
    base = load(folder if folder.is_dir() else shipped("rules"), rules_cache())
    if base.version != its.rules_version:
        raise NoClusterError(
            f"a worker has rule base {base.version}, this machine {its.rules_version}: install the"
            " same one on both"
        )
    read, problems = policy.read(its.policy_name, its.policy_text, base)
    if read is None:
        raise NoClusterError(str(problems[0]))
    columns = tuple(Column(c, f, dict(v), *rest) for c, f, v, *rest in its.columns)
    return Classifier(base, Mapped(columns), read, its.program, its.today)


class OnDask:
    """Decides pieces on a cluster; a context that ends what it began."""

    def __init__(self, its: Setup, address: str = LOCAL) -> None:
        self._setup = its
        self._address = address

    def __enter__(self) -> OnDask:
        import dask
        import distributed

        local: Any = distributed.LocalCluster
        client: Any = distributed.Client
        dask.config.set({"distributed.scheduler.allowed-failures": TRIES})
        self._cluster: Any = None
        try:
            if self._address == LOCAL:
                self._cluster = local(
                    n_workers=WORKERS, threads_per_worker=1, dashboard_address=None
                )
            self.client: Any = client(self._cluster or self._address, timeout="10s")
        except (OSError, TimeoutError, ValueError) as error:
            raise NoClusterError(
                f"the Dask scheduler at {self._address} cannot be reached ({error}): check the"
                " address, or leave --dask out"
            ) from None
        return self

    def __exit__(self, *rest: object) -> None:
        self.client.close()
        if self._cluster is not None:
            self._cluster.close()

    def __call__(self, pieces: Iterator[Piece]) -> Iterator[Decided]:
        """Decide pieces, in order, two in hand for each worker."""
        waiting: deque[Any] = deque()
        for piece in pieces:
            waiting.append(self._sent(piece))
            if len(waiting) >= 2 * max(1, len(self.client.nthreads())):
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()

    def _sent(self, piece: Piece) -> Any:
        """A piece goes along with its task, so that it is not lost with a worker."""
        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", message="Sending large graph")
            return self.client.submit(decide_piece, self._setup, piece, pure=False)
