"""Where a table begins in a file as a shop keeps it: encoding, separator, header row.

Above the header often stand a title, the shop's address, a line of groups (merged cells, of which
a file holds the first alone). The header is the first row that is filled about as widely as the
table and holds words, not numbers or days.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.claims.table.text import one_line

LOOKED = 40
"""Rows among which the header is looked for."""

WIDE = 0.6
"""Share of the widest row's cells that a header fills."""

WORDY = 0.75
"""Share of a header's cells that are words."""

HEAD = 1 << 22
"""Bytes of a text file in which the header is looked for."""

FALLBACK = "cp1252"
"""What a text that is not UTF-8 is read as: the usual one of spreadsheets, with all of latin-1."""

_NUMBER = re.compile(r"[-+]?[\d.,:/\s%€$£]+(?:[T ][\d:.]+)?")
_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


class BadLayout(Exception):
    """What was asked of a file and is not there; one sentence."""


@dataclass(frozen=True, slots=True)
class WantedColumn:
    """What the clerk says of a file; empty and 0 where the program is to find it."""

    sheet: str = ""
    header: int = 0
    encoding: str = ""


@dataclass(frozen=True, slots=True)
class Layout:
    """How a file is read. `header` counts as the sheet or the lines do, from 1; 0: there is none.

    `skipped` is the number of lines that stand before the first row of the table, in a text.
    """

    sheet: str = ""
    header: int = 1
    encoding: str = "utf-8"
    separator: str = ","
    skipped: int = 1
    others: tuple[str, ...] = ()

    @property
    def for_spreadsheets(self) -> bool:
        """Whether a text that goes out is marked as UTF-8, for spreadsheets that guess."""
        return self.encoding not in ("utf-8", "")

    def told(self) -> str:
        """What is not as one would take for granted, in a sentence; '' if nothing."""
        said = []
        if self.others:
            names = ", ".join(f"'{one_line(n, 24)}'" for n in self.others[:4])
            said.append(f"the sheet '{one_line(self.sheet, 24)}' (there are also {names})")
        if self.header > 1:
            said.append(f"row {self.header} as the header")
        if self.encoding not in ("utf-8", "utf-8-sig"):
            said.append(f"the text as {self.encoding}")
        return f"Read: {', '.join(said)}." if said else ""


def header_row(rows: Sequence[Sequence[str | None]]) -> int:
    """Which of the first rows is the header, from 0.

    >>> header_row([["Claims 2025", ""], ["", ""], ["No", "Fault"], ["7", "edge up"]])
    2
    """
    filled = [[c.strip() for c in row if c and c.strip()] for row in rows[:LOOKED]]
    widest = max(map(len, filled), default=0)
    for number, cells in enumerate(filled):
        words = sum(not _NUMBER.fullmatch(cell) for cell in cells)
        if cells and len(cells) >= WIDE * widest and words >= WORDY * len(cells):
            return number
    return 0


def names_of(cells: Sequence[str | None]) -> tuple[str, ...]:
    """Names of columns: a column without one is called by its number, a doubled one numbered.

    >>> names_of(["Note", None, "Note"])
    ('Note', 'column 2', 'Note (2)')
    """
    found: list[str] = []
    for number, cell in enumerate(cells, 1):
        name = " ".join((cell or "").split()) or f"column {number}"
        again = name
        times = 1
        while again in found:
            times += 1
            again = f"{name} ({times})"
        found.append(again)
    return tuple(found)


# text


def encoding_of(path: Path) -> str:
    """How the bytes of a text file stand for letters, by the marks at its start or by trying.

    A file with letters that only UTF-8 has is UTF-8, however many of its rows are broken.
    """
    with path.open("rb") as file:
        head = file.read(4096)
        for mark, name in _BOMS:
            if head.startswith(mark):
                return name
        if len(head) > 3 and head.count(0) * 3 > len(head):
            return "utf-16-le" if head[1::2].count(0) > head[::2].count(0) else "utf-16-be"
        file.seek(0)
        broken = several = False
        rest = b""
        while block := file.read(1 << 20):
            rest, bad, good = _tried(rest + block)
            broken, several = broken or bad, several or good
            if broken and several:
                return "utf-8"
        return FALLBACK if (broken or _tried(rest + b"\n")[1]) and not several else "utf-8"


def _tried(block: bytes) -> tuple[bytes, bool, bool]:
    """What is left of a letter cut in two; whether it is no UTF-8; if it has such letters."""
    try:
        text, used = codecs.utf_8_decode(block, "strict", False)
    except UnicodeDecodeError:
        text = block.decode("utf-8", "ignore")
        return b"", True, not text.isascii()
    return block[used:], False, not text.isascii()


def checked_encoding(name: str) -> str:
    """The encoding under its usual name; raises BadLayout."""
    try:
        return codecs.lookup(name).name
    except LookupError:
        raise BadLayout(
            f"no encoding is called '{one_line(name, 24)}': utf-8, latin-1, cp1252, utf-16"
        ) from None


def text_layout(path: Path, wanted: WantedColumn) -> tuple[Layout, tuple[str, ...]]:
    """How a CSV or TSV file is laid out, and its columns; raises BadLayout."""
    encoding = checked_encoding(wanted.encoding) if wanted.encoding else encoding_of(path)
    with path.open("rb") as file:
        raw = file.read(HEAD)
    text = codecs.getincrementaldecoder(encoding)("replace").decode(raw)
    first = text.split("\n", 1)[0].rstrip("\r")
    said = _SAID.fullmatch(first)
    tabs = path.suffix.lower() == ".tsv"
    separator = said[1] if said else "\t" if tabs else _separator(text)
    rows, lines = _rows(text, separator)
    if not rows:
        return Layout(encoding=encoding, separator=separator), ()
    start = 1 if said else 0
    if wanted.header > len(rows):
        raise BadLayout(f"{path.name} has no row {wanted.header} among its first {len(rows)}")
    at = wanted.header - 1 if wanted.header else start + header_row(rows[start:])
    if at >= len(rows) or not any(c.strip() for c in rows[at]):
        return Layout(encoding=encoding, separator=separator), ()
    layout = Layout("", at + 1, encoding, separator, lines[at])
    return layout, names_of(rows[at])


_SAID = re.compile(r"sep=([,;|\t])", re.IGNORECASE)
"""A first line that some spreadsheets write to say what sets cells apart."""


def _separator(text: str) -> str:
    """What sets cells apart: the sign that parts most lines into as many cells as the first ones.

    A sentence has commas too, but hardly as many in each line.
    """
    lines = [line for line in text.splitlines()[:LOOKED] if line.strip()]
    signs = (",", ";", "\t", "|")
    if not lines:
        return ","
    widest = {s: sorted((line.count(s) for line in lines), reverse=True) for s in signs}
    top = max(1, len(lines) // 2)
    plain = max(signs, key=lambda s: (min(widest[s][:top]), lines[0].count(s)))
    even = {s: _even(text, s) for s in signs}
    best = max(signs, key=lambda s: even[s])
    return best if even[best] >= EVEN and even[plain] < EVEN else plain


EVEN = 0.8
"""Share of rows with as many cells as most have, from which a sign is the separator."""


def _even(text: str, sign: str) -> float:
    """The share of the first rows that have as many cells as most, more than one."""
    rows = [row for row in _rows(text, sign)[0] if any(cell.strip() for cell in row)]
    sizes = Counter(len(row) for row in rows)
    if not sizes:
        return 0.0
    size, count = sizes.most_common(1)[0]
    return count / len(rows) if size > 1 else 0.0


def _rows(text: str, separator: str) -> tuple[list[list[str]], list[int]]:
    """The first rows, as one reads them who takes every quote as it comes, and where each ends."""
    rows, ends = [], []
    reader = csv.reader(io.StringIO(text, newline="\n"), delimiter=separator)
    try:
        for row in reader:
            rows.append(row)
            ends.append(reader.line_num)
            if len(rows) == LOOKED:
                break
    except csv.Error:
        pass
    return rows, ends
