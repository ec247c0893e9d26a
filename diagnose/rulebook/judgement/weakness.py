"""Where a rule base is weak: pairs of causes hardly told apart, checks that tell little.

Two causes behind a symptom are told apart by a check as far as they expect its answers
differently: 10·log10(P(answer | one)/P(answer | other)), in decibans, at the answer where they
differ most. Only checks that harm neither film nor paint count here, for a car is not cut open to
choose between two remedies. What rules out one of the two tells them apart for certain.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause, Harm
from diagnose.knowledge.model.conditions import Condition
from diagnose.reasoning.evidence.tables import Extra, Tables

ENOUGH = 5.0
"""Decibans by which some harmless check must tell two causes apart: about three to one."""

CERTAIN = 99.0
"""Stands for decibans without end: one of the two is ruled out."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two causes behind a symptom; by how many decibans, which check and answer tell them apart."""

    symptom: str
    first: str
    second: str
    decibans: float
    told_by: str
    answer: str


def pairs(base: Base, table: Tables) -> Iterator[Pair]:
    """Every pair of causes behind a symptom."""
    harmless = Harmless(base, table.symptom)
    answers = _Answers(harmless, table)
    for one, other in combinations(range(len(table.causes)), 2):
        yield _pair(harmless, table, answers, one, other)


class Harmless:
    """What can be known of a symptom without harm to the car."""

    def __init__(self, base: Base, symptom: str) -> None:
        self.base = base
        self._symptom = symptom
        self._known: dict[str, bool] = {}

    def subject(self, name: str) -> bool:
        """Whether a check, a measure or a finding can be known without harm."""
        if name not in self._known:
            self._known[name] = self._judge(name)
        return self._known[name]

    def condition(self, condition: Condition) -> bool:
        """Whether it can be seen without harm that a condition holds."""
        return all(map(self.subject, condition.subjects()))

    def _judge(self, name: str) -> bool:
        if name in self.base.checks:
            check = self.base.checks[name]
            return check.harm is Harm.NONE and self.base.makes_sense(check, self._symptom)
        if name in self.base.measures:
            given = self.base.measures[name].inputs.values()
            inputs = [v for v in given if isinstance(v, str) and v in self.base.observables]
            return all(map(self.subject, inputs))
        return any(self.condition(rule.when) for rule in self.base.findings[name].rules)


Told = tuple[float, str, str]
"""Decibans, by what, at which answer."""


class _Answers:
    """Every answer of a harmless check that some row of a symptom is on, as arrays."""

    def __init__(self, harmless: Harmless, table: Tables) -> None:
        names = [name for name in table.rows if harmless.subject(name)]
        each = [harmless.base.observables[name].labels for name in names]
        cells = [(n, label) for n, labels in zip(names, each, strict=True) for label in labels]
        # The last by name and answer comes first, so that it is the first of equals.
        order = sorted(range(len(cells)), key=cells.__getitem__, reverse=True)
        self._cells = [cells[place] for place in order]
        shape = (len(table.causes), len(cells))
        weights, there = np.zeros(shape), np.zeros(shape, dtype=bool)
        start = 0
        for name, labels in zip(names, each, strict=True):
            its = slice(start, start + len(labels))
            for place, row in enumerate(table.rows[name]):
                if row is not None:
                    weights[place, its], there[place, its] = row.decibans, True
            start += len(labels)
        self._weights, self._there = weights[:, order], there[:, order]

    def told(self, one: int, other: int) -> Iterator[Told]:
        """The answer at which the rows of two causes differ most, if any row is there."""
        known = self._there[one] | self._there[other]
        if known.any():
            size = np.where(known, np.abs(self._weights[one] - self._weights[other]), -1.0)
            best = int(size.argmax())
            yield float(size[best]), *self._cells[best]


def _pair(harmless: Harmless, table: Tables, answers: _Answers, one: int, other: int) -> Pair:
    a, b = table.causes[one], table.causes[other]
    told = max(
        (
            *answers.told(one, other),
            *_by_extras(harmless, table.extras, one, other),
            *_by_ruling_out(harmless, table.symptom, a, b),
            *_by_ruling_out(harmless, table.symptom, b, a),
        ),
        default=(0.0, "", ""),
    )
    return Pair(table.symptom, a.id, b.id, *told)


def _by_extras(
    harmless: Harmless, extras: tuple[Extra, ...], one: int, other: int
) -> Iterator[Told]:
    """Signs with several conditions; a pair that shares one is told apart by the difference."""
    sums: dict[Condition, float] = {}
    for extra in extras:
        if extra.cause in (one, other) and harmless.condition(extra.sign.when):
            size = extra.decibans if extra.cause == one else -extra.decibans
            sums[extra.sign.when] = sums.get(extra.sign.when, 0.0) + size
    for when, size in sums.items():
        yield abs(size), " + ".join(when.subjects()), str(when)


def _by_ruling_out(harmless: Harmless, symptom: str, out: Cause, kept: Cause) -> Iterator[Told]:
    base = harmless.base
    also = {rule.when for rule in base.rule_outs(kept, symptom)}
    for rule in base.rule_outs(out, symptom):
        if rule.when not in also and harmless.condition(rule.when):
            yield CERTAIN, " + ".join(rule.when.subjects()), str(rule.when)


@dataclass(frozen=True, slots=True)
class Telling:
    """By how much a check can at most move a cause, behind any symptom."""

    check: str
    decibans: float
    cause: str


def tellings(base: Base, tables: tuple[Tables, ...]) -> tuple[Telling, ...]:
    """What each check and measure that signs weigh can tell, the least first."""
    best: dict[str, Telling] = {}
    for table in tables:
        for name, rows in table.rows.items():
            for cause, row in zip(table.causes, rows, strict=True):
                if row is not None:
                    size = CERTAIN if row.ruled_out else max(map(abs, row.decibans))
                    if name not in best or size > best[name].decibans:
                        best[name] = Telling(name, size, cause.id)
    return tuple(sorted(best.values(), key=lambda t: (t.decibans, t.check)))
