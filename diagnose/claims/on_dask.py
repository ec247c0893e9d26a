"""The same pieces on Dask: a cluster by its address, or one on this machine.

Pieces are read here, decided by the workers, and kept here, so that workers need no shared disk and
the result is the same byte for byte. A piece whose worker is lost goes to another one.
"""

from __future__ import annotations

import warnings
from collections import deque
from collections.abc import Iterator
from typing import Any

from diagnose.claims.classify import Decided
from diagnose.claims.elsewhere import Setup, decide_piece
from diagnose.claims.table.source import Piece
from diagnose.commands import Misuse

LOCAL = "local"
WORKERS = 2
TRIES = 10
"""Lost workers that a piece survives."""


class NoClusterError(Misuse):
    """A cluster that cannot be reached or used; one sentence with what to do."""


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
