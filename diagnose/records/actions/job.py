"""What an action is given: the arguments, the rule base, the records, the time."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from diagnose.commands import Misuse
from diagnose.knowledge.base import Base
from diagnose.records.case.journal import Outcome
from diagnose.records.experience.statistics import Statistics
from diagnose.records.naming import wanted_of
from diagnose.records.store.store import Store
from diagnose.records.store.summary import Filter

Pages = Callable[[Statistics], str]
"""Writes statistics as pages; returns what to say of it, raises Misuse."""


@dataclass(frozen=True, slots=True)
class Arguments:
    """What the command line says; each action uses those that it needs.

    `paths`: files to import or photos to add, the folder to export to, the new file of a rescue;
    `width`: columns of the page, 0 for any.
    """

    action: str
    records: Path | None = None
    cases: tuple[str, ...] = ()
    paths: tuple[Path, ...] = ()
    wanted: Filter = field(default_factory=Filter)
    complaint: int | None = None
    outcome: Outcome = field(default_factory=lambda: Outcome("", ""))
    caption: str = ""
    marks: Sequence[str] = ()
    journal: bool = False
    name: str = ""
    plate: str = ""
    erase: bool = False
    with_customers: bool = False
    overwrite: bool = False
    yes: bool = False
    as_json: bool = False
    plots: bool = False
    seed: int = 1
    strength: float | None = None
    width: int = 0
    days: int = 14
    only_check: bool = False
    export_to: Path | None = None
    import_from: tuple[Path, ...] = ()
    weight: float | None = None


@dataclass(frozen=True, slots=True)
class CaseAction:
    """An action under way on open records."""

    args: Arguments
    base: Base
    at: datetime
    store: Store
    pages: Pages | None

    @property
    def wanted(self) -> Filter:
        """Which cases are meant, by ids."""
        return wanted_of(self.args.wanted, self.base, self.at)

    @property
    def case_id(self) -> str:
        """The one case that is meant."""
        if len(self.args.cases) != 1:
            raise Misuse("name one case; 'diagnose cases list' shows them")
        return self.args.cases[0]


def one_path(paths: Sequence[Path], what: str) -> Path:
    """The one file or folder that an action needs."""
    if len(paths) != 1:
        raise Misuse(f"name {what}")
    return paths[0]


def as_json_text(value: Any) -> str:
    """A value as JSON for people and programs."""
    return json.dumps(value, indent=2, ensure_ascii=False)
