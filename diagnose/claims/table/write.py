"""The decided parts as one file of any kind, with the rows set aside and the summary.

All files are written beside their places first and then renamed, the decided rows last: there is
never half of one.
"""

from __future__ import annotations

import codecs
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

import polars as pl

from diagnose.claims.table.layout import Layout
from diagnose.claims.table.sheets import Sheet, write_workbook
from diagnose.claims.table.source import PIECE, RowAside
from diagnose.claims.table.text import WORDED, guarded, visible

WORKBOOKS = (".xlsx", ".ods")
WRITTEN = (".csv", ".tsv", ".xlsx", ".ods", ".parquet", ".jsonl", ".ndjson")


def beside(output: Path) -> tuple[Path, Path]:
    """Where the rows set aside and the summary go when they are no sheets of the output."""
    stem, kind = output.stem, output.suffix
    return output.with_name(f"{stem}.set_aside{kind}"), output.with_name(f"{stem}.summary{kind}")


def written(output: Path) -> tuple[Path, ...]:
    """Every file that will be written."""
    return (output,) if output.suffix.lower() in WORKBOOKS else (*beside(output), output)


def write(
    output: Path,
    parts: Sequence[Path],
    aside: Sequence[Path],
    summary: pl.DataFrame,
    words: pl.DataFrame,
    more: Callable[[Iterable[pl.DataFrame]], Sequence[Sheet]] = lambda frames: (),
    without: Sequence[str] = (),
    layout: Layout = Layout(),  # noqa: B008
) -> None:
    """Write all of it but the columns `without`.

    A workbook gets `more` sheets, which are made of the decided rows, and one of its words. Text
    goes out in the layout that it came in.
    """
    kind = output.suffix.lower()
    if kind in WORKBOOKS:
        sheets = [
            Sheet("claims", _read(parts, without), typed=True),
            *more(Frames(parts, without)),
            Sheet("set aside", _read(aside)),
            Sheet("summary", [summary]),
            Sheet("words", [words]),
        ]
        with _renamed_after([output]) as (path,):
            write_workbook(path, sheets, kind)
        return
    with _renamed_after(written(output)) as (bad, short, good):
        _write_table(short, kind, iter([summary]), layout)
        for path, its in ((bad, aside), (good, parts)):
            if kind == ".parquet":
                _sink(path, its, without)
            else:
                _write_table(path, kind, _read(its, without), layout)


def _sink(path: Path, parts: Sequence[Path], without: Sequence[str]) -> None:
    """Parts as one Parquet file, a row group each."""
    pl.scan_parquet(list(parts)).drop(*without, strict=False).sink_parquet(
        path,
        compression="snappy",
        statistics=False,
        row_group_size=PIECE,
        maintain_order=True,
    )


class _renamed_after:  # noqa: N801
    """Temporary paths that take their names when all is written, and vanish when it is not."""

    def __init__(self, outputs: Sequence[Path]) -> None:
        self._outputs = tuple(outputs)
        self._paths = tuple(o.with_name(f".{o.name}.{os.getpid()}.new") for o in outputs)

    def __enter__(self) -> tuple[Path, ...]:
        return self._paths

    def __exit__(self, kind: object, *rest: object) -> None:
        if kind is None:
            for path, output in zip(self._paths, self._outputs, strict=True):
                with path.open("rb") as file:
                    os.fsync(file.fileno())
                path.replace(output)
        for path in self._paths:
            path.unlink(missing_ok=True)
        if kind is None:
            for output in self._outputs:
                _remove_left_behind(output)


def _remove_left_behind(output: Path) -> None:
    """Temporary files of an earlier run of this output that was killed, and runs no more."""
    start, end = f".{output.name}.", ".new"
    for path in output.parent.iterdir():
        number = path.name.removeprefix(start).removesuffix(end)
        if path.name == f"{start}{number}{end}" and number.isdigit() and not _runs(int(number)):
            path.unlink(missing_ok=True)


def _runs(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True


def _read(parts: Sequence[Path], without: Sequence[str] = ()) -> Iterator[pl.DataFrame]:
    for part in parts:
        yield pl.read_parquet(part).drop(*without, strict=False).cast({WORDED: pl.String})


class Frames:
    """The decided rows in frames, as often as they are gone through."""

    def __init__(self, parts: Sequence[Path], without: Sequence[str]) -> None:
        self._parts = parts
        self._without = without

    def __iter__(self) -> Iterator[pl.DataFrame]:
        return _read(self._parts, self._without)


def _write_table(path: Path, kind: str, frames: Iterator[pl.DataFrame], layout: Layout) -> None:
    first = True
    with path.open("wb") as file:
        if kind in (".csv", ".tsv") and layout.for_spreadsheets:
            file.write(codecs.BOM_UTF8)
        for frame in frames:
            if kind == ".parquet":
                frame.write_parquet(file)
            elif kind in (".jsonl", ".ndjson"):
                frame.write_ndjson(file)
            else:
                separator = "\t" if kind == ".tsv" else layout.separator
                guarded(_safe_names(frame)).write_csv(
                    file, include_header=first, separator=separator
                )
            first = False


def _safe_names(frame: pl.DataFrame) -> pl.DataFrame:
    """Headers that start no formula either."""
    heads = guarded(pl.DataFrame({"head": frame.columns}))["head"].to_list()
    return frame.rename(dict(zip(frame.columns, map(visible, heads), strict=True)))


def aside_frame(rows: Sequence[RowAside]) -> pl.DataFrame:
    """Rows set aside as a table."""
    return pl.DataFrame(
        {
            "row": pl.Series([a.row for a in rows], dtype=pl.Int64),
            "claim": pl.Series([visible(a.claim) for a in rows], dtype=pl.String),
            "customer": pl.Series([visible(a.customer) for a in rows], dtype=pl.String),
            "column": pl.Series([visible(a.column) for a in rows], dtype=pl.String),
            "value": pl.Series([visible(a.value) for a in rows], dtype=pl.String),
            "reason": pl.Series([visible(a.reason) for a in rows], dtype=pl.String),
        }
    )
