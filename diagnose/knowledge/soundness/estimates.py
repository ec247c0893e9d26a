"""What must be right of rows that a panel estimated."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import EstimatedRows
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.knowledge.near import near
from diagnose.knowledge.soundness.draft import Draft
from diagnose.knowledge.soundness.walk import Path

ROUNDING = 1.0
"""How far rounded numbers of a row may be from a hundred."""


def estimates_fit(draft: Draft) -> Iterator[Problem]:
    """Estimates of symptoms, answers and causes that there are, with a number for each answer."""
    symptoms = draft.ids("symptoms")
    for its in draft.file.estimates:
        if its.id not in symptoms:
            sentence = f"no symptom is called '{its.id}'{near(its.id, symptoms)}"
            yield draft.problem(sentence, "estimates", its.id, ("id",), "unknown-name")
            continue
        told: set[str] = set()
        for number, table in enumerate(its.rows):
            way: Path = ("rows", number)
            if table.check in told:
                sentence = f"{table.check} was estimated above already: keep one"
                yield draft.problem(sentence, "estimates", its.id, (*way, "check"), "twice")
            told.add(table.check)
            for sentence, path in _faults(draft, its.id, table):
                yield draft.problem(sentence, "estimates", its.id, (*way, *path), "row")


def _faults(draft: Draft, symptom: str, table: EstimatedRows) -> Iterator[tuple[str, Path]]:
    observable = draft.observables().get(table.check)
    if observable is None:
        return
    if not observable.shares:
        yield f"{table.check} has no usual shares: nothing can be estimated of it", ("check",)
        return
    for at, label in enumerate(table.answers):
        if label not in observable.labels:
            hint = near(label, observable.labels)
            yield f"{table.check} has no answer '{label}'{hint}", ("answers", at)
    behind = {cause.id for cause in draft.file.causes if symptom in cause.behind}
    known = draft.ids("causes")
    for cause in table.of_100:
        path: Path = ("of_100", cause)
        try:
            parts = table.numbers(cause)
        except ValueError:
            yield f"'{table.of_100[cause]}' are no numbers with spaces between", path
            continue
        if cause in known and cause not in behind:
            yield f"{cause} does not lie behind {symptom}{near(cause, behind)}", path
        if len(parts) != len(table.answers):
            yield f"{len(parts)} numbers for {len(table.answers)} answers", path
        elif max(parts) > 100:
            yield f"{max(parts):g} of a hundred is more than there are", path
        elif not isinstance(observable.kind, SeveralKind) and abs(sum(parts) - 100) > ROUNDING:
            yield f"the numbers add up to {sum(parts):.6g}: make it 100", path
