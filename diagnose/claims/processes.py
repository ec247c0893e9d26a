"""The same pieces by two processes of this machine: this one and a helper.

Python lets one thread of a process work at a time; so two processes decide twice as much. What the
helper decides it keeps by itself, and only the number of rows comes back. There is one, so that
both together stay under 600 MB.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.connection import wait
from threading import Thread

from diagnose.claims.elsewhere import Setup, decide_piece
from diagnose.claims.job import Job
from diagnose.claims.parts import Keeping, Kept
from diagnose.claims.table.source import Piece
from diagnose.commands import CommandFailed

WORTH = 3
"""Pieces of a table from which it is worth to start a helper, which takes a few seconds."""

AHEAD = 2
"""Pieces that a helper has: one in hand, one to go on with."""


def many(pieces: int) -> bool:
    """Whether there are pieces and processors enough for a helper."""
    mine = getattr(os, "sched_getaffinity", None)
    processors = len(mine(0)) if mine else os.cpu_count() or 1
    return pieces >= WORTH and processors > 1


class WithHelper:
    """Decides and keeps pieces, here and in a second process."""

    def __init__(self, job: Job, its: Setup) -> None:
        self._job = job
        self._setup = its
        self._keeping = Keeping(job.folder, job.mapping)

    def __call__(self, pieces: Iterator[Piece]) -> Iterator[Kept]:
        """Decide pieces; few are in hand, so that memory stays flat. The helper ends with them."""
        # A plain fork would copy locks that threads of this process may hold, and wait for them.
        pool = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), _begin)
        classifier = self._job.classifier()
        handed: deque[Future[Kept]] = deque()
        try:
            for piece in pieces:
                while handed and handed[0].done():
                    yield handed.popleft().result()
                if len(handed) < AHEAD:
                    handed.append(pool.submit(_kept, self._setup, self._keeping, piece))
                else:
                    yield self._keeping.keep(classifier.decide(piece))
            while handed:
                yield handed.popleft().result()
        except BrokenProcessPool:
            raise CommandFailed(
                "A process that helps to decide was ended from outside, perhaps for want of"
                " memory. The same command with --resume goes on from here."
            ) from None
        finally:
            pool.shutdown(cancel_futures=True)


def _kept(its: Setup, keeping: Keeping, piece: Piece) -> Kept:
    return keeping.keep(decide_piece(its, piece))


def _begin() -> None:
    """An interruption is for the process that gives the work; where that ends, this one ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        Thread(target=_ends_with, args=(parent.sentinel,), daemon=True).start()


def _ends_with(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)
