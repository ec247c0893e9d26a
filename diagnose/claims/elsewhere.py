"""Pieces decided in other processes, here or on other machines: what these need to know.

They load the rule base themselves and refuse to work under another one than asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from diagnose.claims.classify import Classifier, Decided
from diagnose.claims.job import Job
from diagnose.claims.mapping.mapping import Column, Mapped
from diagnose.claims.policy import policy
from diagnose.claims.table.source import Piece
from diagnose.commands import Misuse
from diagnose.folders import rules_cache, shipped
from diagnose.knowledge.reading.load import load


class OtherRulesError(Misuse):
    """Another process would decide under other rules; one sentence with what to do."""


@dataclass(frozen=True, slots=True)
class Setup:
    """What a worker needs to decide pieces; small, and the same for all."""

    rules: str
    rules_version: str
    columns: tuple[tuple[Any, ...], ...]
    policy_name: str
    policy_text: str
    program: str
    today: date | None = None


def setup(job: Job, rules: Path, policy_name: str, policy_text: str) -> Setup:
    """The setup of a job."""
    columns = tuple(
        (c.column, c.fact, tuple(c.values.items()), c.unit, c.date, c.decimal)
        for c in job.mapping.columns
    )
    return Setup(
        str(rules), job.base.version, columns, policy_name, policy_text, job.program, job.today
    )


def decide_piece(its: Setup, piece: Piece) -> Decided:
    """Decide a piece on a worker."""
    return _classifier(its).decide(piece)


@lru_cache(maxsize=2)
def _classifier(its: Setup) -> Classifier:
    folder = Path(its.rules)
    base = load(folder if folder.is_dir() else shipped("rules"), rules_cache())
    if base.version != its.rules_version:
        raise OtherRulesError(
            f"a worker has rule base {base.version}, this machine {its.rules_version}: install the"
            " same one on both"
        )
    read, problems = policy.read(its.policy_name, its.policy_text, base)
    if read is None:
        raise OtherRulesError(str(problems[0]))
    columns = tuple(Column(c, f, dict(v), *rest) for c, f, v, *rest in its.columns)
    return Classifier(base, Mapped(columns), read, its.program, its.today)
