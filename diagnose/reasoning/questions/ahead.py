"""One more check looked ahead, from the tables alone: all answers of all checks in a few arrays.

What a second check would tell after each answer of a first one. Conditions over several checks are
left out here (they are weighed exactly once an answer is given); groups are not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Values
from diagnose.reasoning.evidence.columns import Floats
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.evidence.weigh import PER_DECIBAN

NO_GROUP = -1


@dataclass(frozen=True, slots=True)
class Rows:
    """Every answer of some checks, one row each: where a check's rows start, and its tables.

    `decibans` and `groups`: (rows, causes); `usual`: (rows,).
    """

    names: tuple[str, ...]
    starts: NDArray[np.intp]
    decibans: Floats
    groups: NDArray[np.intp]
    usual: Floats


class Ahead:
    """The tables of a symptom as arrays for looking ahead."""

    def __init__(self, base: Base, table: Tables) -> None:
        self._base = base
        self._table = table
        named = dict.fromkeys(
            r.group for rows in table.rows.values() for r in rows if r and r.group
        )
        self._number = {group: n for n, group in enumerate(named)}
        self._blocks = {name: self._block(name) for name in table.rows}

    def _block(self, name: str) -> tuple[Floats, NDArray[np.intp], Floats]:
        rows, its = self._table.rows[name], self._base.observables[name]
        usual = np.array(self._base.outcome_shares(name, self._table.symptom))
        cells = np.zeros((len(usual), len(rows)))
        groups = np.full((len(usual), len(rows)), NO_GROUP, dtype=np.intp)
        for place, row in enumerate(rows):
            if row is not None:
                cells[:, place] = [row.weight(codes) for codes in its.outcome_codes]
                groups[:, place] = self._number.get(row.group or "", NO_GROUP)
        return cells, groups, usual

    def rows(self, names: Sequence[str]) -> Rows:
        """The rows of these checks; those without a table are left out."""
        kept = tuple(name for name in names if name in self._blocks)
        blocks = [self._blocks[name] for name in kept]
        sizes = [len(usual) for _, _, usual in blocks]
        starts = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.intp)
        return Rows(
            kept,
            starts,
            np.concatenate([b[0] for b in blocks]),
            np.concatenate([b[1] for b in blocks]),
            np.concatenate([b[2] for b in blocks]),
        )

    def spoken(self, values: Values) -> Floats:
        """What each group has said so far of each cause: (causes, groups)."""
        best = np.zeros((len(self._table.causes), len(self._number) + 1))
        for name in self._table.rows:
            value = values.get(name)
            if value is not None:
                self.hear(best, name, self._base.observables[name].kind.codes(value))
        return best

    def hear(self, best: Floats, name: str, at: Sequence[int]) -> None:
        """Take an answer into what the groups have said."""
        for place, row in enumerate(self._table.rows.get(name, ())):
            if row is not None and row.group is not None:
                size = row.weight(at)
                number = self._number[row.group]
                if abs(size) > abs(best[place, number]):
                    best[place, number] = size

    def expected(self, rows: Rows, best: Floats, chances: Floats) -> tuple[Floats, Floats]:
        """For every row its chance (rows,) and the probabilities after it (rows, causes + 1)."""
        spoken = best[np.arange(best.shape[0])[None, :], rows.groups]
        quiet = np.abs(rows.decibans) <= np.abs(spoken)
        grouped = np.where(quiet, 0.0, rows.decibans - spoken)
        gain = np.exp(PER_DECIBAN * np.where(rows.groups == NO_GROUP, rows.decibans, grouped))
        likely = rows.usual[:, None] * gain
        sums = np.add.reduceat(likely, rows.starts, axis=0)
        sizes = np.diff([*rows.starts, len(rows.usual)])
        likely /= np.repeat(sums, sizes, axis=0)
        told = likely @ chances[:-1] + rows.usual * chances[-1]
        after = np.empty((len(rows.usual), len(chances)))
        after[:, :-1] = gain * chances[:-1]
        after[:, -1] = chances[-1]
        return told, after / after.sum(axis=1, keepdims=True)
