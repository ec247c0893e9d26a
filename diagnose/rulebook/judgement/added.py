"""What one more answer adds to each cause where it only adds: by the rows, without conditions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Observable
from diagnose.knowledge.model.conditions import Condition
from diagnose.knowledge.model.kinds import NumberKind, SeveralKind
from diagnose.knowledge.soundness.walk import reached
from diagnose.reasoning.evidence.columns import Floats
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.evidence.weigh import PER_DECIBAN


class Added:
    """The answers of one symptom, each as what it adds to the logarithms of the causes' chances."""

    def __init__(self, base: Base, table: Tables, matrix: Matrix) -> None:
        self._base = base
        self._table = table
        self._matrix = matrix
        self._outs = [
            (place, out.when)
            for place, cause in enumerate(table.causes)
            for out in base.rule_outs(cause, table.symptom)
        ]
        self._entangled = self._read_by_conditions()
        self._groups = {
            name: {row.group for row in rows if row is not None and row.group is not None}
            for name, rows in table.rows.items()
        }
        self._lines: dict[str, Floats] = {}

    def _read_by_conditions(self) -> frozenset[str]:
        """What a sign or a rule-out reads beside something else, and what the symptom shows."""
        whens: Iterable[Condition] = (
            *(extra.sign.when for extra in self._table.extras),
            *(when for _, when in self._outs if not self._is_plain(when)),
        )
        read = {subject for when in whens for subject in when.subjects()}
        return reached(self._base, read.union(self._base.symptoms[self._table.symptom].shows))

    def _is_plain(self, when: Condition) -> bool:
        test = when.only()
        return test is not None and test.subject in self._base.observables

    def only_adds(self, name: str, known: Sequence[str]) -> bool:
        """Whether an answer adds what its row says and no more, beside what is known."""
        if name in self._entangled or isinstance(self._base.observables[name].kind, SeveralKind):
            return False
        its = self._groups.get(name, set())
        return all(its.isdisjoint(self._groups.get(other, ())) for other in known)

    def line(self, name: str, code: int) -> Floats:
        """What an answer adds to each cause and, last, to the unlisted one."""
        if name not in self._lines:
            self._lines[name] = self._made(self._base.observables[name])
        its: Floats = self._lines[name][code]
        return its

    def _made(self, observable: Observable) -> Floats:
        size = len(observable.labels)
        found = np.zeros((size, len(self._table.causes) + 1))
        if observable.id in self._table.rows:
            step = size + 1 if isinstance(observable.kind, NumberKind) else 1
            for cell in self._matrix.cells(observable.id, ()):
                found[:, cell.cause] = cell.table[: step * size : step] * PER_DECIBAN
        for code, cause in self._ruled_out(observable):
            found[code, cause] = -np.inf
        return found

    def _ruled_out(self, observable: Observable) -> Iterator[tuple[int, int]]:
        """The answers of an observable that rule a cause out."""
        for cause, when in self._outs:
            test = when.only()
            if test is not None and test.subject == observable.id:
                for code in range(len(observable.labels)):
                    if test.holds(observable.kind.value(code)):
                        yield code, cause


def after(chances: Floats, lines: Floats) -> Floats:
    """The chances of the causes after each of some answers that only add: (answers, causes)."""
    with np.errstate(divide="ignore"):
        logs = np.log(chances) + lines
    logs -= logs.max(axis=1, keepdims=True)
    found: Floats = np.exp(logs)
    found /= found.sum(axis=1, keepdims=True)
    return found
