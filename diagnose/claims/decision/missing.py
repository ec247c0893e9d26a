"""What to ask for: the open checks of each row, by how much their answers would tell.

The expected drop in uncertainty about the cause, in bits, from the causes' tables: the entropy of
the answers to be expected less what each cause leaves open, times how often such a check can be
told at all. All rows of a symptom at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.claims.mapping.remarks import SUFFIX
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.conditions import Condition
from diagnose.reasoning.evidence.state import State
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.questions.question import opens

MOST = 3
"""Checks named for a row."""

TINY = np.float32(1e-30)
"""What stands for a chance of 0 in a logarithm; times 0 it is nothing."""

BLOCK = 512
"""Rows whose answers are reckoned at a time, so that they stay in the processor's cache."""

LEAST = 2
"""Hundredths of a bit under which a check is not worth asking."""

Singles = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class ToAsk:
    """What to ask, the most telling first; both (MOST, rows).

    `checks`: numbers in the base's order, -1 for none; `hundredths` of a bit that each would tell.
    """

    checks: NDArray[np.int64]
    hundredths: NDArray[np.int64]


class Missing:
    """The open checks of one symptom, as arrays."""

    def __init__(self, base: Base, table: Tables) -> None:
        order = {name: number for number, name in enumerate(base.checks)}
        known = [base.checks[n] for n in table.rows if n in base.checks and not n.endswith(SUFFIX)]
        self._checks = [check for check in known if base.makes_sense(check, table.symptom)]
        self._gates = [_Gate.of(check) for check in self._checks]
        self._worked: tuple[frozenset[str] | None, Sequence[tuple[int, _Gate]]] = (None, ())
        self._numbers = np.array([order[c.id] for c in self._checks], dtype=np.int64)
        likely = [_likely(base, table, check) for check in self._checks]
        self._likely: Singles = np.concatenate(likely, dtype=np.float32) if likely else _none(table)
        stops = np.cumsum([len(block) for block in likely], dtype=np.intp).tolist()
        self._ends = tuple(zip([0, *stops], stops, strict=False))
        self._left = self._entropies(self._likely)
        told = base.scales.told_percent
        times = [told.get(c.place, 100.0) for c in self._checks]
        self._told = np.array(times, dtype=np.float32)[:, None]

    def of(
        self,
        state: State,
        tried: Mapping[str, NDArray[np.bool_]],
        probabilities: NDArray[np.float64],
    ) -> ToAsk:
        """The checks to ask for, the most telling first."""
        rows = state.rows
        checks = np.full((MOST, rows), -1, dtype=np.int64)
        hundredths = np.zeros((MOST, rows), dtype=np.int64)
        if not self._checks or not rows:
            return ToAsk(checks, hundredths)
        bits = self._bits(probabilities.T.astype(np.float32))
        many = len(self._checks)
        key = np.rint(bits * self._told).astype(np.int32)
        key *= many
        key += np.arange(many - 1, -1, -1, dtype=np.int32)[:, None]
        for number, gate in self._at_work(state.known | tried.keys()):
            key[number][gate.closed(state, tried)] = -1
        every = np.arange(rows)
        for rank in range(min(MOST, many)):
            its, after = np.divmod(key.max(axis=0), many)
            best = many - 1 - after
            good = its >= LEAST
            checks[rank] = np.where(good, self._numbers[best], -1)
            hundredths[rank] = np.where(good, its, 0)
            key[best, every] = -1
        return ToAsk(checks, hundredths)

    def _at_work(self, known: frozenset[str]) -> Sequence[tuple[int, _Gate]]:
        """The gates that can be closed where this is known; as a rule the same for all pieces."""
        worked = self._worked
        if known != worked[0]:
            its = [(n, gate) for n, gate in enumerate(self._gates) if gate.can_close(known)]
            self._worked = worked = (known, its)
        return worked[1]

    def _bits(self, chances: Singles) -> Singles:
        """What each check would tell, in bits: (causes, rows) to (checks, rows)."""
        bits = np.empty((len(self._checks), chances.shape[1]), dtype=np.float32)
        for start in range(0, chances.shape[1], BLOCK):
            its = chances[:, start : start + BLOCK]
            expected = self._entropies(self._likely @ its)
            np.subtract(expected, self._left @ its, out=bits[:, start : start + BLOCK])
        return bits

    def _entropies(self, chances: Singles) -> Singles:
        """Entropy in bits of each check's answers: (answers, n) to (checks, n)."""
        logs = np.maximum(chances, TINY)
        np.log2(logs, out=logs)
        logs *= chances
        sums = np.empty((len(self._ends), chances.shape[1]), dtype=np.float32)
        for number, (start, stop) in enumerate(self._ends):
            np.add.reduce(logs[start:stop], axis=0, out=sums[number])
        return np.negative(sums, out=sums)


def _none(table: Tables) -> Singles:
    return np.zeros((0, len(table.causes) + 1), dtype=np.float32)


def _likely(base: Base, table: Tables, check: Check) -> NDArray[np.float64]:
    """P(outcome | cause): (outcomes of the check, causes and the unlisted one)."""
    usual, codes = base.outcome_shares(check.id, table.symptom), check.outcome_codes
    weights = np.zeros((len(codes), len(table.causes) + 1))
    for place, row in enumerate(table.rows[check.id]):
        if row is not None:
            weights[:, place] = [row.weight(its) for its in codes]
            if row.ruled_out:
                weights[[row.impossible(its) for its in codes], place] = -np.inf
    found: NDArray[np.float64] = np.array(usual)[:, None] * 10 ** (weights / 10)
    return found


@dataclass(frozen=True, slots=True)
class _Gate:
    """When a check is asked for no more, or not yet: its condition, and what must hold first."""

    check: str
    when: Condition | None
    subjects: tuple[str, ...]
    opening: tuple[Condition, ...]

    @classmethod
    def of(cls, check: Check) -> _Gate:
        """The gate of a check."""
        when = check.asked_when
        tests = when.tests if when is not None else ()
        opening = tuple(Condition((test,)) for test in tests if opens(test))
        return cls(check.id, when, tuple(when.subjects()) if when else (), opening)

    def can_close(self, known: Set[str]) -> bool:
        """Whether it can be closed in some row of a table in which this is known."""
        return bool(self.opening) or self.check in known or not known.isdisjoint(self.subjects)

    def closed(
        self, state: State, tried: Mapping[str, NDArray[np.bool_]]
    ) -> NDArray[np.bool_] | bool:
        """Where the check is answered, was tried, or makes no sense (yet)."""
        if not all(map(state.can_hold, self.opening)):
            return True
        parts = []
        if state.knows(self.check):
            parts.append(state.given(self.check))
        if self.check in tried:
            parts.append(tried[self.check])
        if self.when is not None and any(map(state.knows, self.subjects)):
            parts.append(state.fails(self.when))
        parts += (~state.holds(its) for its in self.opening)
        return np.logical_or.reduce(parts) if parts else False
