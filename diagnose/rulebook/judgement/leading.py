"""Whether each cause can lead: the answers that speak for it best are given, one after another.

For every cause behind a symptom the check and answer are taken that raise its probability most, of
all answers that do not speak against it, are asked in that state and contradict no other answer;
then the next, until it leads clearly or nothing helps any more. So a set of answers that the model
itself allows is found under which the cause leads, or there is none to be found this way.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Value
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.evidence.columns import Cells, Columns, Floats, Places, columns, filled
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.state import Bools
from diagnose.reasoning.evidence.tables import Tables
from diagnose.rulebook.judgement.added import Added, after
from diagnose.rulebook.judgement.consistent import Consistent

MOST_ANSWERS = 10
"""How many answers are given at most."""

SPEAKS_AGAINST = -1.0
"""Decibans under which an answer is taken to speak against a cause."""

FARTHEST = 1e12


@dataclass(frozen=True, slots=True)
class Leads:
    """The best that a cause can come to behind a symptom, and by which answers."""

    symptom: str
    cause: str
    probability: float
    leading: str
    answers: tuple[tuple[str, str], ...]


def leads(base: Base, table: Tables) -> tuple[Leads, ...]:
    """The best case of every cause behind a symptom."""
    search = _Search(base, table)
    return tuple(search.best(place) for place in range(len(table.causes)))


@dataclass(frozen=True, slots=True)
class _Try:
    """An answer that may be given: the check or measure, the answer's number, its value."""

    name: str
    code: int
    label: str
    value: Value


class _Search:
    """The greedy search behind one symptom.

    All answers that may be tried are numbered once; what is kept of each stands in arrays.
    """

    def __init__(self, base: Base, table: Tables) -> None:
        self._base = base
        self._table = table
        self._matrix = Matrix(base, table)
        self._safe = base.scales.probable_percent / 100
        self._consistent = Consistent(base, table.symptom)
        self._added = Added(base, table, self._matrix)
        read = [tuple(self._in_conditions(place)) for place in range(len(table.causes))]
        self._names = tuple(dict.fromkeys((*table.rows, *(n for names in read for n in names))))
        self._tries = tuple(
            _Try(name, code, label, observable.kind.value(code))
            for name in self._names
            for observable in (base.observables[name],)
            for code, label in enumerate(observable.labels)
        )
        self._name_of = np.array([self._names.index(its.name) for its in self._tries])
        heard = [self._consistent.heard(name) for name in self._names]
        self._hearing = {
            name: np.array([name in its for its in heard])[self._name_of] for name in self._names
        }
        may = [self._consistent.allows(its.name, its.value, {}) for its in self._tries]
        alone = np.array(may, dtype=bool)
        self._by_itself = self._adding(())
        lines = (
            self._line(its, self._by_itself[n])
            for its, n in zip(self._tries, self._name_of, strict=True)
        )
        self._lines = np.array([*lines])
        speaks = [self._speaks(place, names) for place, names in enumerate(read)]
        self._may = np.array(speaks, dtype=bool).reshape(len(read), len(alone)) & alone

    def best(self, place: int) -> Leads:
        """The best that a cause can come to."""
        values: dict[str, Value] = {}
        given: list[_Try] = []
        left, chances = self._may[place].copy(), self._at_first
        while len(given) < MOST_ANSWERS and chances[place] < self._safe:
            # Only what the last answer bears on may have become impossible.
            touched = left & self._hearing[given[-1].name] if given else ()
            for n in np.flatnonzero(touched).tolist():
                left[n] = self._consistent.allows(self._tries[n].name, self._tries[n].value, values)
            if not left.any():
                break
            number, then = self._top(place, chances, given, np.flatnonzero(left))
            if then[place] <= chances[place] + 1e-9:
                break
            its = self._tries[number]
            given.append(its)
            values[its.name] = its.value
            left[self._name_of == self._name_of[number]] = False
            chances = then
        names = [*(c.id for c in self._table.causes), UNLISTED]
        return Leads(
            self._table.symptom,
            names[place],
            float(chances[place]),
            names[int(np.round(chances, 12).argmax())],
            tuple((t.name, t.label) for t in given),
        )

    @cached_property
    def _at_first(self) -> Floats:
        """The chances of the causes with nothing answered."""
        found: Floats = self._matrix.score(columns(self._base, [{}])).probabilities[0]
        return found

    def _top(
        self, place: int, chances: Floats, given: Sequence[_Try], tries: Places
    ) -> tuple[int, Floats]:
        """The try that raises a cause most, the first of equals, and the chances after it."""
        adds = self._adding([its.name for its in given])[self._name_of[tries]]
        found = np.zeros((len(tries), len(chances)))
        if adds.any():
            found[adds] = after(chances, self._lines[tries[adds]])
        others = [self._tries[n] for n in tries[~adds].tolist()]
        if others:
            scores = self._matrix.score(_tried(self._base, given, others))
            found[~adds] = scores.probabilities
        best = int(np.round(found[:, place], 12).argmax())
        return int(tries[best]), found[best]

    def _adding(self, known: Sequence[str]) -> Bools:
        """By name whether its answers add what their rows say and no more, beside what is known."""
        return np.array([self._added.only_adds(name, known) for name in self._names], dtype=bool)

    def _line(self, its: _Try, adds: bool) -> Floats:
        return self._added.line(its.name, its.code) if adds else np.zeros_like(self._at_first)

    def _speaks(self, place: int, read: Collection[str]) -> list[bool]:
        """Of each try whether it could speak for a cause, and does not speak against it alone."""
        rows = self._table.rows
        found = []
        for its in self._tries:
            row = rows[its.name][place] if its.name in rows else None
            asked = its.name in rows or its.name in read
            found.append(asked and (row is None or row.decibans[its.code] > SPEAKS_AGAINST))
        return found

    def _in_conditions(self, place: int) -> Iterator[str]:
        """What the signs of a cause with several conditions read, through findings too."""
        waiting = [
            s
            for extra in self._table.extras
            if extra.cause == place and extra.decibans > 0
            for s in extra.sign.when.subjects()
        ]
        while waiting:
            subject = waiting.pop(0)
            if subject in self._base.findings:
                rules = self._base.findings[subject].rules
                waiting += [s for rule in rules for s in rule.when.subjects()]
            elif self._base.observables[subject].labels:
                yield subject


def _tried(base: Base, given: Sequence[_Try], tries: Sequence[_Try]) -> Columns:
    """A row for each try: what is given already, and the one answer more."""
    cells: list[Cells] = [(its.name, slice(None), [its.value]) for its in given]
    rows_of: dict[str, list[int]] = {}
    for row, its in enumerate(tries):
        rows_of.setdefault(its.name, []).append(row)
    cells += [(name, rows, [tries[row].value for row in rows]) for name, rows in rows_of.items()]
    return filled(base, Columns(len(tries)), cells)


def by_cause(found: Sequence[Leads]) -> Mapping[str, Leads]:
    """The best case of each cause over all symptoms that it lies behind."""
    best: dict[str, Leads] = {}
    for case in found:
        if case.cause not in best or case.probability > best[case.cause].probability:
            best[case.cause] = case
    return best
