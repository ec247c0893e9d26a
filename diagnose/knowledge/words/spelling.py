"""The word that a misspelt one stands for.

A word that stands anywhere in the rule base is spelled rightly and is left alone. Another one is
taken for a word of a phrase when it is one slip away from that and from no other; long words may
have two slips.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

LEAST, LONG = 6, 10
"""Letters from which a word is long enough to be recognised with one slip, and with two."""


@dataclass(frozen=True, slots=True)
class Meant:
    """The stem that a misspelt word stands for, and how many slips it is away."""

    stem: str
    slips: int


class Spelling:
    """Words that are spelled rightly, and those among them that a misspelt one may stand for."""

    def __init__(self, known: Iterable[str], wanted: Mapping[str, str]) -> None:
        """`known`: stems; `wanted`: the stem of each word as it is written."""
        self._known = frozenset(known)
        self._wanted = {word: stem for word, stem in wanted.items() if len(word) >= LEAST - 1}
        self._written = sorted(self._wanted)
        self.near = lru_cache(maxsize=4096)(self._near)

    def _near(self, word: str, stem: str) -> Meant | None:
        """What a word of that stem stands for; None where it is right or could be several."""
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        if len(word) < LEAST or stem in self._known or not word.isalpha():
            return None
        most = 2 if len(word) >= LONG else 1
        found = process.extract(word, self._written, scorer=OSA.distance, score_cutoff=most)
        alike = [(slips, w) for w, slips, _ in found if w[0] == word[0] or w[:2] == word[1::-1]]
        stems = {self._wanted[w] for slips, w in alike if slips == min(alike)[0]}
        return Meant(stems.pop(), int(min(alike)[0])) if len(stems) == 1 else None
