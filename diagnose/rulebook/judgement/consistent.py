"""Which answers a car can show together: asked then, and contradicting no other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Condition, Value, Values


class Consistent:
    """What the base says of answers beside each other at a symptom."""

    def __init__(self, base: Base, symptom: str) -> None:
        self._gates = _gates(base)
        self._against = _against(base, symptom)

    def heard(self, name: str) -> frozenset[str]:
        """The checks whose answers decide whether one to this may be given."""
        gates = ({check, *gate.subjects()} for check, gate in self._gates.get(name, ()))
        return frozenset({name}.union(*gates, *(read for read, _ in self._against.get(name, ()))))

    def allows(self, name: str, value: Value, values: Values) -> bool:
        """Whether an answer may be given beside others that are known."""
        if name in values:
            return False
        gates, against = self._gates.get(name, ()), self._against.get(name, ())
        if not gates and not against:
            return True
        after = {**values, name: value}
        if any(gate.holds(after) is False for check, gate in gates if check in after):
            return False
        return not any(read <= after.keys() and when.holds(after) for read, when in against)


def _gates(base: Base) -> Mapping[str, Sequence[tuple[str, Condition]]]:
    """What decides whether checks are asked, by each check that it reads or opens."""
    found: dict[str, list[tuple[str, Condition]]] = {}
    for check in base.checks.values():
        if check.asked_when is not None:
            for subject in {check.id, *check.asked_when.subjects()}:
                found.setdefault(subject, []).append((check.id, check.asked_when))
    return found


def _against(base: Base, symptom: str) -> Mapping[str, Sequence[tuple[Set[str], Condition]]]:
    """Answers that cannot both be right, with all that they read, by each check of these."""
    found: dict[str, list[tuple[Set[str], Condition]]] = {}
    for contradiction in base.contradicting(symptom):
        read = frozenset(contradiction.when.subjects())
        for subject in read:
            found.setdefault(subject, []).append((read, contradiction.when))
    return found
