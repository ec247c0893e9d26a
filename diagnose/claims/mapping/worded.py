"""What stands in own words in a piece of the clerk's table: the complaint, answers in remarks."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import date

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.mapping.dates import DaySpan, nothing
from diagnose.claims.mapping.mapping import Mapped
from diagnose.claims.mapping.reading import NO_CODE, PieceReading
from diagnose.claims.mapping.remarks import Remarks, RemarkSays
from diagnose.claims.table.text import NOTHING
from diagnose.knowledge.base import Base
from diagnose.knowledge.panels import PANELS, sideless

Texts = list[tuple[RemarkSays, NDArray[np.intp]]]

_TOTAL = re.compile(r"(grand |sub)?(totals?|sums?)( of .*)?:?", re.IGNORECASE)


IN_WORDS = ("laid_on", "handed_on", "seen_on", "claimed_on")
"""Days that notes may tell."""

_SENTENCE = r"\S+\s+\S+\s+\S"
"""Three words, from which a cell says more than a word for its column."""

_SIDES = frozenset(("left", "right", "front", "rear", "side", "other", "of", "the", "or"))
"""Words in the names of places that name none by themselves."""

_ADDED = r"[(\[,;]"
"""What parts a name from what is said of it."""

MONTHS = 12
_TWO = re.compile(r"(?<![\d./-])(\d{1,2})[./-](\d{1,2})[./-]\d{2}(?:\d\d)?(?![\d./-])")
_FIGURE = re.compile(r"\d")


def joined(columns: Sequence[str]) -> pl.Expr:
    """The texts of some columns as one."""
    its = [pl.col(name).cast(pl.String).fill_null("") for name in columns]
    return pl.concat_str(its, separator=". ")


def _words(text: str) -> frozenset[str]:
    return frozenset(re.findall(r"[^\W\d_]{2,}", text.casefold())) - _SIDES


def _days_first(texts: Sequence[str]) -> bool:
    """Whether days as numbers show that the first of two is the day, and none shows the other."""
    both = [(int(a), int(b)) for text in texts for a, b in _TWO.findall(text)]
    return any(a > MONTHS for a, _ in both) and not any(b > MONTHS for _, b in both)


def _only(cells: pl.Series, rows: Sequence[int]) -> pl.Series:
    """The texts of some rows, the others left out."""
    kept = np.zeros(len(cells), dtype=bool)
    kept[list(rows)] = True
    return cells.cast(pl.String).set(pl.Series(~kept), None)


class WordedRows:
    """Reads the complaint and the remarks of rows with one mapping."""

    def __init__(self, base: Base, mapping: Mapped, remarks: Callable[[], Remarks]) -> None:
        """`remarks` gives what understands own words, which takes a moment to make."""
        self._base = base
        self._mapping = mapping
        self._remarks = remarks

    def read(self, reading: PieceReading) -> None:
        """Take what is told; sets rows aside of which no complaint can be made out."""
        height = reading.frame.height
        codes = reading.codes.setdefault("symptom", np.full(height, NO_CODE, dtype=np.int16))
        self._words_of(reading, codes)
        self._with_sense(reading, codes)
        where = self._mapping.of("symptom")
        name = where.column if where else "symptom"
        for at in np.flatnonzero(codes < 0):
            cell = reading.frame[where.column][int(at)] if where else None
            if cell and str(cell).strip().casefold() not in NOTHING:
                reading.note(int(at), name, str(cell), "names no one symptom of the rule base")
            reading.set_aside(int(at), self._no_symptom(reading, int(at)))

    def days(self, reading: PieceReading, today: date | None) -> None:
        """Take days out of words, where the table has no column for them.

        A day without a year is the latest before the claim.
        """
        open_ = [fact for fact in IN_WORDS if not self._mapping.of(fact)]
        columns = [
            c.column for c in (*self._mapping.every("found"), *self._mapping.every("remark"))
        ]
        if not columns or self._mapping.of("laid_on") or not open_:
            return
        texts = reading.frame.select(joined(columns)).to_series().to_list()
        day_first = _days_first(texts)
        claimed = reading.days.claimed.last.tolist()
        none = nothing(reading.frame.height)
        found = {fact: (none.first.copy(), none.last.copy()) for fact in open_}
        for at, text in enumerate(texts):
            until = claimed[at] or today
            asked = frozenset(open_) if claimed[at] is None else frozenset(open_) - {"claimed_on"}
            figure = _FIGURE.search(text)
            told = {}
            if until and figure:
                told = self._remarks().days(text, until, asked, day_first)
            if "seen_on" in told:
                told.setdefault("claimed_on", told["seen_on"])
            for fact in told.keys() & found.keys():
                for ends, day in zip(found[fact], told[fact], strict=True):
                    ends[at] = np.datetime64(day, "D")
        reading.dates.update({fact: DaySpan(*ends) for fact, ends in found.items()})

    def _with_sense(self, reading: PieceReading, codes: NDArray[np.int16]) -> None:
        """Forget what words seemed to say of something that is not there to look at.

        Bands eight millimetres apart are no bump of eight millimetres.
        """
        symptoms = list(self._base.symptoms.values())
        for name in reading.by_words:
            check = self._base.checks[name]
            seen = np.array([self._base.is_seen_at(check, its.id) for its in symptoms])
            reading.forget_words(check, (codes >= 0) & ~seen[codes])

    def _no_symptom(self, reading: PieceReading, at: int) -> str:
        cells = [str(c).strip() for c in reading.frame.row(at)[1:] if c is not None]
        if not any(cells):
            return "the row is empty"
        if any(_TOTAL.fullmatch(cell) for cell in cells):
            return "a row of totals, no claim"
        return "no complaint can be made out: without one nothing can be weighed"

    def _words_of(self, reading: PieceReading, codes: NDArray[np.int16]) -> None:
        """Symptoms and answers that are told in own words, those of the shop's look before all."""
        told = self._mapping.of("symptom")
        looked = [c.column for c in self._mapping.every("found")]
        others = [c.column for c in self._mapping.every("remark")]
        open_ = codes < 0
        for name in (*looked, *([told.column] if told and open_.any() else []), *others):
            cells = reading.frame[name].cast(pl.String)
            if told and name == told.column:
                cells = cells.set(pl.Series(~open_), None)
            for said, places in self._texts(cells, name if name in looked else ""):
                self._take(reading, said, places, as_found=name in looked)
        self._elsewhere(reading)
        self._beside(reading)
        columns = [told.column, *looked] if told else looked
        self._placed(reading, [*columns, *others])
        self._symptoms_of(reading, codes, columns, True)
        self._symptoms_of(reading, codes, [*columns, *others], False)
        self._symptoms_of(reading, codes, columns, False, like=True)
        self._lie(reading)

    def _elsewhere(self, reading: PieceReading) -> None:
        """Forget what a cell tells of another place: a waiver of the bonnet covers no bumper."""
        where = self._mapping.of("panel")
        if where is None:
            return
        places = _words(" ".join((*where.values, *PANELS)).replace("_", " "))
        panels = reading.frame[where.column].cast(pl.String)
        for column in self._mapping.columns:
            check = self._base.checks.get(column.fact)
            if check is None or check.scope != "complaint" or check.id not in reading.choices:
                continue
            cells = reading.frame[column.column].cast(pl.String)
            codes = reading.choices[check.id]
            for at in np.flatnonzero(cells.str.contains(_SENTENCE).fill_null(False).to_numpy()):
                named = _words(cells[int(at)]) & places
                own = _words(panels[int(at)] or "")
                if named and own and not named & own:
                    codes[at] = NO_CODE

    def _beside(self, reading: PieceReading) -> None:
        """What cells say that are no answer of their column: sentences, and a later owner."""
        for column in self._mapping.columns:
            rows = reading.unread.get(column.column, ())
            if rows and column.fact in self._base.checks:
                cells = _only(reading.frame[column.column], rows)
                cells = cells.set(~cells.str.contains(_SENTENCE).fill_null(False), None)
                for said, places in self._texts(cells):
                    self._take(reading, said, places, as_found=True)
        who = self._mapping.of("customer")
        if who:
            cells = reading.frame[who.column].cast(pl.String)
            cells = cells.set(~cells.str.contains(_ADDED).fill_null(False), None)
            for said, places in self._texts(cells):
                if said.later_owner:
                    reading.read_as_later_owner(places)

    def _placed(self, reading: PieceReading, columns: Sequence[str]) -> None:
        """The place that words name, where the table has no column for it."""
        if self._mapping.of("panel") or not columns:
            return
        codes = np.full(reading.frame.height, NO_CODE, dtype=np.int16)
        order = list(PANELS)
        for said, places in self._texts(reading.frame.select(joined(columns)).to_series()):
            if said.place in order:
                codes[places] = order.index(said.place)
        reading.codes["panel"] = codes

    def _lie(self, reading: PieceReading) -> None:
        """What the place says by itself where the complaint is told in words: a roof lies flat."""
        panels = np.where(reading.worded, reading.codes.get("panel", NO_CODE), NO_CODE)
        for code in np.unique(panels[panels >= 0]).tolist():
            name = sideless(list(PANELS)[code]).replace("_", " ")
            for check, word in self._remarks().read(name).answers.items():
                if self._base.checks[check].setting:
                    at = np.flatnonzero(panels == code)
                    reading.read_as_found(self._base.checks[check], word, at)

    def _symptoms_of(
        self,
        reading: PieceReading,
        codes: NDArray[np.int16],
        columns: Sequence[str],
        told: bool,
        like: bool = False,
    ) -> None:
        """The symptom that the words of some columns name together, where none is known yet.

        With `like` the one that they are most like; it is asked about before it decides.
        """
        open_ = pl.Series(codes < 0)
        if not columns or not open_.any():
            return
        texts = reading.frame.select(joined(columns)).to_series().set(~open_, None)
        for said, places in self._texts(texts):
            named = said.symptoms[:1] if told or len(said.symptoms) == 1 else ()
            name = said.like if like else next(iter(named), "")
            if name:
                codes[places] = list(self._base.symptoms).index(name)
                reading.worded[places] = True
                reading.symptom_read[places] = not told

    def _texts(self, cells: pl.Series, header: str = "") -> Texts:
        """What each distinct text says, with the rows that it stands in."""
        said = self._remarks().read_all(cells, header)
        rows: dict[str, list[int]] = {text: [] for text in said}
        for at in np.flatnonzero(cells.is_in(list(said)).fill_null(False).to_numpy()):
            rows[cells[int(at)]].append(int(at))
        return [(said[text], np.array(its, dtype=np.intp)) for text, its in rows.items()]

    def _take(
        self, reading: PieceReading, said: RemarkSays, at: NDArray[np.intp], as_found: bool
    ) -> None:
        for its in said.outside:
            reading.outside.append((at, its))
        if said.later_owner:
            reading.read_as_later_owner(at)
        for check, number in said.numbers.items() if as_found else ():
            reading.read_number_as_found(self._base.checks[check], number, at)
        for check, word in said.answers.items():
            if as_found:
                reading.read_as_found(self._base.checks[check], word, at)
            elif self._mapping.has_words:
                reading.read_from_remark(self._base.checks[check], word, at)
