"""The apprentices' book in the records: what each has done, and what is under way.

One value for each finished attempt, written once; what is under way stands beside and is replaced
at every act, so that leaving at any moment loses nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.commands import Misuse
from diagnose.practice.progress.progress import Attempt, Progress, attempt_data, attempt_from
from diagnose.records.store.store import Store

KIND, NAMES = "practice", "practice_names"
EVERYONE = "all"

LONGEST_NAME = 60


class BadName(Misuse):
    """A name that no apprentice can have; the message says why."""


def plain_name(text: str) -> str:
    """An apprentice's name in one form; raises BadName."""
    name = " ".join(text.split())
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise BadName(f"an apprentice's name has 1 to {LONGEST_NAME} letters, on one line")
    return name


def names(store: Store) -> tuple[str, ...]:
    """Everyone who has practised, in the order in which they began."""
    return tuple(store.kept(NAMES, EVERYONE).get("names", ()))


class Book:
    """One apprentice's pages."""

    def __init__(self, store: Store, name: str) -> None:
        self._store = store
        self.name = plain_name(name)

    def progress(self) -> Progress:
        """Everything finished, in order."""
        kept = self._store.kept(KIND, self.name)
        return Progress(
            tuple(attempt_from(kept[key]) for key in sorted(kept) if key.startswith("attempt:"))
        )

    def add(self, attempt: Attempt) -> None:
        """Write down a finished attempt."""
        self._enrol()
        number = 1 + sum(key.startswith("attempt:") for key in self._store.kept(KIND, self.name))
        self._store.keep(KIND, self.name, f"attempt:{number:06}", attempt_data(attempt))

    def under_way(self, what: str) -> Mapping[str, Any] | None:
        """What was begun and not finished: 'session' or 'exam'."""
        found: Mapping[str, Any] | None = self._store.kept(KIND, self.name).get(f"now:{what}")
        return found

    def keep_under_way(self, what: str, data: Mapping[str, Any] | None) -> None:
        """Keep what was begun, or (None) that it is done with."""
        self._enrol()
        self._store.keep(KIND, self.name, f"now:{what}", data)

    def export(self) -> dict[str, Any]:
        """Everything that is kept of the apprentice, as JSON says it."""
        return {"apprentice": self.name, "kept": self._store.kept(KIND, self.name)}

    def erase(self) -> int:
        """Forget the apprentice, in backups too; returns how much was kept."""
        left = [name for name in names(self._store) if name != self.name]
        self._store.forget(NAMES, EVERYONE)
        self._store.keep(NAMES, EVERYONE, "names", left)
        return self._store.forget(KIND, self.name)

    @property
    def is_empty(self) -> bool:
        """Whether nothing is kept of the apprentice."""
        return not self._store.kept(KIND, self.name)

    def _enrol(self) -> None:
        known = names(self._store)
        if self.name not in known:
            self._store.keep(NAMES, EVERYONE, "names", [*known, self.name])
