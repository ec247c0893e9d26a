"""What has been read of a piece: its readable rows, and those set aside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.mapping.remarks import in_remark
from diagnose.claims.table.days import months_between
from diagnose.claims.table.source import ROW, Aside
from diagnose.claims.table.text import Occurring, one_line
from diagnose.knowledge.model import Check
from diagnose.reasoning.evidence.columns import Columns, Sets

Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]
NO_CODE = -1


@dataclass(frozen=True, slots=True)
class Claims:
    """The readable rows of a piece.

    `frame`: the clerk's cells with row numbers; `columns`: known values; `tried`: checks answered
    with 'unknown', by row; `symptom`: codes in the base's order; `symptom_read`: taken from the
    remark; `panel`: code in PANELS' order or -1; dates NaT where not known; `claimed` NaN;
    `age`: full months between the two days, NaN where one is not known or they are swapped.
    `contrary`: what a remark says otherwise than the column, by check, -1 where it does not.
    """

    frame: pl.DataFrame
    columns: Columns
    tried: Mapping[str, Bools]
    symptom: NDArray[np.int16]
    symptom_read: Bools
    panel: NDArray[np.int16]
    laid_on: Dates
    seen_on: Dates
    age: NDArray[np.float64]
    claimed: NDArray[np.float64]
    contrary: Mapping[str, NDArray[np.int16]] = field(default_factory=dict)


class Reading:
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
        self.dates: dict[str, Dates] = {}
        self.money = np.full(height, np.nan)
        self.contrary: dict[str, NDArray[np.int16]] = {}
        self.symptom_read = np.zeros(height, dtype=bool)
        self._faults: dict[int, list[tuple[str, str, str]]] = {}

    def set_aside(self, at: int, column: str, value: str, reason: str) -> None:
        """Keep a fault; its row is not decided."""
        self.bad[at] = True
        self._faults.setdefault(at, []).append((column, one_line(value), reason))

    def unknown(self, fact: str, at: int) -> None:
        """Keep that someone tried and could not tell."""
        if fact not in self.tried:
            self.tried[fact] = np.zeros(self.frame.height, dtype=bool)
        self.tried[fact][at] = True

    def read_from_remark(self, check: Check, word: str, places: NDArray[np.intp]) -> None:
        """Keep a remark's answer, but never against a column; that it differs is kept apart."""
        open_ = np.ones(len(places), dtype=bool)
        code = list(check.answers).index(word)
        if check.id in self.choices:
            told = self.choices[check.id][places]
            open_ = (told < 0) & ~self.tried[check.id][places]
            if ((told >= 0) & (told != code)).any():
                self._differs(check.id, code, places[(told >= 0) & (told != code)])
        name = in_remark(check.id)
        if name not in self.choices:
            self.choices[name] = np.full(self.frame.height, NO_CODE, dtype=np.int16)
        self.choices[name][places[open_]] = code

    def _differs(self, check: str, code: int, places: NDArray[np.intp]) -> None:
        if check not in self.contrary:
            self.contrary[check] = np.full(self.frame.height, NO_CODE, dtype=np.int16)
        self.contrary[check][places] = code

    def aside(self) -> list[Aside]:
        """Each bad row once: its first fault, the others told in the reason."""
        rows = self.frame[ROW]
        found = []
        for at, faults in sorted(self._faults.items()):
            column, value, reason = faults[0]
            others = "".join(f"; also {c} ('{v}'): {r}" for c, v, r in faults[1:])
            found.append(Aside(int(rows[at]), column, value, reason + others))
        return found

    def claims(self, good: NDArray[np.intp]) -> Claims:
        """The good rows only."""
        whole = len(good) == self.frame.height
        columns = Columns(self.frame.height, self.choices, self.numbers, self.sets)
        nothing = np.full(self.frame.height, np.datetime64("NaT"), dtype="datetime64[D]")
        no_code = np.full(self.frame.height, NO_CODE, dtype=np.int16)
        laid, seen = (self.dates.get(name, nothing)[good] for name in ("laid_on", "seen_on"))
        return Claims(
            frame=self.frame if whole else self.frame[good],
            columns=columns if whole else columns.take(good),
            tried={name: tried[good] for name, tried in self.tried.items()},
            symptom=self.codes["symptom"][good],
            symptom_read=self.symptom_read[good],
            panel=self.codes.get("panel", no_code)[good],
            laid_on=laid,
            seen_on=seen,
            age=months_between(laid, seen),
            claimed=self.money[good],
            contrary={name: codes[good] for name, codes in self.contrary.items()},
        )
