"""CSV and TSV in blocks: sound blocks by a fast reader, the others line by line.

A block is sound when it is UTF-8, its quotes open and close at the edges of cells, and each row has
as many cells as the header; arrays of bytes tell. From the first block that is not, the rest of
the file goes through the slow and forgiving reader, which says for each bad row what is wrong.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections import deque
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import BinaryIO, cast

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.table.layout import Layout
from diagnose.claims.table.text import one_line, unguarded

BLOCK = 8_000_000
"""Bytes of a block."""

LONGEST_CELL = 1_000_000
ROW = "row"

Bad = tuple[int, str, str, str]
"""Row, column, value, reason."""

NEWLINE, RETURN, QUOTE = 10, 13, 34
Bytes = NDArray[np.uint8]


class Delimited:
    """A CSV or TSV file whose layout is known."""

    def __init__(self, path: Path, layout: Layout, names: Sequence[str]) -> None:
        self._path = path
        self._layout = layout
        self._separator = layout.separator
        self.names = tuple(names)

    def frames(self) -> Iterator[tuple[pl.DataFrame, list[Bad]]]:
        """The rows in blocks, all cells text, and the rows that are none."""
        with self._path.open("rb") as given:
            file = _as_utf8(given, self._layout.encoding)
            for _ in range(self._layout.skipped):
                file.readline()
            row, rest = self._layout.header + 1, b""
            while True:
                block, rest = _whole_rows(file, rest)
                if not block:
                    return
                found = self._fast(block)
                if found is None:
                    yield from self._slow(io.BytesIO(block + rest), file, row)
                    return
                yield self._framed(found, row), []
                row += found.height

    def _fast(self, block: bytes) -> pl.DataFrame | None:
        """A sound block by the fast reader, else None; a row that is cut is none."""
        if len(block) >= BLOCK and not block.endswith(b"\n"):
            return None
        array = np.frombuffer(block, dtype=np.uint8)
        if not _sound(array, ord(self._separator), len(self.names)):
            return None
        try:
            return pl.read_csv(
                block,
                has_header=False,
                new_columns=list(self.names),
                separator=self._separator,
                infer_schema=False,
                raise_if_empty=False,
            )
        except pl.exceptions.PolarsError:
            return None

    def _framed(self, frame: pl.DataFrame, first: int) -> pl.DataFrame:
        numbers = pl.Series(ROW, range(first, first + frame.height), dtype=pl.Int64)
        kept = frame.rename({ROW: f"given {ROW}"}) if ROW in frame.columns else frame
        return unguarded(kept).insert_column(0, numbers)

    def _slow(
        self, head: BinaryIO, file: BinaryIO, row: int
    ) -> Iterator[tuple[pl.DataFrame, list[Bad]]]:
        good: list[Sequence[str]] = []
        numbers: list[int] = []
        bad: list[Bad] = []
        for cells, reason in self._records(head, file):
            if reason:
                bad.append((row, "", one_line(self._separator.join(cells)), reason))
            elif cells:
                good.append(cells)
                numbers.append(row)
            row += 1
            if len(good) + len(bad) >= 20_000:
                yield self._listed(good, numbers), bad
                good, numbers, bad = [], [], []
        yield self._listed(good, numbers), bad

    def _records(self, head: BinaryIO, file: BinaryIO) -> Iterator[tuple[list[str], str]]:
        """Each record with what is wrong with it, or ''; a blank line is an empty record."""
        csv.field_size_limit(LONGEST_CELL)
        lines = _Lines(_lines(head, file))
        reader = csv.reader(lines, delimiter=self._separator, strict=True)
        wanted = len(self.names)
        while True:
            lines.taken.clear()
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                yield [_readable(lines.back_to_second())], f"the row cannot be read: {error}"
                reader = csv.reader(lines, delimiter=self._separator, strict=True)
                continue
            text = "".join(cells)
            if any("\udc80" <= sign <= "\udcff" for sign in text):
                yield [_readable(c) for c in cells], "not UTF-8 text: save the file as UTF-8"
            elif cells and len(cells) != wanted:
                yield cells, f"the row has {len(cells)} cells, the header {wanted}"
            elif "\x00" in text:
                yield cells, "the row holds a null byte: export the table anew"
            else:
                yield cells, ""

    def _listed(self, rows: Sequence[Sequence[str]], numbers: Sequence[int]) -> pl.DataFrame:
        schema = dict.fromkeys(self.names, pl.String)
        frame = (
            pl.DataFrame(rows, schema=schema, orient="row") if rows else pl.DataFrame(schema=schema)
        )
        framed = self._framed(frame, 0)
        return framed.with_columns(pl.Series(ROW, numbers, dtype=pl.Int64))


class _Lines:
    """Lines for a reader; those of a record that could not be read can be had again."""

    def __init__(self, lines: Iterator[str]) -> None:
        self._lines = lines
        self._again: deque[str] = deque()
        self.taken: list[str] = []

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = self._again.popleft() if self._again else next(self._lines)
        self.taken.append(line)
        return line

    def back_to_second(self) -> str:
        """Give all lines but the first one of the record back; return that one."""
        first, *others = self.taken
        self._again.extendleft(reversed(others))
        return first


def _as_utf8(file: BinaryIO, encoding: str) -> BinaryIO:
    """The same text in UTF-8; what is no letter of its encoding is shown as such."""
    if encoding in ("utf-8", "utf-8-sig"):
        return file
    return cast("BinaryIO", codecs.EncodedFile(file, "utf-8", encoding, "replace"))


def _lines(head: BinaryIO, file: BinaryIO) -> Iterator[str]:
    """Lines of both, where the last one of the head goes on in the file."""
    tail = b""
    for line in head:
        if not line.endswith(b"\n"):
            tail = line
            break
        yield line.decode("utf-8", "surrogateescape")
    for line in _cut(file):
        yield (tail + line).decode("utf-8", "surrogateescape")
        tail = b""
    if tail:
        yield tail.decode("utf-8", "surrogateescape")


def _cut(file: BinaryIO) -> Iterator[bytes]:
    """Lines, none longer than a block; what is over is passed by, so that memory stays flat.

    A line that was cut has a cell longer than any that is read, and is told as one.
    """
    while line := file.readline(BLOCK):
        yield line
        while len(line) == BLOCK and not line.endswith(b"\n"):
            line = file.readline(BLOCK)


def _readable(text: str) -> str:
    return text.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def _whole_rows(file: BinaryIO, rest: bytes) -> tuple[bytes, bytes]:
    """A block that ends at the end of a row (outside quotes where these pair), and what is over."""
    more = file.read(BLOCK)
    read = rest + more
    if not more:
        return read, b""
    end = read.rfind(b"\n")
    while end >= 0 and read.count(b'"', 0, end) % 2:
        # From quote to quote and not from row to row: one that is never closed may be far away.
        end = read.rfind(b"\n", 0, read.rfind(b'"', 0, end))
    return (read, b"") if end < 0 else (read[: end + 1], read[end + 1 :])


def _sound(array: Bytes, separator: int, cells: int) -> bool:
    """Whether the fast reader reads this as the slow one would."""
    if not len(array) or (array == 0).any():
        return False
    quotes = np.flatnonzero(array == QUOTE)
    ends = np.flatnonzero(array == NEWLINE)
    commas = np.flatnonzero(array == separator)
    returns = np.flatnonzero(array == RETURN)
    if len(returns) and not _all_before(array, returns, NEWLINE):
        return False
    if len(quotes):
        if not _quotes_pair(array, quotes, separator):
            return False
        ends, commas = (at[np.searchsorted(quotes, at) % 2 == 0] for at in (ends, commas))
    if not len(ends) or ends[-1] != len(array) - 1:
        ends = np.append(ends, len(array))
    lengths = np.diff(ends, prepend=-1)
    in_row = np.diff(np.searchsorted(commas, ends), prepend=0)
    return bool((in_row == cells - 1).all() and (lengths > 2).all() and _is_utf8(array))


def _all_before(array: Bytes, at: NDArray[np.intp], sign: int) -> bool:
    return bool(at[-1] + 1 < len(array) and (array[at + 1] == sign).all())


def _quotes_pair(array: Bytes, quotes: NDArray[np.intp], separator: int) -> bool:
    """Each opening quote stands at the start of a cell, each closing one at its end."""
    if len(quotes) % 2:
        return False
    padded = np.concatenate([[NEWLINE], array, [NEWLINE]])
    before, after = padded[quotes[::2]], padded[quotes[1::2] + 2]
    opens = np.isin(before, (separator, NEWLINE, QUOTE))
    closes = np.isin(after, (separator, NEWLINE, RETURN, QUOTE))
    return bool(opens.all() and closes.all())


def _is_utf8(array: Bytes) -> bool:
    if (array < 128).all():
        return True
    try:
        array.tobytes().decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True
