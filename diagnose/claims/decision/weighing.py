"""All rows of one symptom: the differential, the class, the payer, the grounds, what to ask."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.decision.grounds import Grounds, Signs
from diagnose.claims.decision.missing import Missing, ToAsk
from diagnose.claims.decision.usual import UsualShares
from diagnose.claims.mapping.remarks import SUFFIX, tables_with_remarks
from diagnose.claims.policy.cover import ORIGINS
from diagnose.claims.table.text import worded
from diagnose.knowledge.base import Base
from diagnose.reasoning.evidence.columns import renumbered
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.state import State

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

CAUSES = 3
"""Causes named for a row."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """By row. `causes`: (CAUSES, rows) numbers in the base's order, one more where there is none.

    `paying`: (payers, rows) with open exceptions counted by how often they hold; `plain`: the same
    by columns alone, no remark counted. `origins`: (ORIGINS, rows) of the payer that leads.
    """

    causes: Ints
    chances: Floats
    unlisted: Floats
    origin: Ints
    origin_chance: Floats
    payer: Ints
    payer_chance: Floats
    paying: Floats
    plain: Floats
    origins: Floats
    signs: Signs
    asked: ToAsk


class Weighing:
    """One symptom, ready for many rows."""

    def __init__(self, base: Base, symptom: str) -> None:
        self._base = base
        self._table = tables_with_remarks(base, symptom)
        self._matrix = Matrix(base, self._table)
        self._grounds = Grounds(base, self._table, self._matrix)
        self._missing = Missing(base, self._table)
        self._soft = [name for name in self._table.rows if name.endswith(SUFFIX)]
        payers, causes = list(base.payers), list(base.causes)
        its = self._table.causes
        self._payer = np.array([payers.index(c.responsibility.payer) for c in its], dtype=np.int64)
        self._origin = np.array([ORIGINS.index(c.origin.value) for c in its], dtype=np.int64)
        self._number = np.array([causes.index(c.id) for c in its] + [len(causes)], dtype=np.int64)
        self._payers = payers
        usual = UsualShares(base)
        self._usual = {
            id(other): usual.of(other.when) for c in its for other in c.responsibility.unless
        }

    def speaking(self, check: str) -> Bools:
        """Which answers of a check speak for some cause here, or bear on who pays for one."""
        least = self._base.scales.strengths["barely"]
        kind = self._base.checks[check].kind
        found = np.zeros(len(kind.labels), dtype=bool)
        for row in self._table.rows.get(check, ()):
            if row is not None:
                found |= np.array(row.decibans) >= least
        unless = [other for c in self._table.causes for other in c.responsibility.unless]
        return found | any(check in other.when.subjects() for other in unless)

    def weigh(self, state: State, tried: Mapping[str, Bools]) -> Weighed:
        """Everything about these rows."""
        chances = self._matrix.score_state(state).probabilities
        paying, expected = self.paying(state, chances)
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
            paying=expected,
            plain=self._by_columns(state, expected),
            origins=self._origins_of(state, chances, payer),
            signs=self._grounds.of(state, best[0]),
            asked=self._missing.of(state, tried, chances),
        )

    def _by_columns(self, state: State, expected: Floats) -> Floats:
        """Payers by columns alone, and no more of any than with the remarks."""
        known = filter(state.knows, self._soft)
        spoken = [name for name in known if state.given(name).any()]
        if not spoken:
            return expected
        plain = self._matrix.score_state(state.without(spoken)).probabilities
        return np.minimum(self.paying(state, plain)[1], expected)

    def _origins_of(self, state: State, chances: Floats, payer: Ints) -> Floats:
        """How likely each origin is with the leading payer: (ORIGINS, rows)."""
        found = np.zeros((len(ORIGINS), len(chances)))
        for place, cause in enumerate(self._table.causes):
            left = chances[:, place]
            for other in cause.responsibility.unless:
                holds = state.holds(other.when)
                if state.can_hold(other.when) and holds.any():
                    mine = payer == self._payers.index(other.payer)
                    found[self._origin[place]] += np.where(holds & mine, left, 0.0)
                    left = np.where(holds, 0.0, left)
            found[self._origin[place]] += np.where(payer == self._payer[place], left, 0.0)
        return found

    def _summed(self, chances: Floats, members: Ints, size: int) -> Floats:
        """Probabilities of the listed causes summed over what they share: (size, rows)."""
        found = np.zeros((size, len(chances)))
        for cause, member in enumerate(members):
            found[member] += chances[:, cause]
        return found

    def paying(self, state: State, chances: Floats) -> tuple[Floats, Floats]:
        """Probability of each payer, (payers, rows): by what is known, and as is to be expected.

        The first for all rows what `reasoning.payer.pays` says of one: the first exception that
        holds. The second counts an open exception as often as its answers are usual.
        """
        found = np.zeros((len(self._payers), len(chances)))
        expected = np.zeros_like(found)
        for place, cause in enumerate(self._table.causes):
            left = hoped = chances[:, place]
            for other in cause.responsibility.unless:
                payer = self._payers.index(other.payer)
                usual = self._usual[id(other)]
                if not any(map(state.knows, other.when.subjects())):
                    expected[payer] += hoped * usual
                    hoped = hoped * (1.0 - usual)
                    continue
                holds = state.holds(other.when)
                share = np.where(holds, 1.0, usual)
                share[state.fails(other.when)] = 0.0
                expected[payer] += hoped * share
                hoped = hoped * (1.0 - share)
                if holds.any():
                    found[payer] += np.where(holds, left, 0.0)
                    left = np.where(holds, 0.0, left)
            found[self._payer[place]] += left
            expected[self._payer[place]] += hoped
        return found, expected

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
