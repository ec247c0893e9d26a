"""What is said of something by its name: an answer of a check, a reason against a remedy."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Said(NamedTuple):
    """Something by its name, and the words that are said of it."""

    name: str
    words: str

    def __str__(self) -> str:
        return f"{self.name}: {self.words}"


def told(said: Iterable[Said]) -> str:
    """Several of them in one line."""
    return "; ".join(map(str, said))
