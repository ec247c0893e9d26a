"""What has been read of a piece: its readable rows, and those set aside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.mapping.dates import DaySpan, RowDays, by_dates, nothing
from diagnose.claims.mapping.remarks import Outside, in_remark
from diagnose.claims.table.source import ROW, RowAside
from diagnose.claims.table.text import Occurring, one_line
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.evidence.columns import Columns, Sets, numbered

Bools = NDArray[np.bool_]
NO_CODE = -1


@dataclass(frozen=True, slots=True)
class Claims:
    """The readable rows of a piece.

    `frame`: the clerk's cells with row numbers; `columns`: known values; `tried`: checks answered
    with 'unknown', by row; `symptom`: codes in the base's order; `symptom_read`: taken from the
    remark; `panel`: code in PANELS' order or -1; `claimed` NaN where not known; `odd`: where days
    cannot be, by the name of a question.
    `contrary`: what a remark says otherwise than the column, by check, -1 where it does not.
    `worded`: where the symptom was read out of words; `notes`: cells that could not be read;
    `by_words`: where the answer to a check was read out of what the shop wrote; `told`: where some
    check is answered that tells what was found, and not only of what, where and when; `outside`:
    what words name beside the shop's work, with its rows.
    """

    frame: pl.DataFrame
    columns: Columns
    tried: Mapping[str, Bools]
    symptom: NDArray[np.int16]
    symptom_read: Bools
    panel: NDArray[np.int16]
    days: RowDays
    odd: Mapping[str, Bools]
    claimed: NDArray[np.float64]
    parts: Mapping[str, NDArray[np.float64]]
    currency: NDArray[np.int64]
    currencies: tuple[str, ...]
    second_owner: Bools
    contrary: Mapping[str, NDArray[np.int16]] = field(default_factory=dict)
    worded: Bools | None = None
    notes: Mapping[int, str] = field(default_factory=dict)
    by_words: Mapping[str, Bools] = field(default_factory=dict)
    told: Bools | bool = True
    outside: tuple[tuple[NDArray[np.intp], Outside], ...] = ()

    def parts_claimed(self, carries: NDArray[np.int64]) -> NDArray[np.float64]:
        """The amount of the parts that a cover carries (1 labour, 2 film, 3 both); NaN unknown."""
        labour, film = self.parts["claimed_labour"], self.parts["claimed_film"]
        whole = np.where(np.isnan(self.claimed), labour + film, self.claimed)
        first = np.where(np.isnan(labour), whole - film, labour)
        second = np.where(np.isnan(film), whole - labour, film)
        return np.select([carries == 1, carries == 2], [first, second], whole)


class PieceReading:
    """What has been read of a piece so far."""

    def __init__(self, frame: pl.DataFrame, occurring: Mapping[str, Occurring]) -> None:
        height = frame.height
        self.frame = frame
        self.occurring = occurring
        self.bad = np.zeros(height, dtype=bool)
        self.choices: dict[str, NDArray[np.int16]] = {}
        self.numbers: dict[str, tuple[NDArray[np.float64], NDArray[np.float64]]] = {}
        self.sets: dict[str, Sets] = {}
        self.tried: dict[str, Bools] = {}
        self.codes: dict[str, NDArray[np.int16]] = {}
        self.dates: dict[str, DaySpan] = {}
        self.odd: dict[str, Bools] = {}
        self.money = {
            name: np.full(height, np.nan) for name in ("claimed", "claimed_labour", "claimed_film")
        }
        self.currency = np.zeros(height, dtype=np.int64)
        self.currencies: list[str] = [""]
        self.contrary: dict[str, NDArray[np.int16]] = {}
        self.symptom_read = np.zeros(height, dtype=bool)
        self.worded = np.zeros(height, dtype=bool)
        self.told = np.zeros(height, dtype=bool)
        self.by_words: dict[str, Bools] = {}
        self.unread: dict[str, list[int]] = {}
        self.outside: list[tuple[NDArray[np.intp], Outside]] = []
        self._notes: dict[int, list[tuple[str, str, str]]] = {}
        self._aside: dict[int, str] = {}

    def note(self, at: int, column: str, value: str, reason: str) -> None:
        """Keep that a cell says nothing that can be read; its row is decided without it."""
        self._notes.setdefault(at, []).append((column, one_line(value), reason))

    def in_money(self, code: str, where: Bools | NDArray[np.intp]) -> None:
        """Keep that the amounts of some rows are in a currency."""
        if code not in self.currencies:
            self.currencies.append(code)
        self.currency[where] = self.currencies.index(code)

    def set_aside(self, at: int, reason: str) -> None:
        """Keep that nothing can be made of a row."""
        self.bad[at] = True
        self._aside[at] = reason

    def unknown(self, fact: str, at: int) -> None:
        """Keep that someone tried and could not tell."""
        if fact not in self.tried:
            self.tried[fact] = np.zeros(self.frame.height, dtype=bool)
        self.tried[fact][at] = True

    @property
    def days(self) -> RowDays:
        """The days read so far."""
        none = nothing(self.frame.height)
        names = ("laid_on", "handed_on", "seen_on", "claimed_on")
        return RowDays(*(self.dates.get(name, none) for name in names))

    def take_dates(self, base: Base, today: date | None) -> None:
        """Answer what the days tell; where they cannot be they tell nothing."""
        for name, codes in self.choices.items():
            self.told |= (codes >= 0) & (not base.checks[name].setting)
        for name, (low, _) in self.numbers.items():
            self.told |= ~np.isnan(low) & (not base.checks[name].setting)
        days = self.days
        self.odd = days.odd(today)
        sane = days.without(np.logical_or.reduce([*self.odd.values()]))
        least, most = sane.ages()
        entered = self.numbers.get(base.role("age"))
        if entered is not None:
            with np.errstate(invalid="ignore"):
                self.odd["age"] = (most < entered[0] - 1) | (least > entered[1] + 1)
        told = by_dates(
            base, Columns(self.frame.height, self.choices, self.numbers, self.sets), sane
        )
        self.choices, self.numbers = dict(told.choices), dict(told.numbers)
        self.sets = dict(told.sets)

    def read_from_remark(self, check: Check, word: str, places: NDArray[np.intp]) -> None:
        """Keep a remark's answer, but never against a column; that it differs is kept apart."""
        open_ = np.ones(len(places), dtype=bool)
        if check.id in self.choices:
            open_ = self._open(check, self._code(check, word, check.id), places)
        name = in_remark(check.id)
        if name not in self.choices:
            self.choices[name] = np.full(self.frame.height, NO_CODE, dtype=np.int16)
        self.choices[name][places[open_]] = self._code(check, word, name)

    def read_as_found(self, check: Check, word: str, places: NDArray[np.intp]) -> None:
        """Take what the shop wrote as an answer, where no column and no other words tell it."""
        code = self._code(check, word, check.id)
        if check.id not in self.choices:
            self.choices[check.id] = np.full(self.frame.height, NO_CODE, dtype=np.int16)
        open_ = self._open(check, code, places)
        self.choices[check.id][places[open_]] = code
        by_words = self.by_words.setdefault(check.id, np.zeros(self.frame.height, dtype=bool))
        by_words[places[open_]] = True
        self.told[places[open_]] |= not check.setting

    def _code(self, check: Check, word: str, name: str) -> int:
        """The code of an answer in a column; of what is so together that of the set."""
        if word in check.answers:
            return list(check.answers).index(word)
        kind = check.kind
        assert isinstance(kind, SeveralKind)
        codes, sets = numbered(kind, [kind.parse(check.id, word)], self.sets.get(name, ()))
        self.sets[name] = sets
        return int(codes[0])

    def _open(self, check: Check, code: int, places: NDArray[np.intp]) -> Bools:
        """Where a code is news; where a column says otherwise, that is kept apart.

        Of several answers of which one is right a code makes it known; of what is so together it is
        a part, and the column stands.
        """
        told = self.choices[check.id][places]
        among = self._among(check, told, code)
        differs = (told >= 0) & (told != code) & ~among
        if differs.any():
            self._differs(check.id, code, places[differs])
        open_: Bools = (told < 0) & ~self._was_tried(check.id)[places]
        return open_ if isinstance(check.kind, SeveralKind) else open_ | among

    def read_number_as_found(
        self, check: Check, number: Quantity, places: NDArray[np.intp]
    ) -> None:
        """Take an amount that the shop wrote as an answer, where no column and no words tell it."""
        nothing = np.full(self.frame.height, np.nan)
        low, high = self.numbers.get(check.id, (nothing, nothing))
        its = places[np.isnan(low[places]) & ~self._was_tried(check.id)[places]]
        low, high = low.copy(), high.copy()
        low[its], high[its] = number.low, number.high
        self.numbers[check.id] = (low, high)
        by_words = self.by_words.setdefault(check.id, np.zeros(self.frame.height, dtype=bool))
        by_words[its] = True
        self.told[its] |= not check.setting

    def forget_words(self, check: Check, where: Bools) -> None:
        """Take back what words answered in some rows."""
        its = self.by_words[check.id] & where
        self.by_words[check.id] &= ~where
        if check.id in self.numbers:
            low, high = self.numbers[check.id]
            self.numbers[check.id] = (np.where(its, np.nan, low), np.where(its, np.nan, high))
        else:
            self.choices[check.id] = np.where(its, NO_CODE, self.choices[check.id])

    def read_as_later_owner(self, places: NDArray[np.intp]) -> None:
        """Take words for a later owner, where no column says who claims."""
        none = np.full(self.frame.height, NO_CODE, dtype=np.int16)
        codes = self.codes.setdefault("first_owner", none)
        codes[places[codes[places] < 0]] = 1

    def _among(self, check: Check, told: NDArray[np.int16], code: int) -> Bools:
        """Where what is told leaves several answers of which this is one, as days do."""
        first = len(check.labels)
        sets = self.sets.get(check.id, ())
        having = [first + number for number, its in enumerate(sets) if code in its]
        among: Bools = np.isin(told, having)
        return among

    def _was_tried(self, check: str) -> Bools:
        return self.tried.get(check, np.zeros(self.frame.height, dtype=bool))

    def _differs(self, check: str, code: int, places: NDArray[np.intp]) -> None:
        if check not in self.contrary:
            self.contrary[check] = np.full(self.frame.height, NO_CODE, dtype=np.int16)
        self.contrary[check][places] = code

    def aside(self, claim: str | None, customer: str | None) -> list[RowAside]:
        """Each row of which nothing can be made, with its claim number and customer."""
        rows = self.frame[ROW]
        found = []
        for at, reason in sorted(self._aside.items()):
            column, value, told = next(iter(self._notes.get(at, ())), ("", "", ""))
            because = f"{reason} ({told})" if told else reason
            named = (self._cell(claim, at), self._cell(customer, at))
            found.append(RowAside(int(rows[at]), column, value, because, *named))
        return found

    def _cell(self, column: str | None, at: int) -> str:
        cell = self.frame[column][at] if column else None
        return "" if cell is None else one_line(str(cell))

    def claims(self, good: NDArray[np.intp]) -> Claims:
        """The good rows only."""
        whole = len(good) == self.frame.height
        columns = Columns(self.frame.height, self.choices, self.numbers, self.sets)
        days = self.days
        no_code = np.full(self.frame.height, NO_CODE, dtype=np.int16)
        return Claims(
            frame=self.frame if whole else self.frame[good],
            columns=columns if whole else columns.take(good),
            tried={name: tried[good] for name, tried in self.tried.items()},
            symptom=self.codes["symptom"][good],
            symptom_read=self.symptom_read[good],
            panel=self.codes.get("panel", no_code)[good],
            days=RowDays(
                *(s.take(good) for s in (days.laid, days.handed, days.seen, days.claimed))
            ),
            odd={name: where[good] for name, where in self.odd.items()},
            claimed=self.money["claimed"][good],
            parts={name: its[good] for name, its in self.money.items()},
            currency=self.currency[good],
            currencies=tuple(self.currencies),
            contrary={name: codes[good] for name, codes in self.contrary.items()},
            second_owner=self.codes.get("first_owner", no_code)[good] == 1,
            worded=self.worded[good],
            notes=self._notes_of(good),
            told=self.told[good],
            by_words={name: where[good] for name, where in self.by_words.items()},
            outside=tuple(self._outside_of(good)),
        )

    def _outside_of(self, good: NDArray[np.intp]) -> Iterator[tuple[NDArray[np.intp], Outside]]:
        place = np.full(self.frame.height, -1, dtype=np.intp)
        place[good] = np.arange(len(good))
        for at, its in self.outside:
            rows = place[at]
            yield rows[rows >= 0], its

    def _notes_of(self, good: NDArray[np.intp]) -> dict[int, str]:
        """What could not be read, by place among the good rows."""
        if not self._notes:
            return {}
        places = {int(at): place for place, at in enumerate(good)}
        return {
            places[at]: "; ".join(f"{c} '{v}': {r}" for c, v, r in its)
            for at, its in self._notes.items()
            if at in places
        }
