"""Files that were parsed before: their data are kept, so that only what changed is parsed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

from diagnose import caches
from diagnose.knowledge import marked
from diagnose.knowledge.marked import ParsedFile, Problem

Parse = Callable[[str, str], tuple[ParsedFile, list[Problem]]]
"""Parses a file given by name and text, as `marked.read` does."""

MOST_FILES = 2000
"""Files whose data are kept."""

PARSER = ("knowledge",)
"""The code that what is kept rests on."""


class ParsedBefore:
    """Parses as `marked.read` does, but not what it parsed before, in this run or an earlier one.

    The data of sound files are kept by the digest of their text, in a folder if there is one. The
    places in such a file are found by parsing it after all, when somebody asks for one.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder
        self._data: dict[str, Any] = {}

    def __call__(self, name: str, text: str) -> tuple[ParsedFile, list[Problem]]:
        """The file, and all that is wrong with it."""
        key = hashlib.sha256(f"{caches.code(PARSER)}{text}".encode()).hexdigest()[:32]
        if key not in self._data and not self._find(key):
            document, problems = marked.read(name, text)
            if document.data is not None and not problems:
                self._keep(key, document.data)
            return document, problems
        tree = cache(lambda: marked.read(name, text)[0].tree())
        return ParsedFile(name, self._data[key], tree), []

    def _find(self, key: str) -> bool:
        """Whether a file's data were kept in the folder and could be read."""
        try:
            found = json.loads(self._at(key).read_bytes()) if self._folder else None
        except (OSError, ValueError):
            return False
        if found is None:
            return False
        self._data[key] = found
        return True

    def _keep(self, key: str, data: Any) -> None:
        self._data[key] = data
        if self._folder is not None:
            caches.keep(self._at(key), json.dumps(data, ensure_ascii=False), MOST_FILES)

    def _at(self, key: str) -> Path:
        assert self._folder is not None
        return self._folder / f"{key}.json"
