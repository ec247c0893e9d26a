"""What must be right of rows that a panel estimated."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import ALL_SYMPTOMS, EstimatedRows, WholeCases
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.knowledge.soundness.draft import Draft
from diagnose.knowledge.soundness.walk import Path
from diagnose.near import near

ROUNDING = 1.0
"""How far rounded numbers of a row may be from a hundred."""


def estimates_fit(draft: Draft) -> Iterator[Problem]:
    """Estimates of symptoms, answers and causes that there are, with a number for each answer."""
    symptoms = draft.ids("symptoms")
    for its in draft.file.estimates:
        if its.id not in symptoms and its.id != ALL_SYMPTOMS:
            sentence = f"no symptom is called '{its.id}'{near(its.id, symptoms)}"
            yield draft.problem(sentence, "estimates", its.id, ("id",), "unknown-name")
            continue
        told: set[str] = set()
        behind = {
            cause.id
            for cause in draft.file.causes
            if its.id in cause.behind or its.id == ALL_SYMPTOMS
        }
        for number, table in enumerate(its.rows):
            way: Path = ("rows", number)
            if table.check in told:
                sentence = f"{table.check} was estimated above already: keep one"
                yield draft.problem(sentence, "estimates", its.id, (*way, "check"), "twice")
            told.add(table.check)
            for sentence, path in _faults(draft, its.id, table, behind):
                yield draft.problem(sentence, "estimates", its.id, (*way, *path), "row")


def _faults(
    draft: Draft, symptom: str, table: EstimatedRows, behind: set[str]
) -> Iterator[tuple[str, Path]]:
    observable = draft.observables.get(table.check)
    if observable is None:
        return
    if not observable.shares:
        yield f"{table.check} has no usual shares: nothing can be estimated of it", ("check",)
        return
    for at, label in enumerate(table.answers):
        if label not in observable.labels:
            hint = near(label, observable.labels)
            yield f"{table.check} has no answer '{label}'{hint}", ("answers", at)
    yield from _usual_faults(symptom, table, isinstance(observable.kind, SeveralKind))
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
        fault = _number_fault(parts, table, isinstance(observable.kind, SeveralKind))
        if fault:
            yield fault, path


def _usual_faults(symptom: str, table: EstimatedRows, together: bool) -> Iterator[tuple[str, Path]]:
    """What is usual stands beside what was estimated over all symptoms, and nowhere else."""
    if symptom != ALL_SYMPTOMS:
        if table.usual is not None:
            yield f"usual numbers belong to {ALL_SYMPTOMS} only: leave them out", ("usual",)
        return
    if table.usual is None:
        yield "over all symptoms say what is usual too: usual: 5 20 75", ("check",)
        return
    try:
        parts = table.usual_numbers()
    except ValueError:
        yield f"'{table.usual}' are no numbers with spaces between", ("usual",)
        return
    fault = _number_fault(parts, table, together)
    if fault is None and (min(parts) <= 0 or (together and max(parts) >= 100)):
        fault = "what is usual is met sometimes: no 0, and no 100 where answers go together"
    if fault:
        yield fault, ("usual",)


def _number_fault(parts: tuple[float, ...], table: EstimatedRows, together: bool) -> str | None:
    if len(parts) != len(table.answers):
        return f"{len(parts)} numbers for {len(table.answers)} answers"
    if max(parts) > 100:
        return f"{max(parts):g} of a hundred is more than there are"
    if not together and abs(sum(parts) - 100) > ROUNDING:
        return f"the numbers add up to {sum(parts):.6g}: make it 100"
    return None


def whole_cases_fit(draft: Draft) -> Iterator[Problem]:
    """What whole complaints moved: shares where the cause lies, answers that its checks have."""
    behind = {cause.id: set(cause.behind) for cause in draft.file.causes}
    for its in draft.file.whole_cases:
        for symptom in its.shares:
            if its.id in behind and symptom not in behind[its.id]:
                sentence = f"{its.id} does not lie behind {symptom}{near(symptom, behind[its.id])}"
                yield draft.problem(sentence, "whole_cases", its.id, ("shares", symptom), "row")
        for check in its.shows:
            for sentence in _moved_faults(draft, its, check):
                yield draft.problem(sentence, "whole_cases", its.id, ("shows", check), "row")


def _moved_faults(draft: Draft, its: WholeCases, check: str) -> Iterator[str]:
    observable = draft.observables.get(check)
    if observable is None:
        return
    try:
        named = its.times(check)
    except ValueError:
        yield f"'{its.shows[check]}' are no answers with numbers above 0: 'weeks 1.4, years 0.6'"
        return
    for label in named:
        if label not in observable.labels:
            yield f"{check} has no answer '{label}'{near(label, observable.labels)}"
