"""The whole run: pieces read, decided, kept as parts, put together at the end.

Parts are kept in a hidden folder beside the output, each complete or not there at all; a run that
was interrupted goes on from them with `resume`. What is put together does not depend on how many
threads or machines decided the pieces.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import polars as pl

from diagnose.claims.classify import Classifier, Decided
from diagnose.claims.letters import Letters
from diagnose.claims.mapping.mapping import Mapped
from diagnose.claims.policy.policy import Policy
from diagnose.claims.results import outgoing
from diagnose.claims.results import summary as summaries
from diagnose.claims.results.again import sent_twice, settled_before
from diagnose.claims.results.doubled import doubled, numbers
from diagnose.claims.results.explained import words
from diagnose.claims.results.results import FOR_SUMMARY, RESULTS
from diagnose.claims.table.sheets import Sheet
from diagnose.claims.table.source import PIECE, ClaimsTable, Piece
from diagnose.claims.table.text import harmless
from diagnose.claims.table.write import Frames, aside_frame, write
from diagnose.claims.whole import ADDED, Whole, told_by_others
from diagnose.knowledge.base import Base

THREADS = 2
"""Pieces decided at a time; their arrays are worked on outside Python's lock."""

Tell = Callable[[int], None]
"""Told of each number of rows done."""


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be done under which rules."""

    table: ClaimsTable
    output: Path
    base: Base
    mapping: Mapped
    policy: Policy
    program: str
    size: int = PIECE
    today: date | None = None
    earlier: pl.DataFrame | None = None
    letters: Letters | None = None

    @property
    def folder(self) -> Path:
        """Where the parts are kept."""
        return self.output.with_name(f".{self.output.name}.parts")

    def classifier(self) -> Classifier:
        """The engine of this job."""
        return Classifier(self.base, self.mapping, self.policy, self.program, self.today)

    def fingerprint(self) -> str:
        """Changes with anything that changes a part."""
        said = (
            self.mapping,
            self.table.layout,
            self.base.version,
            self.policy.version,
            self.program,
            self.size,
        )
        return hashlib.sha256(f"{said!r}{_of_file(self.table.path)}".encode()).hexdigest()


def _of_file(path: Path) -> str:
    """The digest of a whole file: an edit in the middle changes its rows and not its length."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


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
    decide: Callable[[Iterator[Piece]], Iterator[Decided]] | None = None,
) -> summaries.Summary:
    """Decide the whole table and write what came of it."""
    parts = Parts(job, resume)
    pieces = (p for p in job.table.pieces(job.size) if not parts.has(p, tell))
    with _closed_quietly((decide or Decide(job))(pieces)) as every:
        for decided in every:
            parts.keep(decided)
            tell(decided.frame.height + len(decided.aside))
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
def _closed_quietly(every: Iterator[Decided]) -> Iterator[Iterator[Decided]]:
    """Closed at an interruption, which may come twice: once from the terminal, once from Polars."""
    try:
        yield every
    except KeyboardInterrupt:
        with suppress(KeyboardInterrupt):
            if isinstance(every, Generator):
                every.close()
        raise


class Parts:
    """The folder of parts of one job."""

    def __init__(self, job: Job, resume: bool) -> None:
        self._job = job
        self._folder = job.folder
        self._stamp = self._folder / "job.json"
        if not (resume and self._same()):
            shutil.rmtree(self._folder, ignore_errors=True)
            self._folder.mkdir(parents=True)
            self._stamp.write_text(json.dumps({"job": job.fingerprint()}))

    def _same(self) -> bool:
        try:
            kept = json.loads(self._stamp.read_text())
        except (OSError, ValueError):
            return False
        return bool(kept.get("job") == self._job.fingerprint())

    def _path(self, number: int, kind: str) -> Path:
        return self._folder / f"{number:07}.{kind}.parquet"

    def has(self, piece: Piece, tell: Tell) -> bool:
        """Whether a piece was decided before."""
        there = self._path(piece.number, "decided").exists()
        if there:
            tell(piece.frame.height + len(piece.aside))
        return there

    def keep(self, decided: Decided) -> None:
        """Keep a part: what was set aside and its sums first; the rows say that it is complete."""
        given = decided.frame.columns[:-ADDED]
        frame = harmless(decided.frame, given)
        self._write(aside_frame(decided.aside), self._path(decided.number, "aside"))
        self._write(frame, self._path(decided.number, "decided"))

    def tell_the_whole(self) -> None:
        """Put into the parts what only all of them together tell."""
        job = self._job
        if not self.decided():
            self.keep(next(Decide(job)(iter([_nothing(job)]))))
        whole = Whole(self.decided(), job.base, job.mapping, self.named())
        found = whole.standouts(self._sums("before"))
        if any(its.what == "Lots" for its in found):
            mapping = told_by_others(job.mapping, job.base)
            whole.answered_by_the_table(replace(job, mapping=mapping).classifier(), found)
        keys = whole.keys(self._folder)
        whole.settle(sent_twice(keys))
        if job.earlier is not None:
            whole.settle(settled_before(keys, job.earlier))

    def named(self) -> Mapping[str, str]:
        """For each fact the column of the decided parts that tells it."""
        first = pl.scan_parquet(self.decided()[0]).collect_schema().names()
        return summaries.named(first, self._job.mapping)

    def frames(self) -> Iterable[pl.DataFrame]:
        """The decided rows, as often as they are gone through."""
        return Frames(self.decided(), FOR_SUMMARY)

    def more(self, frames: Iterable[pl.DataFrame]) -> Sequence[Sheet]:
        """Sheets of a workbook beside its rows: questions by addressee, rows of bad rolls."""
        asked = outgoing.questions(self._job.base, frames, self.named())
        return Sheet("questions", asked), Sheet("rolls", outgoing.of_rolls(frames), typed=True)

    def sources_used(self) -> set[str]:
        """The sources that stand in the grounds of some row."""
        names = [n for n in RESULTS if n.startswith("sign_")]
        found: set[str] = set()
        for part in self.decided():
            frame = pl.read_parquet(part, columns=names)
            texts = [t for name in names for t in frame[name].cast(pl.String).unique().to_list()]
            found |= outgoing.sources_used(self._job.base, [t for t in texts if t])
        return found

    def _sums(self, when: str) -> list[Path]:
        """What the rows of each part amount to, as they stand now."""
        found = []
        for part in self.decided():
            path = part.with_suffix(f".{when}")
            self._write(summaries.sums(pl.read_parquet(part), self._job.mapping), path)
            found.append(path)
        return found

    @staticmethod
    def _write(frame: pl.DataFrame, path: Path) -> None:
        new = path.with_name(f"{path.name}.new")
        frame.write_parquet(new, compression="snappy", statistics=False)
        new.replace(path)

    def decided(self) -> list[Path]:
        """The decided parts in order."""
        return sorted(self._folder.glob("*.decided.parquet"))

    def aside(self) -> list[Path]:
        """The parts set aside in order."""
        return sorted(self._folder.glob("*.aside.parquet"))

    def summary(self) -> summaries.Summary:
        """What all parts amount to."""
        count = pl.scan_parquet(self.aside()).select(pl.len()).collect().item()
        twice = doubled(list(self._numbers()))
        return summaries.summarise(self._sums("sums"), count, self._job.policy.money, twice)

    def _numbers(self) -> Iterator[Path]:
        """The claim numbers of each part, with their money."""
        for part in self.decided():
            frame = pl.read_parquet(part)
            name = summaries.named(frame.columns, self._job.mapping).get("claim")
            if name is not None:
                path = part.with_suffix(".numbers")
                self._write(numbers(frame, name), path)
                yield path

    def remove(self) -> None:
        """Forget the parts."""
        shutil.rmtree(self._folder, ignore_errors=True)


def _nothing(job: Job) -> Piece:
    """A piece without rows, for a table that has only a header."""
    schema = {"row": pl.Int64, **dict.fromkeys(job.table.names, pl.String)}
    return Piece(0, pl.DataFrame(schema=schema))
