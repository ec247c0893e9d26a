"""Text from a table made harmless, and taken back as it was.

A cell that begins like a formula gets an apostrophe in front where a spreadsheet would read it as
one (CSV and TSV); reading takes it off again. Control characters and marks that turn the direction
of writing are shown as what they are, so that they steer no terminal, log or sheet (CWE-150).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import polars as pl
from numpy.typing import NDArray

_SIGNS = ("", "?", "??", "???", "-", "--", "–", "—", ".", "/")
_WORDS = ("n/a", "na", "n.a.", "n. a.", "#n/a", "tbc", "t.b.c.", "tba", "tbd", "nil", "null")

NOTHING = frozenset((*_SIGNS, *_WORDS))
"""What people write into a cell that says nothing, in small letters."""

STARTS = "=+\\-@\t\r\n\x00＝＋－＠"
"""Signs that start a formula in some spreadsheet, as for a character class."""

_GUARDED = f"^'*[{STARTS}]"
_CONTROLS = "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069]"
_HIDDEN = re.compile(_CONTROLS)

WORDED = pl.Categorical
"""What a column of result texts is: the same few texts in many rows, each of which is kept once."""


def worded(texts: Sequence[str | None]) -> pl.Series:
    """Texts of which rows take theirs by number."""
    return pl.Series(texts, dtype=WORDED)


Occurring = tuple[list[str], NDArray[np.intp]]
"""The texts that occur in a column, and which one each row has, -1 for none."""


def occurring(frame: pl.DataFrame) -> dict[str, Occurring]:
    """For each `WORDED` column what occurs in it; all columns in one step, which is far quicker."""
    codes = frame.select((pl.col(WORDED).to_physical() + 1).fill_null(0))
    return {its.name: _occurring(frame[its.name], its.to_numpy()) for its in codes}


def _occurring(cells: pl.Series, codes: NDArray[np.uint32]) -> Occurring:
    row = np.full(int(codes.max(initial=0)) + 1, -1, dtype=np.intp)
    row[codes] = np.arange(len(codes))
    there = np.flatnonzero(row[1:] >= 0) + 1
    places = np.full(len(row), -1, dtype=np.intp)
    places[there] = np.arange(len(there))
    return cells[row[there]].cast(pl.String).to_list(), places.take(codes)


def visible(text: str) -> str:
    """The text with control characters shown, such as ␛ for escape; line ends and tabs stay."""
    return _HIDDEN.sub(lambda found: _picture(found[0]), text)


def _picture(sign: str) -> str:
    code = ord(sign)
    if code < 0x20:
        return chr(0x2400 + code)
    return "␡" if code == 0x7F else f"⟨U+{code:04X}⟩"


def one_line(text: str, most: int = 80) -> str:
    """Text for a message or a screen: visible, in one line, cut short."""
    joined = " ".join(visible(text).split())
    return joined if len(joined) <= most else joined[: most - 1] + "…"


def harmless(frame: pl.DataFrame, names: Sequence[str]) -> pl.DataFrame:
    """These columns, where they are free text, with control characters shown."""
    its = frame.select(names).select(pl.selectors.string().str.contains(_CONTROLS).any())
    return shown(frame, [name for name in its.columns if its[name].item()])


def hidden(texts: Sequence[str]) -> bool:
    """Whether some text has a character that is not seen."""
    return any(map(_HIDDEN.search, texts))


def shown(frame: pl.DataFrame, names: Sequence[str]) -> pl.DataFrame:
    """These columns of text with control characters shown, each of the kind that it was."""
    return frame.with_columns(
        pl.col(name)
        .cast(pl.String)
        .map_elements(visible, return_dtype=pl.String)
        .cast(frame.schema[name])
        for name in names
    )


def guarded(frame: pl.DataFrame) -> pl.DataFrame:
    """Text that would start a formula, with an apostrophe in front."""
    return frame.with_columns(
        pl.when(pl.col(name).str.contains(_GUARDED))
        .then("'" + pl.col(name))
        .otherwise(name)
        .alias(name)
        for name, kind in frame.schema.items()
        if kind == pl.String
    )


def unguarded(frame: pl.DataFrame) -> pl.DataFrame:
    """The same text as before `guarded`."""
    return frame.with_columns(
        pl.col(name).str.replace(f"^'('*[{STARTS}])", "${1}")
        for name, kind in frame.schema.items()
        if kind == pl.String
    )
