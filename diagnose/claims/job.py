"""One run of claims: what is to be decided under which rules, and where it is written."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import polars as pl

from diagnose.claims.classify import Classifier
from diagnose.claims.letters import Letters
from diagnose.claims.mapping.mapping import Mapped
from diagnose.claims.policy.policy import Policy
from diagnose.claims.table.source import PIECE, ClaimsTable
from diagnose.knowledge.base import Base

Tell = Callable[[int], None]
"""Told of each number of rows done."""


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be done under which rules."""

    table: ClaimsTable
    output: Path
    base: Base
    mapping: Mapped
    policy: Policy
    program: str
    size: int = PIECE
    today: date | None = None
    earlier: pl.DataFrame | None = None
    letters: Letters | None = None

    @property
    def folder(self) -> Path:
        """Where the parts are kept."""
        return self.output.with_name(f".{self.output.name}.parts")

    def classifier(self) -> Classifier:
        """The engine of this job."""
        return Classifier(self.base, self.mapping, self.policy, self.program, self.today)

    def fingerprint(self) -> str:
        """Changes with anything that changes a part."""
        said = (
            self.mapping,
            self.table.layout,
            self.base.version,
            self.policy.version,
            self.program,
            self.size,
        )
        return hashlib.sha256(f"{said!r}{_of_file(self.table.path)}".encode()).hexdigest()


def _of_file(path: Path) -> str:
    """The digest of a whole file: an edit in the middle changes its rows and not its length."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
