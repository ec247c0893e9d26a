"""Closed cases counted: causes behind symptoms, and what was answered and reckoned with them.

All complaints of a symptom are counted at once, by arrays. Measures are reckoned as for any case.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.experience import Cell, Counts, Experience, Seen
from diagnose.knowledge.model.conditions import Value, Values
from diagnose.records.experience.shared import others
from diagnose.records.store.store import Store
from diagnose.records.store.summary import Filter, KnownComplaint


def counts(base: Base, complaints: Iterable[KnownComplaint], until: str = "") -> Counts:
    """The counts of one's own closed complaints, `until` a day.

    A symptom, a cause or an answer that the rule base no longer has is passed over.
    """
    by_symptom: dict[str, list[KnownComplaint]] = defaultdict(list)
    for complaint in complaints:
        if complaint.symptom in base.symptoms:
            by_symptom[complaint.symptom].append(complaint)
    causes = {symptom: Counter(c.cause for c in its) for symptom, its in by_symptom.items()}
    answers = {
        cell: seen
        for symptom, its in by_symptom.items()
        for cell, seen in _answers(base, symptom, its)
    }
    return Counts("", sum(map(len, by_symptom.values())), causes, answers, until=until)


def still_known(base: Base, values: Values) -> Values:
    """The answers that the rule base still has."""

    def kept(check: str, value: Value) -> bool:
        seen = base.observables.get(check)
        return seen is not None and seen.kind.allows(value)

    return {check: value for check, value in values.items() if kept(check, value)}


def _answers(
    base: Base, symptom: str, its: Sequence[KnownComplaint]
) -> Iterator[tuple[Cell, Seen]]:
    """What was answered with each listed cause behind a symptom, by check and measure."""
    # Arrays are imported with the first use: a shop without closed cases needs none.
    import numpy as np

    from diagnose.reasoning.evidence.columns import columns, covered, places, with_measures

    names = [cause.id for cause in base.behind(symptom)]
    numbers = {name: number for number, name in enumerate(names)}
    listed = [c for c in its if c.cause in numbers]
    if not listed:
        return
    of_cause = np.array([numbers[c.cause] for c in listed])
    told = [still_known(base, c.values or {}) for c in listed]
    table = with_measures(base, columns(base, told))
    for name in (*table.choices, *table.numbers):
        observable = base.observables[name]
        at = places(observable, table)
        if at is None or not observable.shares or name in base.symptoms[symptom].shows:
            continue
        stand_for = covered(observable, table.sets.get(name, ()))
        size = len(stand_for)
        found = np.bincount(of_cause * size + at, minlength=size * len(names))
        seen: dict[str, dict[tuple[int, ...], float]] = defaultdict(dict)
        for place in np.flatnonzero(found).tolist():
            codes = stand_for[place % size]
            if codes is not None:
                seen[names[place // size]][tuple(codes)] = float(found[place])
        for cause, its_answers in seen.items():
            yield (symptom, cause, name), its_answers


def experience(base: Base, store: Store, without: str = "") -> Experience:
    """What the records and other shops count, but for one case, no evidence for itself."""
    closed = [c for c in store.known_complaints(Filter()) if c.case_id != without]
    until = max((outcome.closed for outcome in store.outcomes()), default="")
    own = (counts(base, closed, until),) if closed else ()
    return Experience((*own, *others(base, store)))
