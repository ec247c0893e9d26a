"""What a change of the rule base does: both versions run over all worked cases.

Who moved is told for each complaint: another leading cause, another payer, other questions, a
confirmed cause whose probability moved by more than a band. And how large the change is by what
was added, removed or reworded; that is a suggestion, a person decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.soundness.walk import NAMED
from diagnose.practice.items.trial import Accuracy, Trial, accuracy, full, play
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import Complaint
from diagnose.records.case.casefile import read_case
from diagnose.records.case.journal import Case
from diagnose.rulebook.change.difference import Difference, difference

SHOWN_QUESTIONS = 6
"""How many of the first questions are told where their order changed."""


@dataclass(frozen=True, slots=True)
class Cases:
    """The readable cases of a folder, and the problems of the others."""

    cases: tuple[Case, ...]
    problems: tuple[Problem, ...]


def read_cases(base: Base, folder: Path) -> Cases:
    """Every case file below a folder, read with a base."""
    cases: list[Case] = []
    problems: list[Problem] = []
    for path in sorted(folder.rglob("*.yaml")):
        name = path.relative_to(folder).as_posix()
        case_file, faults = read_case(name, path.read_text(encoding="utf-8-sig"), base)
        problems += [p for p in faults if p.severity == "error"]
        cases += [case_file.case] if case_file else []
    return Cases(tuple(cases), tuple(problems))


@dataclass(frozen=True, slots=True)
class Side:
    """How a complaint fares under one base, all its answers told, and what would be asked."""

    leading: str
    payer: str
    probability: float
    place: int
    asked: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """A complaint that fares otherwise under the new base; `what` in words."""

    case: str
    number: int
    symptom: str
    cause: str
    what: tuple[str, ...]
    old: Side
    new: Side


@dataclass(frozen=True, slots=True)
class Impact:
    """All that a change does: who moved, the scores before and after, the size of the change.

    `asking` and `told` are (before, after): the tool asking, and all answers told.
    """

    old_version: str
    new_version: str
    complaints: int
    moved: tuple[Moved, ...]
    asking: tuple[Accuracy, Accuracy] | None
    told: tuple[Accuracy, Accuracy] | None
    difference: Difference
    unreadable: tuple[Problem, ...]


Run = dict[tuple[str, int], tuple[Side, Trial, Trial]]


def compare(old: Base, new: Base, folder: Path, band: float) -> Impact:
    """Run both bases over the cases of a folder that both can read; `band` as a share of one."""
    for_old, for_new = read_cases(old, folder), read_cases(new, folder)
    known = {c.id for c in for_old.cases} & {c.id for c in for_new.cases}
    before = _run(old, [c for c in for_old.cases if c.id in known])
    after = _run(new, [c for c in for_new.cases if c.id in known])
    return Impact(
        old.version,
        new.version,
        len(before),
        tuple(_moved(before, after, band)),
        _scores([r[1] for r in before.values()], [r[1] for r in after.values()]),
        _scores([r[2] for r in before.values()], [r[2] for r in after.values()]),
        difference(old, new, NAMED),
        tuple(dict.fromkeys((*for_old.problems, *for_new.problems))),
    )


def _scores(before: Sequence[Trial], after: Sequence[Trial]) -> tuple[Accuracy, Accuracy] | None:
    return (accuracy(before), accuracy(after)) if before else None


def _run(base: Base, cases: Sequence[Case]) -> Run:
    reasoner = Reasoner(base)
    found: Run = {}
    for case in cases:
        for asked, told in zip(play(reasoner, case), full(reasoner, case), strict=True):
            complaint = case.complaint(told.number)
            answers = Complaint(told.symptom, case.answers(complaint))
            pays = reasoner.diagnose(answers).conclusion.pays
            payer = pays[0].payer if pays else ""
            side = Side(told.leading, payer, told.probability, told.place, asked.asked)
            found[case.id, told.number] = (side, asked, told)
    return found


def _moved(before: Run, after: Run, band: float) -> Iterator[Moved]:
    for key, (old, _, told) in before.items():
        new = after[key][0]
        what = tuple(_what(old, new, band))
        if what:
            yield Moved(key[0], key[1], told.symptom, told.right[0], what, old, new)


def _what(old: Side, new: Side, band: float) -> Iterator[str]:
    if old.leading != new.leading:
        better = " (now right)" if new.place == 1 else " (no longer right)" * (old.place == 1)
        yield f"leads: {old.leading} → {new.leading}{better}"
    if old.payer != new.payer:
        yield f"pays: {old.payer or 'nobody named'} → {new.payer or 'nobody named'}"
    if abs(old.probability - new.probability) > band:
        yield f"confirmed cause: {old.probability:.0%} → {new.probability:.0%}"
    if old.asked != new.asked:
        first, then = (", ".join(a[:SHOWN_QUESTIONS]) or "none" for a in (old.asked, new.asked))
        yield f"asks ({len(old.asked)} → {len(new.asked)}): {first} → {then}"


def data(impact: Impact) -> dict[str, Any]:
    """An impact as plain data."""
    return {
        "old": impact.old_version,
        "new": impact.new_version,
        "complaints": impact.complaints,
        "suggests": impact.difference.size,
        "reasons": list(impact.difference.reasons),
        "moved": [asdict(m) for m in impact.moved],
        "asking": _score_data(impact.asking),
        "told": _score_data(impact.told),
        "unreadable": [str(p) for p in impact.unreadable],
    }


def _score_data(scores: tuple[Accuracy, Accuracy] | None) -> dict[str, Any] | None:
    return {"old": asdict(scores[0]), "new": asdict(scores[1])} if scores else None


def text(impact: Impact) -> str:
    """An impact for a terminal."""
    lines = [f"{p}" for p in impact.unreadable]
    for moved in impact.moved:
        lines.append(f"{moved.case} ({moved.symptom}, confirmed: {moved.cause})")
        lines += [f"  {what}" for what in moved.what]
    lines += [
        "",
        f"{len(impact.moved)} of {impact.complaints} complaints moved"
        f" ({impact.old_version} → {impact.new_version}).",
        *_score_lines("asking", impact.asking),
        *_score_lines("all answers told", impact.told),
        "",
        f"Suggested: {impact.difference.size}.",
        *(f"  {reason}" for reason in impact.difference.reasons),
    ]
    return "\n".join(lines).lstrip("\n") + "\n"


def _score_lines(name: str, scores: tuple[Accuracy, Accuracy] | None) -> list[str]:
    if scores is None:
        return []
    old, new = scores
    return [
        f"  {name}: leading right {old.leading:.1%} → {new.leading:.1%}, first three"
        f" {old.first_three:.1%} → {new.first_three:.1%}, median checks {old.median_checks:g} →"
        f" {new.median_checks:g}, log score {old.log_score:.3f} → {new.log_score:.3f}, Brier"
        f" {old.brier:.3f} → {new.brier:.3f}"
    ]
