"""Short runs of words looked for all at once: 'not sure', 'perhaps', the words beside a number."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

K = TypeVar("K")


@dataclass(frozen=True, slots=True)
class Run(Generic[K]):
    """A run found among words: what it stands for, its first word and the one after its last."""

    key: K
    first: int
    after: int


class Runs(Generic[K]):
    """Runs of meant words, each standing for something."""

    def __init__(self, said: Iterable[tuple[tuple[str, ...], K]]) -> None:
        self._runs: dict[str, list[tuple[tuple[str, ...], K]]] = defaultdict(list)
        for run, key in said:
            if run:
                self._runs[run[0]].append((run, key))

    def find(self, meant: Sequence[str]) -> Iterator[Run[K]]:
        """Every run among the words of a clause."""
        for at, word in enumerate(meant):
            for run, key in self._runs.get(word, ()):
                if tuple(meant[at : at + len(run)]) == run:
                    yield Run(key, at, at + len(run))
