"""A rule base as it was read, before it is known to be right."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from diagnose.knowledge.entry_places import EntryPlaces
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import Entry, Observable, RuleFile
from diagnose.knowledge.soundness.walk import NAMED, Path, parts


@dataclass(frozen=True)
class Draft:
    """Everything read, before it is known to be right."""

    file: RuleFile
    places: EntryPlaces

    @cached_property
    def walked(self) -> tuple[tuple[str, str, Path, Entry], ...]:
        """Every entry and every part of it: section, the entry's id, the way to the part, it."""
        return tuple(
            (section, entry.id, path, part)  # type: ignore[attr-defined]
            for section, entry in self.entries()
            for path, part in parts(entry)
        )

    def entries(self) -> Iterator[tuple[str, Entry]]:
        """Each named entry with its section."""
        for section in NAMED:
            for entry in getattr(self.file, section):
                yield section, entry

    @cached_property
    def _ids(self) -> dict[str, frozenset[str]]:
        return {}

    def ids(self, section: str) -> frozenset[str]:
        """The ids of a section."""
        if section not in self._ids:
            self._ids[section] = frozenset(entry.id for entry in getattr(self.file, section))
        return self._ids[section]

    @cached_property
    def observables(self) -> Mapping[str, Observable]:
        """Checks and measures by id."""
        return {o.id: o for o in (*self.file.checks, *self.file.measures)}

    def without(self, ids: frozenset[str]) -> Draft:
        """The same without some entries."""
        left = {
            section: tuple(e for e in getattr(self.file, section) if e.id not in ids)
            for section in NAMED
        }
        return Draft(self.file.model_copy(update=left), self.places)

    def problem(self, sentence: str, section: str, entry: str, path: Path, kind: str) -> Problem:
        """A problem at a part of an entry."""
        return Problem(self.places.of(section, entry, *path), sentence, kind)


ONCE = ("scales", "words")
"""The sections that stand in one file only."""


def flatten(files: Sequence[RuleFile]) -> RuleFile:
    """All files as one."""
    merged: dict[str, Any] = {
        name: tuple(item for file in files for item in getattr(file, name))
        for name in RuleFile.model_fields
        if name not in ONCE
    }
    for name in ONCE:
        merged[name] = next((found for f in files if (found := getattr(f, name))), None)
    return RuleFile.model_construct(**merged)
