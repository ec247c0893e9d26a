"""Reading a table piece by piece: CSV, TSV, XLSX, ODS, Parquet and JSON lines.

A piece holds a fixed number of rows whatever the format, so that the same file always falls into
the same pieces. Lines that are no row of the table come along as set aside.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import polars as pl

from diagnose.claims.table.delimited import Delimited
from diagnose.claims.table.layout import BadLayout, Layout, WantedColumn, names_of, text_layout
from diagnose.claims.table.text import one_line
from diagnose.claims.table.workbook import BadWorkbook, Workbook
from diagnose.commands import Misuse

PIECE = 16_384
"""Rows of a piece: few enough that the pieces in hand take little memory, many enough that what is
done once for each piece does not count."""

SHEETS = (".xlsx", ".ods", ".xlsm", ".xls")
KINDS = (".csv", ".tsv", ".parquet", ".jsonl", ".ndjson", *SHEETS)

ROW = "row"
"""The column of row numbers that every piece starts with: in a sheet or CSV as the sheet counts
(the header is row 1), else from 1."""


GIVEN_ROW = f"given {ROW}"
"""What a column of the clerk's that is called `row` becomes."""


class BadTable(Misuse):
    """A file that cannot be read as a table; one sentence with what to do."""


@dataclass(frozen=True, slots=True)
class RowAside:
    """A row that cannot be decided: where, what stands there, and why that will not do.

    `claim` and `customer` are what the row calls itself, as far as columns tell.
    """

    row: int
    column: str
    value: str
    reason: str
    claim: str = ""
    customer: str = ""


@dataclass(frozen=True, slots=True)
class Piece:
    """Some rows of a table, with `row` as first column, and what was set aside among them."""

    number: int
    frame: pl.DataFrame
    aside: tuple[RowAside, ...] = ()


@dataclass(frozen=True, slots=True)
class ClaimsTable:
    """A file to be read: its columns, how it is laid out, and about how many rows it has."""

    path: Path
    names: tuple[str, ...]
    rows: int | None
    layout: Layout = field(default_factory=Layout)

    def roughly(self) -> int:
        """About how many rows there are; for text the lines are counted."""
        if self.rows is not None:
            return self.rows
        with self.path.open("rb") as file:
            return sum(block.count(b"\n") for block in iter(lambda: file.read(1 << 20), b""))

    def pieces(self, size: int = PIECE) -> Iterator[Piece]:
        """The table in pieces of `size` rows; raises BadTable where it turns out to be broken."""
        try:
            yield from self._pieces(size)
        except (pl.exceptions.PolarsError, pl.exceptions.PanicException, BadWorkbook) as error:
            kind = self.path.suffix.lower()
            raise BadTable(_unreadable(self.path.name, kind, str(error))) from None

    def _pieces(self, size: int) -> Iterator[Piece]:
        kind = self.path.suffix.lower()
        if kind == ".parquet":
            yield from _parquet(self, size)
        elif kind in SHEETS:
            yield from _cut(_sheet(self), size)
        elif kind in (".jsonl", ".ndjson"):
            keys = tuple(ROW if n == GIVEN_ROW else n for n in self.names)
            yield from _pieces_of_lines(self.path, keys, size)
        else:
            keys = tuple(ROW if n == GIVEN_ROW else n for n in self.names)
            yield from _joined(Delimited(self.path, self.layout, keys).frames(), size)


def table(path: Path, wanted: WantedColumn = WantedColumn()) -> ClaimsTable:  # noqa: B008
    """Open a table, laid out as wanted, else as it is found; raises BadTable."""
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise BadTable(f"{path.name}: give a table that ends in {', '.join(KINDS)}")
    if wanted.sheet and kind not in SHEETS:
        raise BadTable(f"{path.name} has no sheets: leave out which one to read")
    try:
        names, rows, layout = _header(path, kind, wanted)
    except OSError as error:
        raise BadTable(f"{path} cannot be read: {error.strerror or error}") from None
    except (BadLayout, BadWorkbook) as error:
        raise BadTable(str(error)) from None
    except (Exception, pl.exceptions.PanicException) as error:  # the readers raise many kinds
        raise BadTable(_unreadable(path.name, kind, str(error))) from None
    if not names:
        raise BadTable(f"{path.name} is empty: a row must name the columns")
    return ClaimsTable(path, tuple(GIVEN_ROW if n == ROW else n for n in names), rows, layout)


def _unreadable(name: str, kind: str, error: str) -> str:
    if "password" in error.lower():
        return f"{name} is locked with a password: save it without one"
    if kind in SHEETS:
        return f"{name} is broken, or is no {kind[1:]} file: open it and save it anew"
    return f"{name} cannot be read as {kind[1:]} ({one_line(error, 120)}): save it anew"


def _header(
    path: Path, kind: str, wanted: WantedColumn
) -> tuple[tuple[str, ...], int | None, Layout]:
    if kind == ".parquet":
        scan = pl.scan_parquet(path)
        return tuple(scan.collect_schema()), scan.select(pl.len()).collect().item(), Layout()
    if kind in SHEETS:
        with Workbook(path) as book:
            layout = book.layout(wanted)
            frame = book.rows(layout.sheet)
        at = layout.header - 1
        return names_of(frame.row(at)), frame.height - at - 1, layout
    if kind in (".jsonl", ".ndjson"):
        return _keys(path), None, Layout()
    layout, names = text_layout(path, wanted)
    return names, None, layout


def _parquet(of: ClaimsTable, size: int) -> Iterator[Piece]:
    for number in range(-(-(of.rows or 0) // size)):
        frame = pl.scan_parquet(of.path).slice(number * size, size).collect()
        yield Piece(number, _numbered(frame, number * size + 1))


def _numbered(frame: pl.DataFrame, first: int) -> pl.DataFrame:
    rows = pl.Series(ROW, range(first, first + frame.height), dtype=pl.Int64)
    kept = frame.rename({ROW: GIVEN_ROW}) if ROW in frame.columns else frame
    return kept.insert_column(0, rows)


def _sheet(of: ClaimsTable) -> pl.DataFrame:
    """The rows of the sheet below its header, numbered as the sheet counts, all cells text."""
    with Workbook(of.path) as book:
        frame = book.rows(of.layout.sheet)
    keys = (ROW if n == GIVEN_ROW else n for n in of.names)
    days = pl.col(pl.String).str.replace(r"^(\d{4}-\d\d-\d\d) 00:00:00$", "${1}")
    rows = frame.slice(of.layout.header).rename(dict(zip(frame.columns, keys, strict=True)))
    return _numbered(rows.with_columns(days), of.layout.header + 1)


def _cut(frame: pl.DataFrame, size: int) -> Iterator[Piece]:
    for number, start in enumerate(range(0, frame.height, size)):
        yield Piece(number, frame.slice(start, size))


def _joined(parts: Iterator[tuple[pl.DataFrame, list[Any]]], size: int) -> Iterator[Piece]:
    """Frames of any length as pieces of one length; what is set aside counts as a row."""
    waiting: list[pl.DataFrame] = []
    aside: list[RowAside] = []
    number = 0
    for frame, bad in parts:
        waiting.append(frame)
        aside += (RowAside(*b) for b in bad)
        while sum(f.height for f in waiting) + len(aside) >= size:
            piece, waiting, aside = _take(number, waiting, aside, size)
            yield piece
            number += 1
    while waiting and (sum(f.height for f in waiting) or aside):
        piece, waiting, aside = _take(number, waiting, aside, size)
        yield piece
        number += 1


def _take(
    number: int, waiting: list[pl.DataFrame], aside: list[RowAside], size: int
) -> tuple[Piece, list[pl.DataFrame], list[RowAside]]:
    """The next `size` rows by row number, good and bad together."""
    frame = pl.concat(waiting)
    numbers = sorted([*frame[ROW].to_list(), *(a.row for a in aside)])
    last = numbers[min(size, len(numbers)) - 1]
    count = int((frame[ROW] <= last).sum())
    piece = Piece(number, frame.head(count), tuple(a for a in aside if a.row <= last))
    return piece, [frame.tail(frame.height - count)], [a for a in aside if a.row > last]


def _keys(path: Path, look: int = 10_000) -> tuple[str, ...]:
    names: dict[str, None] = {}
    with path.open("rb") as file:
        if file.read(2) in (b"\xff\xfe", b"\xfe\xff"):
            raise BadLayout(f"{path.name} is UTF-16 text: save it as UTF-8")
        file.seek(0)
        for _, line in zip(range(look), file, strict=False):
            found = _line(line)
            names.update(dict.fromkeys(found if isinstance(found, dict) else ()))
    return tuple(names)


def _line(line: bytes) -> Any:
    try:
        return json.loads(line)
    except (ValueError, RecursionError):
        return None


def _pieces_of_lines(path: Path, names: Sequence[str], size: int) -> Iterator[Piece]:
    rows: list[list[str | None]] = []
    numbers: list[int] = []
    aside: list[RowAside] = []
    piece = 0
    with path.open("rb") as file:
        for number, line in enumerate(file, 1):
            found = _line(line)
            reason = _no_row(found, names)
            if reason:
                aside.append(
                    RowAside(number, "", one_line(line.decode("utf-8", "replace")), reason)
                )
            else:
                rows.append([_cell(found.get(name)) for name in names])
                numbers.append(number)
            if len(rows) + len(aside) == size:
                yield Piece(piece, _framed(names, rows, numbers), tuple(aside))
                rows, numbers, aside, piece = [], [], [], piece + 1
    if rows or aside:
        yield Piece(piece, _framed(names, rows, numbers), tuple(aside))


def _no_row(found: Any, names: Sequence[str]) -> str:
    if not isinstance(found, dict):
        return "the line is no JSON object: mend it or take it out"
    strange = sorted(set(found) - set(names))
    return (
        f"the key '{one_line(strange[0], 30)}' is not among the first rows' keys" if strange else ""
    )


def _cell(value: Any) -> str | None:
    if value is None or isinstance(value, str):
        return value
    return json.dumps(value, ensure_ascii=False)


def _framed(
    names: Sequence[str], rows: Sequence[Sequence[str | None]], numbers: Sequence[int]
) -> pl.DataFrame:
    schema = dict.fromkeys(names, pl.String)
    frame = pl.DataFrame(rows or None, schema=schema, orient="row")
    kept = frame.rename({ROW: GIVEN_ROW}) if ROW in names else frame
    return kept.insert_column(0, pl.Series(ROW, numbers, dtype=pl.Int64))
