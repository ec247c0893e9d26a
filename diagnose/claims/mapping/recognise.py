"""From a piece of the clerk's table to columns of known values, and the rows set aside.

Each distinct text is read once. A text that is no answer sets its row aside, with every fault of
the row; an empty cell is a fact not known, and 'unknown' is one that was tried.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from typing import assert_never

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.mapping.facts import facts
from diagnose.claims.mapping.mapping import DATES, UNKNOWN_WORD, Column, Mapped
from diagnose.claims.mapping.reading import NO_CODE, Bools, Claims, Dates, Reading
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.table.numbers import TWO_WAYS, pointed
from diagnose.claims.table.source import Aside, Piece
from diagnose.claims.table.text import WORDED, hidden, occurring, shown
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import BadAnswer, Unknown, parse
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.knowledge.near import near
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.evidence.columns import Sets, numbered

_PLAIN = r"^\s*-?\d+(\.\d+)?\s*$"
_UNITLESS = re.compile(r"(?:[-+−–±./\d\s]|\bto\b)+")
"""A number, a range or a tolerance in which no unit stands."""

TRIED, WRONG = NO_CODE - 1, NO_CODE - 2
"""Codes of a cell that says 'unknown', and of one that is no answer."""

_TIME = re.compile(r"[ T]\d{1,2}:\d\d(:\d\d(\.\d+)?)?( ?[AP]M|Z)?$", re.IGNORECASE)


class Recogniser:
    """Reads pieces with one mapping; keeps what each text means."""

    def __init__(self, base: Base, mapping: Mapped) -> None:
        self._base = base
        self._mapping = mapping
        self._facts = facts(base)
        self._reader = Remarks(base) if mapping.of("remark") else None
        self._worded = [c.column for c in mapping.columns if self._facts[c.fact].choices]
        self._meaning: dict[str, dict[str, object]] = {}
        self._sets: dict[str, Sets] = {}

    def read(self, piece: Piece) -> tuple[Claims, tuple[Aside, ...]]:
        """The rows that can be read, and those that cannot."""
        few = piece.frame.select(pl.col(self._worded).cast(pl.String).cast(WORDED))
        texts = [name for name in self._worded if piece.frame.schema[name] == pl.String]
        found = occurring(few)
        frame = piece.frame.with_columns(few.select(texts))
        reading = Reading(shown(frame, [n for n in texts if hidden(found[n][0])]), found)
        for column in self._mapping.columns:
            self._column(reading, column)
        self._symptoms(reading)
        good = np.flatnonzero(~reading.bad)
        aside = sorted([*piece.aside, *reading.aside()], key=lambda a: a.row)
        return reading.claims(good), tuple(aside)

    def _column(self, reading: Reading, column: Column) -> None:
        cells = reading.frame[column.column]
        fact = self._facts[column.fact]
        match fact.kind:
            case "text":
                return
            case "choice":
                codes, _ = self._codes(reading, column, cells, list(fact.choices))
                reading.codes[fact.id] = codes
            case "date":
                reading.dates[fact.id] = self._dates(reading, column, cells)
            case "money":
                reads = self._money_of(column)
                low, _ = self._numbers(reading, column, cells, reads, (0.0, 1e9))
                reading.money = low
            case "check":
                self._answers(reading, column, cells, self._base.checks[fact.id])
            case _:
                assert_never(fact.kind)

    def _answers(self, reading: Reading, column: Column, cells: pl.Series, check: Check) -> None:
        kind = check.kind
        match kind:
            case ChoiceKind() | SeveralKind():
                codes, tried = self._codes(reading, column, cells, list(kind.labels))
                reading.choices[check.id] = codes
                reading.tried[check.id] = tried
                reading.sets[check.id] = self._sets.get(check.id, ())
            case NumberKind(low=low, high=high):
                reads = self._reading_of(check, column)
                ends = self._numbers(reading, column, cells, reads, (low, high))
                reading.numbers[check.id] = ends
            case _:
                assert_never(kind)

    # choices

    def _codes(
        self, reading: Reading, column: Column, cells: pl.Series, words: list[str]
    ) -> tuple[NDArray[np.int16], Bools]:
        """Code of each cell (-1 empty or unknown), and where 'unknown' stands."""
        known = self._meaning.setdefault(column.column, {})
        texts, places = reading.occurring[column.column]
        code = []
        for text in texts:
            if text not in known:
                known[text] = self._code(column, text.strip(), words)
            meant = known[text]
            code.append(meant if isinstance(meant, int) else WRONG)
        codes = np.array([*code, NO_CODE], dtype=np.int16).take(places)
        for at in np.flatnonzero(codes == WRONG):
            text = texts[places[at]]
            reading.set_aside(int(at), column.column, text, str(known[text]))
        unknown = codes == TRIED
        codes[codes < NO_CODE] = NO_CODE
        return codes, unknown

    def _code(self, column: Column, text: str, words: list[str]) -> int | str:
        """The number of a word, or of a set of them, among the answers, or what is wrong."""
        fact = self._facts[column.fact]
        meant = column.values.get(text, text)
        folded = meant.casefold()
        if not folded:
            return NO_CODE
        if folded in (UNKNOWN_WORD, "?"):
            return TRIED
        says = {fact.choices[w].casefold(): w for w in words}
        word = says.get(folded, folded.replace(" ", "_"))
        if word in words:
            return words.index(word)
        several = self._several(fact.id, meant)
        if several is not None:
            return several
        hint = near(folded.replace(" ", "_"), set(words))
        return f"is no answer of {fact.name}{hint}: give one of its answers, or map the word"

    def _several(self, fact: str, text: str) -> int | None:
        """The number of several answers in one cell, 'wet or dirty'; None where it is none."""
        kind = self._base.checks[fact].kind if fact in self._base.checks else None
        if not isinstance(kind, ChoiceKind | SeveralKind):
            return None
        try:
            value = kind.parse(fact, text)
        except BadAnswer:
            return None
        codes, self._sets[fact] = numbered(kind, [value], self._sets.get(fact, ()))
        return int(codes[0])

    # numbers

    def _numbers(
        self,
        reading: Reading,
        column: Column,
        cells: pl.Series,
        reads: Callable[[str], object],
        ends: tuple[float, float],
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Low and high of each cell, the same array where no cell is a range; NaN where empty."""
        if cells.dtype.is_numeric() and not column.unit:
            texts = None
            low = cells.cast(pl.Float64).fill_null(np.nan).to_numpy().copy()
            rest = np.flatnonzero(np.isinf(low))
        else:
            texts = cells.cast(pl.String)
            plain = texts.str.contains(_PLAIN).fill_null(False) & (not column.unit)
            if column.decimal == "comma" or column.fact == "claimed":
                plain &= ~texts.str.contains(TWO_WAYS).fill_null(False)
            numbers = texts.set(~plain, None).str.strip_chars().cast(pl.Float64, strict=False)
            low = numbers.fill_null(np.nan).to_numpy().copy()
            rest = np.flatnonzero((texts.is_not_null() & ~plain).to_numpy())
        beyond = np.flatnonzero((low < ends[0]) | (low > ends[1]))
        for at in beyond:
            given = texts[int(at)] if texts is not None else f"{low[at]:.12g}"
            sentence = f"lies outside {ends[0]:,.12g} to {ends[1]:,.12g}: check number and unit"
            reading.set_aside(int(at), column.column, given.strip(), sentence)
        low[beyond] = np.nan
        high = low
        for at in rest:
            text = texts[int(at)] if texts is not None else str(low[at])
            found = self._once(column, text, reads)
            if isinstance(found, Quantity):
                high = high.copy() if high is low and not found.is_exact else high
                low[at], high[at] = found.low, found.high
            elif found is None:
                low[at] = high[at] = np.nan
            elif isinstance(found, Unknown):
                reading.unknown(column.fact, int(at))
            else:
                reading.set_aside(int(at), column.column, text, str(found))
        return low, high

    def _once(self, column: Column, text: str, reads: Callable[[str], object]) -> object:
        known = self._meaning.setdefault(column.column, {})
        if text not in known:
            meant = column.values.get(text.strip(), text).strip()
            known[text] = reads(meant) if meant else None
        return known[text]

    @staticmethod
    def _reading_of(check: Check, column: Column) -> Callable[[str], object]:
        def reads(text: str) -> object:
            plain = pointed(text, column.decimal)
            bare = _UNITLESS.fullmatch(plain)
            try:
                return parse(check, f"{plain} {column.unit}" if column.unit and bare else plain)
            except BadAnswer as error:
                return str(error).removeprefix(f"{check.id}: ")

        return reads

    @staticmethod
    def _money_of(column: Column) -> Callable[[str], object]:
        def reads(text: str) -> object:
            if text.casefold() in (UNKNOWN_WORD, "?"):
                return None
            plain = pointed(text.replace(column.unit, " ") if column.unit else text, column.decimal)
            if not column.decimal and re.search(r"^-?[1-9]\d{0,2}[.,]\d{3}$", plain.strip()):
                return "can be read in two ways: say 'decimal: comma' or 'point' in the mapping"
            try:
                value = float(plain)
            except ValueError:
                return (
                    "is no amount: a plain number; a currency beside it is named as 'unit' in the"
                    " mapping"
                )
            fits = 0 <= value <= 1e9
            return Quantity(value, value) if fits else "is no amount from 0 to a thousand million"

        return reads

    # dates

    def _dates(self, reading: Reading, column: Column, cells: pl.Series) -> Dates:
        if cells.dtype == pl.Date or isinstance(cells.dtype, pl.Datetime):
            return cells.cast(pl.Date).to_numpy().astype("datetime64[D]")
        texts = cells.cast(pl.String)
        known: dict[str, object] = self._meaning.setdefault(column.column, {"": None})
        for text in texts.unique().drop_nulls().to_list():
            if text not in known:
                known[text] = _day(text, column)
        days = {t: d if isinstance(d, date) else None for t, d in known.items()}
        wrong = [t for t, d in known.items() if isinstance(d, str)]
        for at in np.flatnonzero(texts.is_in(wrong).fill_null(False).to_numpy()):
            text = texts[int(at)]
            reading.set_aside(int(at), column.column, text, str(known[text]))
        found = texts.replace_strict(
            list(days), list(days.values()), default=None, return_dtype=pl.Date
        )
        return found.to_numpy().astype("datetime64[D]")

    # remarks and symptoms

    def _symptoms(self, reading: Reading) -> None:
        height = reading.frame.height
        codes = reading.codes.setdefault("symptom", np.full(height, NO_CODE, dtype=np.int16))
        column = self._mapping.of("remark")
        if self._reader and column:
            self._remarks(reading, reading.frame[column.column].cast(pl.String), codes)
        where = self._mapping.of("symptom")
        name = where.column if where else "symptom"
        for at in np.flatnonzero(codes < 0):
            if not reading.bad[at]:
                reading.set_aside(int(at), name, "", self._no_symptom(reading, int(at)))

    def _no_symptom(self, reading: Reading, at: int) -> str:
        cells = reading.frame.row(at)[1:]
        if all(c is None or str(c).strip() == "" for c in cells):
            return "the row is empty"
        return "no symptom: without it nothing can be weighed"

    def _remarks(self, reading: Reading, remarks: pl.Series, codes: NDArray[np.int16]) -> None:
        assert self._reader is not None
        said = self._reader.read_all(remarks)
        if not said:
            return
        order = list(self._base.symptoms)
        rows: dict[str, list[int]] = {text: [] for text in said}
        for at in np.flatnonzero(remarks.is_in(list(said)).fill_null(False).to_numpy()):
            rows[remarks[int(at)]].append(int(at))
        for text, its in said.items():
            places = np.array(rows[text], dtype=np.intp)
            for check, word in its.answers.items():
                reading.read_from_remark(self._base.checks[check], word, places)
            if len(its.symptoms) == 1:
                without = places[codes[places] < 0]
                codes[without] = order.index(its.symptoms[0])
                reading.symptom_read[without] = True


def _day(text: str, column: Column) -> object:
    """The day of a text, None if it says nothing, or what is wrong with it."""
    plain = _TIME.sub("", column.values.get(text.strip(), text).strip())
    if not plain or plain.casefold() in (UNKNOWN_WORD, "?"):
        return None
    for form in dict.fromkeys((*column.date, "year-month-day")):
        for pattern in DATES[form]:
            try:
                day = datetime.strptime(plain, pattern).date()
            except ValueError:
                continue
            return day if 1950 <= day.year <= 2100 else "lies outside 1950 to 2100: check the year"
    forms = " or ".join(column.date)
    return f"is no day written as {forms}: mend it, or say in the mapping how dates stand"
