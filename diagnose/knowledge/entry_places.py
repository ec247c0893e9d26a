"""Where the entries of a rule base stand in its files."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any

from diagnose.knowledge.marked import ParsedFile, Spot


class EntryPlaces:
    """Where each entry stands in the files, found when first asked."""

    def __init__(self, documents: Callable[[], Sequence[ParsedFile]]) -> None:
        self._read = documents

    @cached_property
    def _documents(self) -> Sequence[ParsedFile]:
        return self._read()

    @cached_property
    def _paths(self) -> Mapping[tuple[str, str], tuple[ParsedFile, tuple[str | int, ...]]]:
        found: dict[tuple[str, str], tuple[ParsedFile, tuple[str | int, ...]]] = {}
        for document in self._documents:
            for section, number, entry in _named(document):
                found.setdefault((section, entry), (document, (section, number)))
        return found

    def of(self, section: str, entry: str, *path: Any) -> Spot:
        """The place of an entry, or of a part of it."""
        found = self._paths.get((section, entry))
        if found is None:
            return self.of_section(section, *path)
        document, start = found
        return document.spot((*start, *path))

    def changed(self, section: str, entry: str) -> Spot | None:
        """Where a change of an entry begins that stands in another file; None: it has none."""
        document, way = self._paths.get((section, entry), (None, ()))
        return document.changed(way) if document else None

    def of_section(self, section: str, *path: Any) -> Spot:
        """The place of a section whose entries have no ids, or of one of them by its number."""
        for document in self._documents:
            its = document.data.get(section) if isinstance(document.data, dict) else None
            if path and isinstance(path[0], int) and isinstance(its, list) and path[0] >= len(its):
                path = (path[0] - len(its), *path[1:])  # it stands in a later file
            elif its is not None:
                return document.spot((section, *path))
        return Spot(self._documents[0].name if self._documents else "(no file)", 1, 1)


def _named(document: ParsedFile) -> Iterator[tuple[str, int, str]]:
    """The entries with an id: section, number within it, id."""
    data = document.data if isinstance(document.data, dict) else {}
    for section, entries in data.items():
        for number, entry in enumerate(entries if isinstance(entries, list) else []):
            if isinstance(entry, dict) and isinstance(entry.get("id"), str):
                yield section, number, entry["id"]
