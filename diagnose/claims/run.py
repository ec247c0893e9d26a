"""The whole run: pieces read, decided, kept as parts, put together at the end.

What is put together does not depend on how many threads, processes or machines decided the pieces.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress

from diagnose.claims.classify import Decided
from diagnose.claims.job import Job, Tell
from diagnose.claims.parts import Kept, Parts
from diagnose.claims.results import summary as summaries
from diagnose.claims.results.explained import words
from diagnose.claims.results.results import FOR_SUMMARY
from diagnose.claims.table.source import Piece
from diagnose.claims.table.write import write

THREADS = 2
"""Pieces decided at a time; their arrays are worked on outside Python's lock."""

Deciding = Callable[[Iterator[Piece]], Iterator[Decided | Kept]]
"""How pieces get decided: in order, and kept already where another process did it."""


class Decide:
    """How pieces get decided: yields them decided, in order. Here by threads."""

    def __init__(self, job: Job, threads: int = THREADS) -> None:
        self._classifier = job.classifier()
        self._threads = threads

    def __call__(self, pieces: Iterator[Piece]) -> Iterator[Decided]:
        """Decide pieces, few at a time, so that memory stays flat."""
        with ThreadPoolExecutor(self._threads) as pool:
            waiting: deque[Future[Decided]] = deque()
            for piece in pieces:
                waiting.append(pool.submit(self._classifier.decide, piece))
                if len(waiting) > self._threads:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()


def run(
    job: Job,
    resume: bool = False,
    tell: Tell = lambda rows: None,
    decide: Deciding | None = None,
) -> summaries.Summary:
    """Decide the whole table and write what came of it."""
    parts = Parts(job, resume)
    pieces = (p for p in job.table.pieces(job.size) if not parts.has(p, tell))
    with _closed_quietly((decide or Decide(job))(pieces)) as every:
        for its in every:
            kept = parts.keeping.keep(its) if isinstance(its, Decided) else its
            tell(kept.rows)
    parts.tell_the_whole()
    result = parts.summary()
    explained = words(job.base, job.policy, parts.sources_used())
    made = (parts.decided(), parts.aside(), summaries.sheet(result), explained)
    write(job.output, *made, parts.more, FOR_SUMMARY, job.table.layout)
    if job.letters is not None:
        for frame in parts.frames():
            job.letters.write(frame, parts.named())
    parts.remove()
    return result


@contextmanager
def _closed_quietly(every: Iterator[Decided | Kept]) -> Iterator[Iterator[Decided | Kept]]:
    """Closed at an interruption, which may come twice: once from the terminal, once from Polars."""
    try:
        yield every
    except KeyboardInterrupt:
        with suppress(KeyboardInterrupt):
            if isinstance(every, Generator):
                every.close()
        raise
