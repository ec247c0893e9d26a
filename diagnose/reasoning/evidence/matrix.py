"""The evaluator of many rows at once: the same layers and numbers as `chain` and `weigh`.

Conditions become boolean arrays (holds, definitely does not hold); tables become gathers, one for
each cause that has a sign on a check. A row scored here and by `chain` has the same signs and the
same probabilities. Arrays inside are (causes, rows), so that each gather is one run of memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.likelihood import CauseRow
from diagnose.reasoning.evidence.columns import (
    Columns,
    Covered,
    Floats,
    Sets,
    covered,
    spread,
    with_shown,
)
from diagnose.reasoning.evidence.state import Bools, State
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.evidence.weigh import PER_DECIBAN

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
    """What one cause makes of one observable: a weight for each place (see `columns.places`).

    `gone` tells where it cannot be for several answers of which none is left to it.
    """

    cause: int
    group: str | None
    table: Floats
    gone: Bools | None


@dataclass(frozen=True, slots=True)
class _Stack:
    """What all causes make of one observable: those in no group in one array, a line for each.

    `alone` are their numbers; `grouped` are the others; `gone`: what rules a cause out.
    """

    cells: tuple[Cell, ...]
    alone: slice | NDArray[np.intp]
    tables: Floats
    grouped: tuple[Cell, ...]
    gone: tuple[tuple[int, Bools], ...]


class Matrix:
    """The tables and conditions of one symptom as arrays."""

    def __init__(self, base: Base, table: Tables) -> None:
        self._base = base
        self._table = table
        self._logs = np.log(np.array(table.priors))
        self._stacks: dict[tuple[str, Sets], _Stack] = {}
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
        """What the causes that have a row on an observable make of it."""
        return self._stack(name, sets).cells

    def _stack(self, name: str, sets: Sets) -> _Stack:
        """An observable's cells, made when it first has a value, or other sets of answers."""
        if (name, sets) not in self._stacks:
            its = covered(self._base.observables[name], sets)
            rows = enumerate(self._table.rows[name])
            cells = tuple(
                Cell(place, row.group, spread(row, its), _gone(row, its))
                for place, row in rows
                if row is not None
            )
            self._stacks[name, sets] = _stacked(cells, len(self._table.causes), len(its))
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
        best: dict[tuple[str, int], Floats] = {}
        found = np.empty(state.rows)
        for name in self._table.rows:
            at = state.places(name)
            if at is None:
                continue
            stack = self._stack(name, state.sets(name))
            total[stack.alone] += stack.tables.take(at, axis=1, mode="clip")
            for cell in stack.grouped:
                cell.table.take(at, out=found, mode="clip")
                _add(total, best, cell.cause, cell.group, found)
            for cause, gone in stack.gone:
                out[cause] |= gone.take(at, mode="clip")
        for extra in self._table.extras:
            if state.can_hold(extra.sign.when):
                np.multiply(state.holds(extra.sign.when), extra.decibans, out=found)
                _add(total, best, extra.cause, extra.sign.group, found)
        for (_, cause), its in best.items():
            total[cause] += its


def _stacked(cells: tuple[Cell, ...], causes: int, places: int) -> _Stack:
    """Cells put together, so that one step does for all causes; each then reads its line of it."""
    alone = [cell for cell in cells if cell.group is None]
    numbers = np.array([cell.cause for cell in alone], dtype=np.intp)
    tables = np.array([cell.table for cell in alone]).reshape(len(alone), places)
    lines = {cell.cause: line for cell, line in zip(alone, tables, strict=True)}
    kept = tuple(
        cell if cell.group is not None else replace(cell, table=lines[cell.cause]) for cell in cells
    )
    return _Stack(
        kept,
        slice(None) if len(alone) == causes else numbers,
        tables,
        tuple(cell for cell in cells if cell.group is not None),
        tuple((cell.cause, cell.gone) for cell in cells if cell.gone is not None),
    )


def _gone(row: CauseRow, its: Covered) -> Bools | None:
    """Where several answers are left and each of them rules the cause out; None if nowhere."""
    if not row.ruled_out:
        return None
    found = np.array([codes is not None and row.lost(codes) for codes in its])
    return found if found.any() else None


def _summed(parts: Floats) -> Floats:
    """Sums over the first axis, always in the same order, so that a row alone gives the same."""
    total: Floats = parts[0].copy()
    for part in parts[1:]:
        total += part
    return total


def _add(
    total: Floats, best: dict[tuple[str, int], Floats], cause: int, group: str | None, found: Floats
) -> None:
    """Add to a cause; within a group keep the larger by size, what came first on a tie."""
    if group is None:
        total[cause] += found
        return
    kept = best.get((group, cause))
    if kept is None:
        best[group, cause] = found.copy()
    else:
        np.copyto(kept, found, where=np.abs(found) > np.abs(kept))


def class_sums(probabilities: Floats, members: Sequence[Sequence[int]]) -> Floats:
    """Probabilities summed over classes of causes: (rows, classes)."""
    return np.column_stack([probabilities[:, list(m)].sum(axis=1) for m in members])
