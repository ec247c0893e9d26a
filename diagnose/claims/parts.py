"""The parts of a run: decided rows kept in a hidden folder, each complete or not there at all.

Beside each part stands what its rows amount to and what tells them apart from others, so that what
only the whole table tells is known without reading the rows again. A run that was interrupted goes
on from its parts.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import polars as pl

from diagnose.claims.classify import Decided
from diagnose.claims.job import Job, Tell
from diagnose.claims.mapping.mapping import Mapped
from diagnose.claims.results import again, outgoing
from diagnose.claims.results import summary as summaries
from diagnose.claims.results.doubled import doubled, numbers
from diagnose.claims.results.results import FOR_SUMMARY, RESULTS
from diagnose.claims.table.sheets import Sheet
from diagnose.claims.table.source import Piece
from diagnose.claims.table.text import harmless
from diagnose.claims.table.write import Frames, aside_frame
from diagnose.claims.whole import ADDED, Whole, kept_whole, told_by_others

SIGNS = tuple(name for name in RESULTS if name.startswith("sign_"))


@dataclass(frozen=True, slots=True)
class Kept:
    """A piece that was decided and kept: its number, and its rows with those set aside."""

    number: int
    rows: int


@dataclass(frozen=True, slots=True)
class Keeping:
    """Keeps decided pieces as parts in a folder, from whichever process decided them."""

    folder: Path
    mapping: Mapped

    def path(self, number: int, kind: str) -> Path:
        """Where something of a part stands."""
        return self.folder / f"{number:07}.{kind}"

    def keep(self, decided: Decided) -> Kept:
        """Keep a part: all that goes with it first; the rows say that it is complete."""
        number, frame = decided.number, decided.frame
        frame = harmless(frame, frame.columns[:-ADDED])
        named = summaries.named(frame.columns, self.mapping)
        kept_whole(aside_frame(decided.aside), self.path(number, "aside.parquet"))
        kept_whole(summaries.sums(frame, self.mapping), self.path(number, "sums"))
        kept_whole(again.keys(frame, named), self.path(number, "keys"))
        kept_whole(frame, self.path(number, "decided.parquet"))
        return Kept(number, frame.height + len(decided.aside))


class Parts:
    """The folder of parts of one job."""

    def __init__(self, job: Job, resume: bool) -> None:
        self._job = job
        self._folder = job.folder
        self._stamp = self._folder / "job.json"
        self.keeping = Keeping(job.folder, job.mapping)
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

    def has(self, piece: Piece, tell: Tell) -> bool:
        """Whether a piece was decided before."""
        there = self.keeping.path(piece.number, "decided.parquet").exists()
        if there:
            tell(piece.frame.height + len(piece.aside))
        return there

    def tell_the_whole(self) -> None:
        """Put into the parts what only all of them together tell."""
        job = self._job
        if not self.decided():
            self.keeping.keep(job.classifier().decide(_nothing(job)))
        whole = Whole(self.decided(), job.base, job.mapping, self.named())
        found = whole.standouts(self._sums())
        if any(its.what == "Lots" for its in found):
            mapping = told_by_others(job.mapping, job.base)
            whole.answered_by_the_table(replace(job, mapping=mapping).classifier(), found)
        keys = sorted(self._folder.glob("*.keys"))
        whole.settle(again.sent_twice(keys))
        if job.earlier is not None:
            whole.settle(again.settled_before(keys, job.earlier))

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
        return Sheet("questions", asked), Sheet(
            "rolls", outgoing.of_rolls(frames, self.named()), typed=True
        )

    def sources_used(self) -> set[str]:
        """The sources that stand in the grounds of some row."""
        texts: set[str] = set()
        for part in self.decided():
            frame = pl.read_parquet(part, columns=list(SIGNS))
            for name in SIGNS:
                texts.update(frame[name].unique().cast(pl.String).drop_nulls())
        return outgoing.sources_used(self._job.base, sorted(texts))

    def _sums(self) -> list[Path]:
        """What the rows of each part amount to as they stand now; made anew where they changed."""
        found = []
        for part in self.decided():
            path = part.with_name(part.name.replace("decided.parquet", "sums"))
            if not path.exists():
                kept_whole(summaries.sums(pl.read_parquet(part), self._job.mapping), path)
            found.append(path)
        return found

    def decided(self) -> list[Path]:
        """The decided parts in order."""
        return sorted(self._folder.glob("*.decided.parquet"))

    def aside(self) -> list[Path]:
        """The parts set aside in order."""
        return sorted(self._folder.glob("*.aside.parquet"))

    def summary(self) -> summaries.Summary:
        """What all parts amount to."""
        count = pl.scan_parquet(self.aside()).select(pl.len()).collect().item()
        twice = doubled(self._numbers())
        return summaries.summarise(self._sums(), count, self._job.policy.money, twice)

    def _numbers(self) -> list[Path]:
        """The claim numbers of each part, with their money."""
        name = self.named().get("claim", "")
        found = []
        for part in self.decided() if name else ():
            frame = pl.read_parquet(part, columns=[name, "claimed_amount", "amount_carried"])
            path = part.with_suffix(".numbers")
            kept_whole(numbers(frame, name), path)
            found.append(path)
        return found

    def remove(self) -> None:
        """Forget the parts."""
        shutil.rmtree(self._folder, ignore_errors=True)


def _nothing(job: Job) -> Piece:
    """A piece without rows, for a table that has only a header."""
    schema = {"row": pl.Int64, **dict.fromkeys(job.table.names, pl.String)}
    return Piece(0, pl.DataFrame(schema=schema))
