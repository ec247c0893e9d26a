"""The evaluator of many rows at once: the same layers and numbers as `chain` and `weigh`.

Conditions become pairs of boolean arrays (holds, definitely does not hold); tables become gathers.
A row scored here and by `chain` has the same signs and the same probabilities.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.base import Base
from diagnose.knowledge.conditions import FOUND, Condition, NoneOf, OneOf, Span, Test
from diagnose.reasoning.chain import depths
from diagnose.reasoning.columns import Codes, Columns, Floats
from diagnose.reasoning.tables import Tables
from diagnose.reasoning.weigh import PER_DECIBAN

Bools = NDArray[np.bool_]
Pair = tuple[Bools, Bools]

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
class _Gather:
    """A table of one observable: (codes + 1, causes), the last row zero for no value.

    `group` is None for what is simply added; else the causes of which it is a member are marked in
    `member`.
    """

    observable: str
    group: str | None
    table: Floats


class Matrix:
    """The tables and conditions of one symptom as arrays."""

    def __init__(self, base: Base, table: Tables) -> None:
        self._base = base
        self._table = table
        self._logs = np.log(np.array(table.priors))
        self._gathers = tuple(self._all_gathers())
        depth = depths(base)
        self._findings = sorted(base.findings.values(), key=lambda f: depth[f.id])
        self._outs = [
            (place, out.when)
            for place, cause in enumerate(table.causes)
            for out in cause.ruled_out_when
        ]
        used = [e.sign.when for e in table.extras] + [when for _, when in self._outs]
        self._need_findings = any(s in base.findings for when in used for s in when.subjects())

    def _all_gathers(self) -> list[_Gather]:
        found = []
        for name, rows in self._table.rows.items():
            groups = dict.fromkeys(r.group for r in rows if r is not None)
            size = len(self._base.observables[name].labels)
            for group in groups:
                cells = np.zeros((size + 1, len(rows)))
                for place, row in enumerate(rows):
                    if row is not None and row.group == group:
                        cells[:size, place] = row.decibans
                found.append(_Gather(name, group, cells))
        return found

    def score(self, columns: Columns) -> Scores:
        """Probabilities of every row."""
        parts = [
            self._block(columns.part(start, start + BLOCK))
            for start in range(0, max(columns.rows, 1), BLOCK)
        ]
        if len(parts) == 1:
            return parts[0]
        return Scores(
            np.concatenate([p.probabilities for p in parts]),
            np.concatenate([p.decibans for p in parts]),
            np.concatenate([p.out for p in parts]),
        )

    def _block(self, columns: Columns) -> Scores:
        findings = self.findings(columns) if self._need_findings else {}
        total = self._decibans(columns, findings)
        out = np.zeros(total.shape, dtype=bool)
        for place, when in self._outs:
            out[:, place] |= self.holds(when, columns, findings)[0]
        logs = np.empty((columns.rows, total.shape[1] + 1))
        logs[:, :-1] = self._logs[:-1] + PER_DECIBAN * total
        logs[:, :-1][out] = -np.inf
        logs[:, -1] = self._logs[-1]
        logs -= logs.max(axis=1, keepdims=True)
        raw = np.exp(logs)
        return Scores(raw / raw.sum(axis=1, keepdims=True), total, out)

    def _decibans(self, columns: Columns, findings: Mapping[str, Pair]) -> Floats:
        total = np.zeros((columns.rows, len(self._table.causes)))
        groups: dict[str, Floats] = {}
        for gather in self._gathers:
            found = self._gathered(gather, columns)
            if found is None:
                continue
            if gather.group is None:
                total += found
            else:
                _strongest(groups, gather.group, found)
        for extra in self._table.extras:
            fired = self.holds(extra.sign.when, columns, findings)[0]
            if not fired.any():
                continue
            if extra.sign.group is None:
                total[:, extra.cause] += fired * extra.decibans
            else:
                found = np.zeros_like(total)
                found[:, extra.cause] = fired * extra.decibans
                _strongest(groups, extra.sign.group, found)
        for best in groups.values():
            total += best
        return total

    def _gathered(self, gather: _Gather, columns: Columns) -> Floats | None:
        codes = columns.choices.get(gather.observable)
        if codes is not None:
            return gather.table[codes]
        ends = columns.numbers.get(gather.observable)
        if ends is None:
            return None
        edges = np.array(self._base.observables[gather.observable].edges)
        low, high = (_bins(edges, end) for end in ends)
        found = gather.table[low]
        for row in np.flatnonzero(low != high):
            spanned = gather.table[low[row] : high[row] + 1]
            found[row] = np.where((spanned == spanned[0]).all(axis=0), spanned[0], 0.0)
        return found

    def findings(self, columns: Columns) -> dict[str, Pair]:
        """For each finding whether it is found and whether it is definitely not, by row."""
        found: dict[str, Pair] = {}
        for finding in self._findings:
            pairs = [self.holds(rule.when, columns, found) for rule in finding.rules]
            found[finding.id] = (
                np.logical_or.reduce([p[0] for p in pairs]),
                np.logical_and.reduce([p[1] for p in pairs]),
            )
        return found

    def holds(self, when: Condition, columns: Columns, findings: Mapping[str, Pair]) -> Pair:
        """Whether a condition holds and whether it definitely does not, by row."""
        pairs = [self._test(test, columns, findings) for test in when.tests]
        return (
            np.logical_and.reduce([p[0] for p in pairs]),
            np.logical_or.reduce([p[1] for p in pairs]),
        )

    def _test(self, test: Test, columns: Columns, findings: Mapping[str, Pair]) -> Pair:
        if test.subject in findings:
            assert isinstance(test, OneOf)
            found, absent = findings[test.subject]
            return (found, absent) if test.words == (FOUND,) else (absent, found)
        if isinstance(test, Span):
            return _span(test, columns)
        return self._words(test, columns)

    def _words(self, test: OneOf | NoneOf, columns: Columns) -> Pair:
        codes = columns.choices.get(test.subject)
        if codes is None:
            return _neither(columns.rows)
        labels = self._base.observables[test.subject].labels
        named = np.array([word in test.words for word in labels] + [False])
        others = np.array([word not in test.words for word in labels] + [False])
        yes, no = named[codes], others[codes]
        return (yes, no) if isinstance(test, OneOf) else (no, yes)


def _bins(edges: Floats, end: Floats) -> Codes:
    """The bin of each number; -1 for NaN."""
    found = np.searchsorted(edges, end, side="right").astype(np.int16)
    found[np.isnan(end)] = -1
    return found


def _strongest(groups: dict[str, Floats], group: str, found: Floats) -> None:
    """Keep the larger by size of what a group has and what is found; what came first on a tie."""
    best = groups.get(group)
    if best is None:
        groups[group] = found
    else:
        np.copyto(best, found, where=np.abs(found) > np.abs(best))


def _span(test: Span, columns: Columns) -> Pair:
    ends = columns.numbers.get(test.subject)
    if ends is None:
        return _neither(columns.rows)
    low, high = ends
    inside = (low >= test.low if test.low_closed else low > test.low) & (
        high <= test.high if test.high_closed else high < test.high
    )
    below = high < test.low if test.low_closed else high <= test.low
    above = low > test.high if test.high_closed else low >= test.high
    return inside, below | above


def _neither(rows: int) -> Pair:
    return np.zeros(rows, dtype=bool), np.zeros(rows, dtype=bool)


def class_sums(probabilities: Floats, members: Sequence[Sequence[int]]) -> Floats:
    """Probabilities summed over classes of causes: (rows, classes)."""
    return np.column_stack([probabilities[:, list(m)].sum(axis=1) for m in members])
