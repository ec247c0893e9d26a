"""All rows of one symptom: the differential, the class, the payer, the grounds, what to ask."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.decision.grounds import Grounds, Signs
from diagnose.claims.decision.missing import Asked, Missing
from diagnose.claims.mapping.remarks import SUFFIX, tables_with_remarks
from diagnose.claims.policy.cover import ORIGINS
from diagnose.claims.table.text import worded
from diagnose.knowledge.base import Base
from diagnose.reasoning.evidence.columns import renumbered
from diagnose.reasoning.evidence.matrix import Matrix, State

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

CAUSES = 3
"""Causes named for a row."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """By row. `causes`: (CAUSES, rows) numbers in the base's order, one more where there is none.

    `sure_payer`: the payer's probability by columns alone, 0 where these name another.
    `unsettled`: whether someone else pays hangs on an answer that is not there.
    """

    causes: Ints
    chances: Floats
    unlisted: Floats
    origin: Ints
    origin_chance: Floats
    payer: Ints
    payer_chance: Floats
    sure_payer: Floats
    unsettled: Bools
    signs: Signs
    asked: Asked


class Weighing:
    """One symptom, ready for many rows."""

    def __init__(self, base: Base, symptom: str) -> None:
        self._base = base
        self._table = tables_with_remarks(base, symptom)
        self._matrix = Matrix(base, self._table)
        self._grounds = Grounds(base, self._table)
        self._missing = Missing(base, self._table)
        payers, causes = list(base.payers), list(base.causes)
        its = self._table.causes
        self._payer = np.array([payers.index(c.responsibility.payer) for c in its], dtype=np.int64)
        self._origin = np.array([ORIGINS.index(c.origin.value) for c in its], dtype=np.int64)
        self._number = np.array([causes.index(c.id) for c in its] + [len(causes)], dtype=np.int64)
        self._payers = payers

    def weigh(self, state: State, tried: Mapping[str, Bools]) -> Weighed:
        """Everything about these rows."""
        chances = self._matrix.score_state(state).probabilities
        paying, unsettled = self.paying(state, chances)
        payer = paying.argmax(axis=0)
        every = np.arange(state.rows)
        origins = self._summed(chances, self._origin, len(ORIGINS))
        origin = origins.argmax(axis=0)
        best, shares = self._leading(chances)
        return Weighed(
            causes=self._number[best],
            chances=shares,
            unlisted=chances[:, -1],
            origin=origin,
            origin_chance=origins[origin, every],
            payer=payer,
            payer_chance=paying[payer, every],
            sure_payer=self._by_columns(state, paying, payer),
            unsettled=unsettled[best[0], every],
            signs=self._grounds.of(state, best[0]),
            asked=self._missing.of(state, tried, chances),
        )

    def _by_columns(self, state: State, paying: Floats, payer: Ints) -> Floats:
        every = np.arange(state.rows)
        spoken = [n for n in self._table.rows if n.endswith(SUFFIX) and state.given(n).any()]
        if not spoken:
            return paying[payer, every]
        plain = self._matrix.score_state(state.without(spoken)).probabilities
        sure, _ = self.paying(state, plain)
        same = sure.argmax(axis=0) == payer
        return np.where(same, np.minimum(sure, paying)[payer, every], 0.0)

    def _summed(self, chances: Floats, members: Ints, size: int) -> Floats:
        """Probabilities of the listed causes summed over what they share: (size, rows)."""
        found = np.zeros((size, len(chances)))
        for cause, member in enumerate(members):
            found[member] += chances[:, cause]
        return found

    def paying(self, state: State, chances: Floats) -> tuple[Floats, Bools]:
        """Probability of each payer, (payers, rows); where a cause's payer is not settled.

        For all rows what `reasoning.payer.pays` says of one: the first exception that holds. What
        is open behind one that holds settles nothing.
        """
        found = np.zeros((len(self._payers), len(chances)))
        unsettled = np.zeros((len(self._table.causes), len(chances)), dtype=bool)
        for place, cause in enumerate(self._table.causes):
            left, free = chances[:, place], np.ones(len(chances), dtype=bool)
            for other in cause.responsibility.unless:
                holds = state.holds(other.when)
                unsettled[place] |= free & ~(holds | state.fails(other.when))
                if holds.any():
                    found[self._payers.index(other.payer)] += np.where(holds, left, 0.0)
                    left, free = np.where(holds, 0.0, left), free & ~holds
            found[self._payer[place]] += left
        return found, unsettled

    def _leading(self, chances: Floats) -> tuple[Ints, Floats]:
        """The likeliest causes by place, and their probabilities; ties go to the first."""
        left = chances[:, :-1].T.copy()
        every = np.arange(len(chances))
        best = np.full((CAUSES, len(chances)), len(self._table.causes), dtype=np.int64)
        shares = np.zeros((CAUSES, len(chances)))
        for rank in range(min(CAUSES, len(left))):
            best[rank] = left.argmax(axis=0)
            shares[rank] = left[best[rank], every]
            left[best[rank], every] = -1.0
        return best, shares


def joined(
    rows: Sequence[NDArray[np.intp]], texts: Sequence[str], height: int, between: str = "; "
) -> pl.Series:
    """For each row the texts that belong to it, in order, joined; null where there is none.

    Each set of texts that occurs is joined once; sets are numbered anew after each few texts.
    """
    code = np.zeros(height, dtype=np.int64)
    words: list[str | None] = [None]
    some = [(its, text) for its, text in zip(rows, texts, strict=True) if len(its)]
    for start in range(0, len(some), BITS):
        parcel = some[start : start + BITS]
        code <<= len(parcel)
        for bit, (its, _) in enumerate(parcel):
            code[its] |= 1 << bit
        distinct, code = renumbered(code)
        words = [
            _with(words[its >> len(parcel)], its, [text for _, text in parcel], between)
            for its in distinct.tolist()
        ]
    return worded(words)[code]


BITS = 30
"""Texts whose presence is put into one number at a time."""


def _with(before: str | None, bits: int, texts: Sequence[str], between: str) -> str | None:
    said = [] if before is None else [before]
    said += [text for bit, text in enumerate(texts) if bits >> bit & 1]
    return between.join(said) if said else None
