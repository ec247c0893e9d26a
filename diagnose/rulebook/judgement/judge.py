"""The whole judgement of a rule base: every anomaly at its place, and what is weak."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from diagnose.garbage import uncollected
from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.soundness.anomalies import ANOMALIES
from diagnose.knowledge.soundness.anomaly import Anomaly
from diagnose.rulebook.judgement.at_symptoms import AT_SYMPTOMS, Played
from diagnose.rulebook.judgement.judged import JUDGED
from diagnose.rulebook.judgement.kept_leads import KeptLeads
from diagnose.rulebook.judgement.leading import Leads, leads
from diagnose.rulebook.judgement.row_shapes import ROW_SHAPES
from diagnose.rulebook.judgement.weakness import CERTAIN, Pair, Telling

ALL: tuple[Anomaly, ...] = (*ANOMALIES, *JUDGED, *ROW_SHAPES, *AT_SYMPTOMS)

SEVERITIES = ("error", "warning", "note")


@dataclass(frozen=True, slots=True)
class Judgement:
    """What was found in a base, and its weakest parts, the weakest first."""

    version: str
    counts: tuple[tuple[str, int], ...]
    problems: tuple[Problem, ...]
    pairs: tuple[Pair, ...]
    leads: tuple[Leads, ...]
    tellings: tuple[Telling, ...]

    def number(self, severity: str) -> int:
        """How many problems of a severity there are."""
        return sum(problem.severity == severity for problem in self.problems)


def judge(base: Base, kept: Path | None = None) -> Judgement:
    """Every anomaly of a sound base; in the folder `kept` stands what was searched before."""
    survey = Played(base, KeptLeads(base, kept) if kept else leads)
    with uncollected():
        found = [problem for kind in ALL for problem in kind.problems(survey)]
    found.sort(key=lambda p: (SEVERITIES.index(p.severity), p))
    return Judgement(
        base.version,
        counts(base),
        tuple(found),
        survey.pairs,
        survey.leads,
        survey.tellings,
    )


def counts(base: Base) -> tuple[tuple[str, int], ...]:
    """How much stands in a base, by what it is called."""
    return (
        ("symptoms", len(base.symptoms)),
        ("causes", len(base.causes)),
        ("rows", sum(len({s.check for s in c.shows}) for c in base.causes.values())),
        ("signs", sum(len(c.signs) for c in base.causes.values())),
        ("checks", len(base.checks)),
        ("measures", len(base.measures)),
        ("findings", len(base.findings)),
        ("remedies", len(base.remedies)),
        ("cautions", len(base.cautions)),
        ("payers", len(base.payers)),
        ("sources", len(base.sources)),
    )


def data(judgement: Judgement, weakest: int) -> dict[str, Any]:
    """A judgement as plain data; of what is weak, the `weakest` of each kind."""
    return {
        "version": judgement.version,
        "counts": dict(judgement.counts),
        "problems": [problem_data(p) for p in judgement.problems],
        "weakest_pairs": [asdict(p) for p in judgement.pairs[:weakest]],
        "hardly_leading": [_leads_data(c) for c in judgement.leads[:weakest]],
        "telling_least": [asdict(t) for t in judgement.tellings[:weakest]],
    }


def problem_data(problem: Problem) -> dict[str, Any]:
    """A problem as plain data."""
    spot = problem.spot
    return {
        "severity": problem.severity,
        "kind": problem.kind,
        "file": spot.file,
        "line": spot.line,
        "column": spot.column,
        "sentence": problem.sentence,
    }


def _leads_data(case: Leads) -> dict[str, Any]:
    return {**asdict(case), "answers": [{"check": n, "answer": a} for n, a in case.answers]}


def text(judgement: Judgement, weakest: int, notes: bool = True) -> str:
    """A judgement for a terminal: the problems, a table of what is weak, the counts."""
    lines = [
        f"{p.spot}: {p.severity}: {p.sentence} [{p.kind}]"
        for p in judgement.problems
        if notes or p.severity != "note"
    ]
    if weakest:
        lines += _weak(judgement, weakest)
    said = ", ".join(f"{number} {name}" for name, number in judgement.counts)
    standing = "Usable" if judgement.number("error") else "Sound"
    lines += [
        f"{standing}: {said}. Version {judgement.version}.",
        ", ".join(_plural(judgement.number(s), s) for s in SEVERITIES) + ".",
    ]
    return "\n".join(lines) + "\n"


def _plural(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _weak(judgement: Judgement, weakest: int) -> list[str]:
    pairs = [
        (f"{p.decibans:.1f} dB" if p.decibans < CERTAIN else "certain", p.symptom,
         f"{p.first} / {p.second}", f"{p.told_by}: {p.answer}")
        for p in judgement.pairs[:weakest]
    ]  # fmt: skip
    leading = [
        (
            f"{c.probability:.0%}",
            c.symptom,
            c.cause,
            ", ".join(f"{n}: {a}" for n, a in c.answers[:2]),
        )
        for c in judgement.leads[:weakest]
    ]
    telling = [(f"{t.decibans:.1f} dB", t.check, t.cause, "") for t in judgement.tellings[:weakest]]
    return [
        *_table("Causes least told apart by a harmless check", pairs),
        *_table("Causes that lead least with the best answers", leading),
        *_table("Checks that tell least", telling),
    ]


def _table(title: str, rows: list[tuple[str, str, str, str]]) -> list[str]:
    if not rows:
        return []
    widths = [max(len(row[i]) for row in rows) for i in range(4)]
    said = [
        "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip() for row in rows
    ]
    return ["", title, *(f"  {line}" for line in said), ""]


def manual(kind: Anomaly) -> str:
    """The page of one anomaly: why it matters, what shows it, what does not."""
    return (
        f"{kind.id} ({kind.severity})\n\n{kind.why}\n\nShown by:\n{kind.bad.rstrip()}\n\n"
        f"Not by:\n{kind.good.rstrip()}\n"
    )
