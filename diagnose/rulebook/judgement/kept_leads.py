"""The best case of every cause, kept by what it rests on: only what changed is searched again.

Of judging the shipped rules most goes into that search; after a change of one cause all but a few
symptoms rest on the same as before.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import astuple
from pathlib import Path
from typing import Any

from diagnose import caches
from diagnose.knowledge.base import Base
from diagnose.reasoning.evidence.tables import Tables
from diagnose.rulebook.change.rests import Rests
from diagnose.rulebook.judgement.leading import Leads, leads

MOST_FILES = 400
"""Symptoms whose leads are kept; the oldest go first."""

ROOMS = ("rulebook/judgement",)
"""The code of the search, beside that of reckoning."""

Search = Callable[[Base, Tables], tuple[Leads, ...]]


class KeptLeads:
    """Searches as `leading.leads` does, but not where it was searched before."""

    def __init__(self, base: Base, folder: Path) -> None:
        self._rests = Rests(base)
        self._folder = folder
        asked = [(c.id, c.asked_when) for c in base.checks.values() if c.asked_when is not None]
        self._of_all = repr((caches.code(ROOMS), asked))

    def __call__(self, base: Base, table: Tables) -> tuple[Leads, ...]:
        """The best case of every cause behind the symptom of a table."""
        against = [its.when for its in base.contradicting(table.symptom)]
        rests = repr((self._of_all, against, self._rests.digest(table.symptom)))
        path = self._folder / f"leads-{hashlib.sha256(rests.encode()).hexdigest()[:24]}.json"
        found = _read(path)
        if found is None:
            found = leads(base, table)
            caches.keep(path, json.dumps([astuple(its) for its in found]), MOST_FILES)
        return found


def _read(path: Path) -> tuple[Leads, ...] | None:
    """What is kept in a file; None where there is none or it cannot be read."""
    try:
        return tuple(_leads(*its) for its in json.loads(path.read_bytes()))
    except (OSError, ValueError, TypeError):
        return None


def _leads(symptom: str, cause: str, probability: float, leading: str, answers: Any) -> Leads:
    told = tuple((str(name), str(label)) for name, label in answers)
    return Leads(str(symptom), str(cause), float(probability), str(leading), told)
