"""The evaluator of many rows at once: the same layers and numbers as `chain` and `weigh`.

Conditions become boolean arrays (holds, definitely does not hold); tables become gathers, one for
each cause that has a sign on a check. A row scored here and by `chain` has the same signs and the
same probabilities. Arrays inside are (causes, rows), so that each gather is one run of memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.reasoning.evidence.columns import (
    Columns,
    Covered,
    Floats,
    Places,
    Sets,
    covered,
    spread,
    with_shown,
)
from diagnose.reasoning.evidence.state import Bools, State
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.evidence.weigh import PER_DECIBAN

ALL = slice(None)
BLOCK = 4096
"""Rows scored at a time, so that what is touched stays in the processor's cache."""


@dataclass(frozen=True, slots=True)
class Scores:
    """`probabilities`: (rows, causes + 1), the last the unlisted; `out`: (rows, causes).

    `decibans`: (rows, causes), groups already reduced to their strongest.
    """

    probabilities: Floats
    decibans: Floats
    out: Bools


@dataclass(frozen=True, slots=True)
class Cell:
    """What one cause makes of one observable: a weight for each place (see `columns.places`)."""

    cause: int
    group: str | None
    table: Floats


@dataclass(frozen=True, slots=True)
class _Part:
    """What the causes of one group, or of none, make of one observable: a line for each cause.

    `places`: where the causes stand among all that are ever in the group.
    """

    group: str | None
    causes: NDArray[np.intp]
    places: NDArray[np.intp]
    tables: Floats


@dataclass(frozen=True, slots=True)
class _Stack:
    """What all causes make of one observable.

    `gone`: by cause where it cannot be for several answers of which none is left to it.
    """

    parts: tuple[_Part, ...]
    gone: tuple[tuple[int, Bools], ...]


class Matrix:
    """The tables and conditions of one symptom as arrays."""

    def __init__(self, base: Base, table: Tables) -> None:
        self._base = base
        self._table = table
        self._logs = np.log(np.array(table.priors))
        self._stacks: dict[tuple[str, Sets], _Stack] = {}
        self._groups = _groups(table)
        self._outs = [
            (place, out.when)
            for place, cause in enumerate(table.causes)
            for out in base.rule_outs(cause, table.symptom)
        ]

    def weighed_by(self, priors: Sequence[float]) -> Matrix:
        """The same with other shares behind the symptom; all that is made once is shared."""
        found = copy(self)
        found._logs = np.log(np.array(priors))
        return found

    def cells(self, name: str, sets: Sets) -> tuple[Cell, ...]:
        """What the causes that have a row on an observable make of it, in their order."""
        its = (
            Cell(int(cause), part.group, line)
            for part in self._stack(name, sets).parts
            for cause, line in zip(part.causes, part.tables, strict=True)
        )
        return tuple(sorted(its, key=lambda cell: cell.cause))

    def _stack(self, name: str, sets: Sets) -> _Stack:
        """An observable's numbers, made when it first has a value, or other sets of answers."""
        if (name, sets) not in self._stacks:
            its = covered(self._base.observables[name], sets)
            self._stacks[name, sets] = _stacked(self._table.rows[name], its, self._groups)
        return self._stacks[name, sets]

    def score(self, columns: Columns) -> Scores:
        """Probabilities of every row."""
        known = with_shown(self._base, self._table.symptom, columns)
        return self.score_state(State(self._base, known))

    def score_state(self, state: State) -> Scores:
        """Probabilities of every row that a state speaks of, what the symptom shows within it."""
        causes = len(self._table.causes)
        scores = Scores(
            np.empty((causes + 1, state.rows)).T,
            np.zeros((causes, state.rows)).T,
            np.zeros((causes, state.rows), dtype=bool).T,
        )
        if state.rows <= BLOCK:
            self._block(state, scores, 0)
        else:
            for start in range(0, state.rows, BLOCK):
                block = np.arange(start, min(start + BLOCK, state.rows))
                self._block(state.part(block), scores, start)
        return scores

    def _block(self, state: State, into: Scores, start: int) -> None:
        its = slice(start, start + state.rows)
        total = into.decibans[its].T
        out = into.out[its].T
        self._weigh(state, total, out)
        logs = into.probabilities[its].T
        np.multiply(total, PER_DECIBAN, out=logs[:-1])
        logs[:-1] += self._logs[:-1, None]
        logs[-1] = self._logs[-1]
        for place, when in self._outs:
            if state.can_hold(when):
                out[place] |= state.holds(when)
        np.copyto(logs[:-1], -np.inf, where=out)
        logs -= logs.max(axis=0)
        np.exp(logs, out=logs)
        logs /= _summed(logs)

    def _weigh(self, state: State, total: Floats, out: Bools) -> None:
        """Add up the decibans of every cause; a group's strongest joins at the end."""
        best: dict[str, Floats] = {}
        found = np.empty(state.rows)
        for name in self._table.rows:
            at = state.places(name)
            if at is None:
                continue
            stack = self._stack(name, state.sets(name))
            its = _having(at, stack.parts[0].tables.shape[1] - 1)
            at = at[its]
            for part in stack.parts:
                weights = part.tables.take(at, 1, mode="clip")
                if part.group is None:
                    every = len(part.causes) == len(total)
                    total[ALL if every else part.causes, its] += weights
                else:
                    _keep_stronger(self._kept(best, part.group, state), part.places, weights, its)
            for cause, gone in stack.gone:
                out[cause, its] |= gone.take(at, mode="clip")
        for extra in self._table.extras:
            if state.can_hold(extra.sign.when):
                np.multiply(state.holds(extra.sign.when), extra.decibans, out=found)
                if extra.sign.group is None:
                    total[extra.cause] += found
                else:
                    at = np.searchsorted(self._groups[extra.sign.group], [extra.cause])
                    _keep_stronger(self._kept(best, extra.sign.group, state), at, found[None, :])
        for group in sorted(best):
            total[self._groups[group]] += best[group]

    def _kept(self, best: dict[str, Floats], group: str, state: State) -> Floats:
        """The strongest evidence of a group so far: a line for each cause that is ever in it."""
        if group not in best:
            best[group] = np.zeros((len(self._groups[group]), state.rows))
        return best[group]


Groups = Mapping[str, NDArray[np.intp]]
"""The places of the causes of which anything is in a group, rising."""


def _groups(table: Tables) -> Groups:
    found: dict[str, set[int]] = {}
    for cells in table.rows.values():
        for cause, row in enumerate(cells):
            if row is not None and row.group is not None:
                found.setdefault(row.group, set()).add(cause)
    for extra in table.extras:
        if extra.sign.group is not None:
            found.setdefault(extra.sign.group, set()).add(extra.cause)
    return {group: np.array(sorted(causes), dtype=np.intp) for group, causes in found.items()}


def _stacked(rows: Sequence[CauseRow | None], its: Covered, members: Groups) -> _Stack:
    """The rows of all causes on one observable, those of each group in one array."""
    known = [(cause, row) for cause, row in enumerate(rows) if row is not None]
    groups = dict.fromkeys(row.group for _, row in known)
    parts = []
    for group in groups:
        mine = [(cause, spread(row, its)) for cause, row in known if row.group == group]
        at, tables = zip(*mine, strict=True)
        causes = np.array(at, dtype=np.intp)
        places = causes if group is None else np.searchsorted(members[group], causes)
        parts.append(_Part(group, causes, places, np.array(tables)))
    gone = ((cause, _gone(row, its)) for cause, row in known)
    return _Stack(tuple(parts), tuple((cause, at) for cause, at in gone if at is not None))


def _gone(row: CauseRow, its: Covered) -> Bools | None:
    """Where several answers are left and each of them rules the cause out; None if nowhere."""
    if not row.ruled_out:
        return None
    found = np.array([codes is not None and row.lost(codes) for codes in its])
    return found if found.any() else None


def _having(at: Places, nothing: int) -> slice:
    """The rows that have a value, and what lies between them; all if that is most of them.

    Where each answer of each open check is tried, a check has its value in few rows beside others.
    """
    there = np.flatnonzero(at != nothing)
    if not len(there):
        return slice(0, 0)
    first, last = int(there[0]), int(there[-1]) + 1
    return slice(first, last) if 2 * (last - first) < len(at) else ALL


def _summed(parts: Floats) -> Floats:
    """Sums over the first axis, always in the same order, so that a row alone gives the same."""
    total: Floats = parts[0].copy()
    for part in parts[1:]:
        total += part
    return total


def _keep_stronger(kept: Floats, places: NDArray[np.intp], found: Floats, its: slice = ALL) -> None:
    """Of what a group has and what is found for some of its causes keep the larger by size.

    On a tie what was there first stays.
    """
    every = len(places) == len(kept)
    of_rows = kept[:, its]
    mine = of_rows if every else of_rows[places]
    np.copyto(mine, found, where=np.abs(found) > np.abs(mine))
    if not every:
        of_rows[places] = mine


def class_sums(probabilities: Floats, members: Sequence[Sequence[int]]) -> Floats:
    """Probabilities summed over classes of causes: (rows, classes)."""
    return np.column_stack([probabilities[:, list(m)].sum(axis=1) for m in members])
