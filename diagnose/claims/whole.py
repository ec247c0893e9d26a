"""What only the whole table tells, once every row is decided: put into the parts it bears on.

Rows of a roll that stands out are decided anew with what the other rows say; claims that were
settled before or sent in twice are marked and not paid again. Both may be done again over parts
that have it already, so an interrupted run goes on from wherever it was.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import polars as pl

from diagnose.claims.classify import Classifier
from diagnose.claims.mapping.mapping import Column, Mapped
from diagnose.claims.results import again, rolls
from diagnose.claims.results import summary as summaries
from diagnose.claims.results.outliers import Standout, standouts
from diagnose.claims.results.results import FOR_SUMMARY, RESULTS
from diagnose.claims.results.spelled import key
from diagnose.claims.table.source import ClaimsTable, Piece
from diagnose.claims.table.text import WORDED
from diagnose.knowledge.base import Base

ADDED = len(RESULTS) + len(FOR_SUMMARY)


@dataclass(frozen=True, slots=True)
class Whole:
    """The parts of a run (files of decided rows) and under what they were decided."""

    parts: Sequence[Path]
    base: Base
    mapping: Mapped
    named: Mapping[str, str]

    def standouts(self, sums: Sequence[Path]) -> tuple[Standout, ...]:
        """What stands out among the rows as they were decided."""
        return standouts(summaries.kinds(summaries.together(sums)))

    def answered_by_the_table(self, classifier: Classifier, found: Sequence[Standout]) -> None:
        """Decide the rows of rolls that stand out with what the others say, where nobody said."""
        column = self.named.get("lot")
        check = self.base.checks.get(self.base.role("same_roll"))
        if column is None or check is None or not check.answers:
            return
        told = rolls.rows_of(self.parts, column, found)
        for part in self.parts if told.height else ():
            frame = pl.read_parquet(part)
            mine = told.join(frame.select("row"), on="row", how="semi")
            if mine.height:
                self._anew(classifier, part, frame, mine, next(iter(check.answers)))

    def _anew(
        self, classifier: Classifier, part: Path, frame: pl.DataFrame, told: pl.DataFrame, word: str
    ) -> None:
        given = frame.columns[:-ADDED]
        back = {name: name.removeprefix("given ") for name in given if self._was_renamed(name)}
        rows = frame.join(told.select("row"), on="row", how="semi")
        open_ = self._open(rows)
        if not open_.height:
            return
        piece = open_.select(given).rename(back).with_columns(pl.lit(word).alias(rolls.TOLD))
        decided = classifier.decide(Piece(0, piece)).frame.drop(rolls.TOLD)
        said = decided.select("row").join(told, on="row", how="left", maintain_order="left")["told"]
        decided = decided.with_columns(from_the_table=said.cast(WORDED)).drop("settled")
        decided = decided.with_columns(settled=pl.lit(None, WORDED)).select(frame.columns)
        kept = frame.join(decided.select("row"), on="row", how="anti")
        its = decided.cast(dict(zip(frame.columns, frame.dtypes, strict=True)))
        rewritten(part, pl.concat([kept, its]).sort("row"))

    def _was_renamed(self, name: str) -> bool:
        return name.startswith("given ") and name.removeprefix("given ") in {
            *RESULTS,
            *FOR_SUMMARY,
        }

    def _open(self, rows: pl.DataFrame) -> pl.DataFrame:
        """The rows in which nobody answered whether other jobs of the roll show it."""
        its = self.mapping.of(self.base.role("same_roll"))
        return rows if its is None else rows.filter(key(its.column).is_null())

    def settle(self, marks: pl.DataFrame) -> None:
        """Put marks into the rows, and take back what they would be paid."""
        for part in self.parts if marks.height else ():
            frame = pl.read_parquet(part)
            mine = frame.select("row").join(marks, on="row", how="left", maintain_order="left")
            marked = mine["settled"].is_not_null()
            if marked.any():
                rewritten(part, _marked(frame, mine, marked))


def _marked(frame: pl.DataFrame, marks: pl.DataFrame, where: pl.Series) -> pl.DataFrame:
    words = {
        name: frame[name].cast(pl.String).zip_with(~where, marks[name]).cast(WORDED)
        for name in ("decision", "because", "settled", "ask_first")
    }
    nothing = pl.Series([None] * frame.height, dtype=pl.Float64)
    money = {
        name: frame[name].zip_with(~where, nothing) for name in ("share_percent", "amount_carried")
    }
    return frame.with_columns(**words, **money)


def rewritten(path: Path, frame: pl.DataFrame) -> None:
    """Write a part anew; what its rows amounted to is forgotten first."""
    path.with_name(path.name.replace("decided.parquet", "sums")).unlink(missing_ok=True)
    kept_whole(frame, path)


def kept_whole(frame: pl.DataFrame, path: Path) -> None:
    """Write a table, whole or not at all."""
    new = path.with_name(f"{path.name}.new")
    frame.write_parquet(new, compression="snappy", statistics=False)
    new.replace(path)


def told_by_others(mapping: Mapped, base: Base) -> Mapped:
    """The mapping with a column for what other rows say of the roll."""
    check = base.role("same_roll")
    others = tuple(c for c in mapping.columns if c.fact != check)
    return replace(mapping, columns=(*others, Column(rolls.TOLD, check)))


def earlier(table: ClaimsTable, mapping: Mapped, base: Base) -> pl.DataFrame:
    """The keys of a table that an earlier run wrote, with its decisions.

    A row that was declined for being sent twice settled nothing: the one before it may be open.
    """
    frame = pl.concat([piece.frame for piece in table.pieces()])
    if not {"decision", "symptom_named"} <= set(frame.columns):
        return pl.DataFrame(schema={**again.MARK, **dict.fromkeys(again.COMPARED, pl.String)})
    named = summaries.named(frame.columns, mapping)
    marked = pl.col("settled").cast(pl.String) if "settled" in frame.columns else pl.lit("")
    twice = marked.fill_null("").str.starts_with(again.SENT_TWICE)
    decided = frame.filter(pl.col("decision").is_in(list(again.SETTLED)) & ~twice)
    return again.keys(decided, named).with_columns(decision=decided["decision"].cast(pl.String))
