"""Reading plain data of a marked document: every wrong shape is noted at its place."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from diagnose.knowledge.marked import Document, Problem
from diagnose.knowledge.near import near

Path = tuple[str | int, ...]


class Shapes:
    """Reads one document; what is wrong is noted, and reading goes on."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.problems: list[Problem] = []

    def wrong(self, path: Path, sentence: str, severity: str = "error") -> None:
        """Note what is wrong at a place."""
        spot = self.document.spot(path)
        self.problems.append(Problem(spot, sentence, "case", severity))

    def mapping(
        self, path: Path, value: Any, known: tuple[str, ...] = (), needed: tuple[str, ...] = ()
    ) -> dict[str, Any]:
        """A mapping whose keys are `known` (any, where none are given) and has the needed ones."""
        if not isinstance(value, dict):
            self.wrong(path, f"{_where(path)} must be keys with values")
            return {}
        for key in value:
            if known and key not in known:
                self.wrong((*path, key), f"'{key}' is not known here{near(key, known)}")
        for key in needed:
            if key not in value:
                self.wrong(path, f"'{key}' is missing in {_where(path)}")
        return value

    def items(self, path: Path, value: Any) -> list[tuple[Path, Any]]:
        """The items of a list with their places."""
        if not isinstance(value, list):
            self.wrong(path, f"{_where(path)} must be a list (a line '- …' for each)")
            return []
        return [((*path, number), item) for number, item in enumerate(value)]

    def text(self, path: Path, value: Any) -> str:
        """A text; '' where it is none."""
        if isinstance(value, str):
            return value
        said = "has no value" if value is None else "is not text here: put it in quotes"
        self.wrong(path, f"'{path[-1]}' {said}")
        return ""

    def whole(self, path: Path, value: Any) -> int | None:
        """A whole number from 1."""
        if isinstance(value, int) and not isinstance(value, bool) and value > 0:
            return value
        self.wrong(path, f"'{path[-1]}' must be a whole number from 1")
        return None

    def yes_no(self, path: Path, value: Any) -> bool | None:
        """True, false, or None for neither."""
        if value is not None and not isinstance(value, bool):
            self.wrong(path, f"'{path[-1]}' must be true or false")
            return None
        return value

    def one_of(self, path: Path, value: Any, known: Collection[str], what: str) -> str:
        """An id among the known ones."""
        word = self.text(path, value)
        if word and word not in known:
            self.wrong(path, f"'{word}' is no {what}{near(word, set(known))}")
        return word

    def ids(self, path: Path, value: Any, known: Collection[str], what: str) -> tuple[str, ...]:
        """A list of ids among the known ones."""
        items = self.items(path, value)
        return tuple(self.one_of(at, item, known, what) for at, item in items)


def _where(path: Path) -> str:
    named = [step for step in path if isinstance(step, str)]
    return f"'{named[-1]}'" if named else "the file"
