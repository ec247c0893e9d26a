"""From a piece of the clerk's table to columns of known values, and the rows set aside.

Each distinct text is read once: as an answer, else as own words for one. A cell that says nothing
that can be read is left out with a note beside its row; a row is set aside only where no complaint
can be made out. An empty cell is a fact not known, as is '?' or 'n/a'; 'unknown' is one that was
tried.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Callable
from datetime import date, datetime
from functools import cached_property
from typing import assert_never

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.mapping.dates import DaySpan
from diagnose.claims.mapping.facts import facts
from diagnose.claims.mapping.mapping import DATES, ISO, UNKNOWN_WORD, WORDED_DAY, Column, Mapped
from diagnose.claims.mapping.reading import NO_CODE, Bools, Claims, PieceReading
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.mapping.worded import WordedRows
from diagnose.claims.table.numbers import TWO_WAYS, amount, currency, pointed
from diagnose.claims.table.source import Piece, RowAside
from diagnose.claims.table.text import NOTHING, WORDED, hidden, occurring, shown
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import BadAnswer, Unknown, parse
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.measures.quantity import Quantity
from diagnose.near import near
from diagnose.reasoning.evidence.columns import Sets, numbered

_PLAIN = r"^\s*-?\d+(\.\d+)?\s*$"
_UNITLESS = re.compile(r"(?:[-+−–±./\d\s]|\bto\b)+")
"""A number, a range or a tolerance in which no unit stands."""

YES = ("y", "yes", "true", "first", "1", "1st", "ja", "x")
NO = ("n", "no", "false", "second", "2nd", "2", "third", "nein", "0")

TRIED, WRONG = NO_CODE - 1, NO_CODE - 2
"""Codes of a cell that says 'unknown', and of one that is no answer."""

_YEAR = re.compile(r"\d{4}|['’/. -]\d\d\s*$|['’/. -]\d\d\b(?!\s*[/.-])")
"""A year somewhere in a cell: without one the day could be that of any."""

_WEEKDAY = re.compile(r"^(mon|tue|wed|thu|fri|sat|sun)[a-z]*[.,]? +", re.IGNORECASE)
_ORDINAL = re.compile(r"(\d)(st|nd|rd|th)\b", re.IGNORECASE)
_SEPT = re.compile(r"\bsept\b", re.IGNORECASE)
_TIME = re.compile(r"[ T]\d{1,2}:\d\d(:\d\d(\.\d+)?)?( ?[AP]M|Z)?$", re.IGNORECASE)


class Recogniser:
    """Reads pieces with one mapping; keeps what each text means."""

    def __init__(self, base: Base, mapping: Mapped, today: date | None = None) -> None:
        self._base = base
        self._today = today
        self._mapping = mapping
        self._facts = facts(base)
        self._worded = [c.column for c in mapping.columns if self._facts[c.fact].choices]
        self._meaning: dict[str, dict[str, object]] = {}
        self._sets: dict[str, Sets] = {}

    @cached_property
    def _reader(self) -> Remarks:
        """What understands own words; made where there are some, for that takes a moment."""
        return Remarks(self._base)

    def read(self, piece: Piece) -> tuple[Claims, tuple[RowAside, ...]]:
        """The rows that can be read, and those that cannot."""
        few = piece.frame.select(pl.col(self._worded).cast(pl.String).cast(WORDED))
        texts = [name for name in self._worded if piece.frame.schema[name] == pl.String]
        found = occurring(few)
        frame = piece.frame.with_columns(few.select(texts))
        reading = PieceReading(shown(frame, [n for n in texts if hidden(found[n][0])]), found)
        for column in self._mapping.columns:
            self._column(reading, column)
        worded = WordedRows(self._base, self._mapping, lambda: self._reader)
        worded.days(reading, self._today)
        reading.take_dates(self._base, self._today)
        worded.read(reading)
        good = np.flatnonzero(~reading.bad)
        who = (self._mapping.of(fact) for fact in ("claim", "customer"))
        named = reading.aside(*(its.column if its else None for its in who))
        aside = sorted([*piece.aside, *named], key=lambda a: a.row)
        return reading.claims(good), tuple(aside)

    def _column(self, reading: PieceReading, column: Column) -> None:
        cells = reading.frame[column.column]
        fact = self._facts[column.fact]
        match fact.kind:
            case "text":
                return
            case "choice":
                quiet = fact.id == "symptom"
                codes, _ = self._codes(reading, column, list(fact.choices), quiet)
                reading.codes[fact.id] = codes
            case "date":
                reading.dates[fact.id] = self._dates(reading, column, cells)
            case "money":
                reads = self._money_of(column)
                low, _ = self._numbers(reading, column, cells, reads, (0.0, 1e9))
                reading.money[fact.id] = low
                self._currencies(reading, column, cells)
            case "check":
                self._answers(reading, column, cells, self._base.checks[fact.id])
            case _:
                assert_never(fact.kind)

    def _answers(
        self, reading: PieceReading, column: Column, cells: pl.Series, check: Check
    ) -> None:
        kind = check.kind
        match kind:
            case ChoiceKind() | SeveralKind():
                codes, tried = self._codes(reading, column, list(kind.labels))
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
        self, reading: PieceReading, column: Column, words: list[str], quiet: bool = False
    ) -> tuple[NDArray[np.int16], Bools]:
        """Code of each cell (-1 empty or unknown), and where 'unknown' stands.

        Nothing is noted of a cell that is no answer where its words are read later on (`quiet`).
        """
        known = self._meaning.setdefault(column.column, {})
        texts, places = reading.occurring[column.column]
        code = []
        for text in texts:
            if text not in known:
                known[text] = self._code(column, text.strip(), words, quiet)
            meant = known[text]
            code.append(meant if isinstance(meant, int) else WRONG)
        codes = np.array([*code, NO_CODE], dtype=np.int16).take(places)
        for at in () if quiet else np.flatnonzero(codes == WRONG):
            text = texts[places[at]]
            reading.unread.setdefault(column.column, []).append(int(at))
            reading.note(int(at), column.column, text, str(known[text]))
        unknown = codes == TRIED
        codes[codes < NO_CODE] = NO_CODE
        return codes, unknown

    def _code(self, column: Column, text: str, words: list[str], quiet: bool) -> int | str:
        """The number of a word, or of a set of them, among the answers, or what is wrong."""
        fact = self._facts[column.fact]
        meant = column.values.get(text, text)
        folded = meant.casefold()
        if folded in NOTHING:
            return NO_CODE
        if folded == UNKNOWN_WORD:
            return TRIED
        says = {fact.choices[w].casefold(): w for w in words}
        word = says.get(folded, folded.replace(" ", "_"))
        if word in words:
            return words.index(word)
        if fact.id == "first_owner":
            said = re.split(r"[\W_]+", folded)[0]
            if said in YES or said in NO:
                return int(said in NO)
        several = self._several(fact.id, meant)
        if several is not None:
            return several
        word = "" if quiet else self._reader.meant(fact.id, column.column, meant)
        if word in words:
            return words.index(word)
        several = self._several(fact.id, word) if word else None
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
        reading: PieceReading,
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
            reading.note(int(at), column.column, given.strip(), sentence)
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
                reading.note(int(at), column.column, text, str(found))
        return low, high

    def _once(self, column: Column, text: str, reads: Callable[[str], object]) -> object:
        known = self._meaning.setdefault(column.column, {})
        if text not in known:
            meant = column.values.get(text.strip(), text).strip()
            known[text] = None if meant.casefold() in NOTHING else reads(meant)
        return known[text]

    @staticmethod
    def _reading_of(check: Check, column: Column) -> Callable[[str], object]:
        def reads(text: str) -> object:
            plain = pointed(text, column.decimal)
            try:
                return parse(check, _with_unit(plain, column.unit))
            except BadAnswer as error:
                told = str(error).removeprefix(f"{check.id}: ")
            try:
                return parse(check, _with_unit(_bare(plain), column.unit))
            except BadAnswer:
                return told

        return reads

    @staticmethod
    def _money_of(column: Column) -> Callable[[str], object]:
        def reads(text: str) -> object:
            if text.casefold() == UNKNOWN_WORD:
                return None
            return amount(text.replace(column.unit, " ") if column.unit else text, column.decimal)

        return reads

    def _currencies(self, reading: PieceReading, column: Column, cells: pl.Series) -> None:
        """The money of each row: beside the amount, in a column of its own, in the header."""
        usual = currency(column.unit) or currency(column.column)
        if usual:
            reading.in_money(usual, np.isfinite(reading.money[column.fact]))
        own = self._mapping.of("currency")
        for texts, always in (
            (reading.frame[own.column].cast(pl.String) if own else None, True),
            (None if cells.dtype.is_numeric() else cells.cast(pl.String), False),
        ):
            if texts is None:
                continue
            told = texts.filter(texts.str.contains(r"[^\d\s.,'-]").fill_null(False)).unique()
            for text in told.to_list():
                code = currency(text.upper() if always else text)
                if code:
                    reading.in_money(code, (texts == text).fill_null(False).to_numpy())

    # dates

    def _in_words(self, text: str) -> tuple[date, date] | None:
        """First and last day of a cell that tells its day in words, with a year in it."""
        if self._today is None or not _YEAR.search(text):
            return None
        return self._reader.day(text, self._today)

    def _dates(self, reading: PieceReading, column: Column, cells: pl.Series) -> DaySpan:
        if cells.dtype == pl.Date or isinstance(cells.dtype, pl.Datetime):
            days = cells.cast(pl.Date).to_numpy().astype("datetime64[D]")
            return DaySpan(days, days)
        texts = cells.cast(pl.String)
        known: dict[str, object] = self._meaning.setdefault(column.column, {"": None})
        for text in texts.unique().drop_nulls().to_list():
            if text not in known:
                its = _day(text, column)
                known[text] = (self._in_words(text) or its) if isinstance(its, str) else its
        wrong = [t for t, d in known.items() if isinstance(d, str)]
        for at in np.flatnonzero(texts.is_in(wrong).fill_null(False).to_numpy()):
            text = texts[int(at)]
            reading.note(int(at), column.column, text, str(known[text]))
        days_of = {t: d for t, d in known.items() if isinstance(d, tuple)}
        first, last = (
            texts.replace_strict(
                list(days_of), [d[end] for d in days_of.values()], default=None,
                return_dtype=pl.Date,
            ).to_numpy().astype("datetime64[D]")
            for end in (0, 1)
        )  # fmt: skip
        return DaySpan(first, last)


_ABOUT = re.compile(
    r"\b(approx(imately)?|about|around|circa|ca|roughly|nearly|some)\b\.?|[~≈]", re.IGNORECASE
)
"""Words before a number that is not exact; it is taken as it stands."""


def _bare(text: str) -> str:
    """A number without a word that says it is not exact, and without what comes after a stroke."""
    return _ABOUT.sub(" ", text).split(" / ")[0].strip()


def _with_unit(text: str, unit: str) -> str:
    return f"{text} {unit}" if unit and _UNITLESS.fullmatch(text) else text


_MONTHS = ("%b %Y", "%B %Y", "%Y-%m", "%m/%Y", "%m.%Y")
"""How a month may be written in which a day lies."""


def _plain_day(text: str) -> str:
    """A day without its time, its name, and the letters of '3rd'."""
    bare = _WEEKDAY.sub("", _TIME.sub("", text.strip()))
    return _SEPT.sub("Sep", _ORDINAL.sub(r"\1", bare)).strip()


def _day(text: str, column: Column) -> object:
    """First and last day of a text, None if it says nothing, or what is wrong with it."""
    plain = _plain_day(column.values.get(text.strip(), text))
    if plain.casefold() in NOTHING or plain.casefold() == UNKNOWN_WORD:
        return None
    for pattern in dict.fromkeys(
        p for form in (*column.date, ISO, WORDED_DAY) for p in DATES[form]
    ):
        try:
            day = datetime.strptime(plain, pattern).date()
        except ValueError:
            continue
        return (day, day) if 1900 <= day.year <= 2100 else "lies outside 1900 to 2100"
    for pattern in _MONTHS:
        try:
            first = datetime.strptime(plain, pattern).date()
        except ValueError:
            continue
        return first, first.replace(day=monthrange(first.year, first.month)[1])
    usual = " or ".join(column.date)
    return f"is no day written as {usual}: mend it, or say in the mapping how dates stand"
