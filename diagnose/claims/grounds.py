"""The signs behind the leading cause of each row, in words with their sources, by arrays.

For a symptom, every weight that a cause can get from a check stands once in a list of cells, with
its text; a row's grounds are the cells of its leading cause, the weightiest first. What chain and
weigh would record for the row is the same (tested).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.remarks import SUFFIX
from diagnose.knowledge.base import Base
from diagnose.knowledge.likelihood import Row
from diagnose.knowledge.model import Observable, Sign
from diagnose.reasoning.columns import spread
from diagnose.reasoning.matrix import State
from diagnose.reasoning.tables import Extra, Tables

Ints = NDArray[np.int64]

MOST_FOR, MOST_AGAINST = 4, 2
"""Signs named for and against."""

Texts = tuple[pl.Series, ...]


@dataclass(frozen=True, slots=True)
class _Item:
    """A cause's cells on one observable (or its sign `extra`), and its group."""

    source: int
    decibans: NDArray[np.float64]
    texts: tuple[str, ...]
    group: str | None


class Grounds:
    """The cells of one symptom."""

    def __init__(self, base: Base, table: Tables) -> None:
        self._base = base
        self._names = list(table.rows)
        self._extras = table.extras
        items = [list(self._items(table, c)) for c in range(len(table.causes))]
        wide = max(map(len, items), default=0)
        nothing = len(self._names) + len(self._extras)
        shape = (len(items), wide)
        self._source = np.full(shape, nothing)
        self._offset = np.zeros(shape, dtype=np.int64)
        self._group = np.zeros(shape, dtype=np.int64)
        cells: list[NDArray[np.float64]] = [np.zeros(1)]
        texts: list[str | None] = [None]
        at = 1
        for cause, its in enumerate(items):
            groups: dict[str, int] = {}
            for place, item in enumerate(its):
                self._source[cause, place] = item.source
                self._offset[cause, place] = at
                if item.group:
                    self._group[cause, place] = groups.setdefault(item.group, len(groups) + 1)
                cells.append(item.decibans)
                texts += item.texts
                at += len(item.decibans)
        self._decibans = np.concatenate(cells)
        self._texts = pl.Series(texts, dtype=pl.String)
        self._members = [
            (group, np.flatnonzero((self._group == group).any(axis=0)))
            for group in range(1, int(self._group.max(initial=0)) + 1)
        ]

    def _items(self, table: Tables, cause: int) -> Iterator[_Item]:
        for source, name in enumerate(self._names):
            row = table.rows[name][cause]
            if row is not None:
                observable = self._base.observables[name]
                weights = spread(observable, row.decibans)
                texts = tuple(_texts(self._base, observable, row, weights))
                yield _Item(source, weights, texts, row.group)
        for number, extra in enumerate(table.extras):
            if extra.cause == cause:
                weights = np.array([extra.decibans, 0.0])
                text = _extra_text(self._base, extra)
                yield _Item(len(self._names) + number, weights, (text, ""), extra.sign.group)

    def of(self, state: State, leading: Ints) -> tuple[Texts, Texts]:
        """What speaks for the leading cause of each row and what against, the weightiest first."""
        rows, wide = len(leading), max(self._source.shape[1], 1)
        cells = np.zeros((wide, rows), dtype=np.int64)
        at = self._places(rows, state)
        every = np.arange(rows)
        for place in range(self._source.shape[1]):
            found = at[self._source[leading, place], every]
            cells[place] = np.where(found >= 0, self._offset[leading, place] + found, 0)
        decibans = self._decibans[cells]
        self._strongest(decibans, leading)
        return (
            self._words(_largest(decibans, cells, MOST_FOR)),
            self._words(_largest(-decibans, cells, MOST_AGAINST)),
        )

    def _places(self, rows: int, state: State) -> NDArray[np.intp]:
        """Where each row stands within the cells of each source; -1 for no value."""
        found = np.full((len(self._names) + len(self._extras) + 1, rows), -1, np.intp)
        for number, name in enumerate(self._names):
            its = state.places(name)
            if its is not None:
                found[number] = its
        for number, extra in enumerate(self._extras):
            found[len(self._names) + number] = np.where(state.holds(extra.sign.when), 0, 1)
        return found

    def _strongest(self, decibans: NDArray[np.float64], leading: Ints) -> None:
        """Leave only the strongest of each group, the first of equals."""
        for group, items in self._members:
            member = np.equal(self._group[leading][:, items].T, group)
            if not member.any():
                continue
            its = decibans[items]
            size = np.where(member, np.abs(its), -1.0)
            best = size.argmax(axis=0)
            lost = member & (np.arange(len(items))[:, None] != best)
            decibans[items] = np.where(lost, 0.0, its)

    def _words(self, cells: Ints) -> Texts:
        """The texts of the cells, a series for each rank; null where there is none."""
        return tuple(self._texts[row] for row in cells)


def _largest(weights: NDArray[np.float64], cells: Ints, most: int) -> Ints:
    """The cells of the largest positive weights of each row, the first of equals first; else 0."""
    left = weights.copy()
    every = np.arange(left.shape[1])
    found = np.zeros((most, left.shape[1]), dtype=np.int64)
    for rank in range(most):
        best = left.argmax(axis=0)
        found[rank] = np.where(left[best, every] > 0, cells[best, every], 0)
        left[best, every] = 0.0
    return found


def _texts(
    base: Base, observable: Observable, row: Row, weights: NDArray[np.float64]
) -> Iterator[str]:
    size = len(observable.labels)
    for place, weight in enumerate(weights):
        if weight == 0 or place == len(weights) - 1:
            yield ""
        elif observable.answers:
            answer = list(observable.answers.values())[place].says
            yield _text(base, observable, answer, row.signs[place], weight)
        else:
            low, high = divmod(place, size)
            signs = set(row.signs[low : high + 1])
            sign = signs.pop() if len(signs) == 1 else None
            answer = " or ".join(dict.fromkeys((observable.labels[low], observable.labels[high])))
            yield _text(base, observable, answer, sign, weight)


def _text(base: Base, observable: Observable, answer: str, sign: Sign | None, weight: float) -> str:
    seen = f"{observable.name}: {answer}"
    if sign is None or (sign.speaks == "for") != (weight > 0):
        because = (
            "what this cause usually leaves was looked for and not found"
            if weight < 0
            else "what would speak against it was looked for and not found"
        )
        return f"{because} [{seen}] ({weight:+.1f} dB, derived)"
    said = sign.because.rstrip(".")
    strength = "barely" if observable.id.endswith(SUFFIX) else _strength(base, sign, weight)
    return f"{said} [{seen}] ({strength}, {weight:+.1f} dB; {', '.join(sign.source)})"


def _strength(base: Base, sign: Sign, weight: float) -> str:
    """The word of a sign; for one that follows from others, the word that its weight reaches."""
    if sign.strength != "implied":
        return sign.strength
    scale = sorted(base.scales.strengths.items(), key=lambda item: item[1])
    reached = [word for word, size in scale if abs(weight) >= size - 1e-9]
    return reached[-1] if reached else "under barely"


def _extra_text(base: Base, extra: Extra) -> str:
    names = [
        (base.findings[s] if s in base.findings else base.observables[s]).name
        for s in extra.sign.when.subjects()
    ]
    sign = extra.sign
    source = ", ".join(sign.source)
    said = sign.because.rstrip(".")
    return f"{said} [{', '.join(names)}] ({sign.strength}, {extra.decibans:+.1f} dB; {source})"
