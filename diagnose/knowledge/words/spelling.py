"""The word that a misspelt one stands for.

A word that stands anywhere in the rule base is spelled rightly and is left alone. Another one is
taken for a word of a phrase when it is one slip away from that and from no other; long words may
have two slips.

A word without its vowels ('crk', 'hndl') is the one that has the same consonants; where several
have, the one that far more phrases speak of.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

LEAST, LONG = 6, 10
"""Letters from which a word is long enough to be recognised with one slip, and with two."""


CLIPPED = 3
"""Consonants, with the first letter, from which a word without vowels is recognised."""

FAR_MORE = 2
"""How many times as many phrases must speak of a word as of the next with its consonants."""


@dataclass(frozen=True, slots=True)
class Meant:
    """The stem that a misspelt word stands for, and how many slips it is away."""

    stem: str
    slips: int


class Spelling:
    """Words that are spelled rightly, and those among them that a misspelt one may stand for."""

    def __init__(
        self, known: Iterable[str], wanted: Mapping[str, str], often: Mapping[str, int]
    ) -> None:
        """`known`: stems; `wanted`: the stem of each word as it is written.

        `often`: how many phrases have a stem.
        """
        self._known = frozenset(known)
        self._wanted = {word: stem for word, stem in wanted.items() if len(word) >= LEAST - 1}
        self._written = sorted(self._wanted)
        self._often = often
        self._clipped: dict[str, list[tuple[str, str]]] = defaultdict(list)
        for word, its in sorted(wanted.items()):
            if its in often:
                self._clipped[consonants(word)].append((word, its))
        self.near = lru_cache(maxsize=4096)(self._near)

    def _near(self, word: str, stem: str) -> Meant | None:
        """What a word of that stem stands for; None where it is right or could be several."""
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        if stem in self._known or not word.isalpha():
            return None
        spelled_out = self._spelled_out(word)
        if spelled_out or len(word) < LEAST:
            return Meant(spelled_out, 0) if spelled_out else None
        most = 2 if len(word) >= LONG else 1
        found = process.extract(word, self._written, scorer=OSA.distance, score_cutoff=most)
        alike = [(slips, w) for w, slips, _ in found if w[0] == word[0] or w[:2] == word[1::-1]]
        stems = {self._wanted[w] for slips, w in alike if slips == min(alike)[0]}
        return Meant(stems.pop(), int(min(alike)[0])) if len(stems) == 1 else None

    def _spelled_out(self, word: str) -> str:
        """The stem of which a word has the consonants only, '' where there is none or several."""
        bare = consonants(word)
        if len(bare) < CLIPPED or len(word) > LEAST:
            return ""
        found = {
            stem: self._often[stem]
            for written, stem in self._clipped.get(bare, ())
            if len(word) < len(written) and _within(word, written)
        }
        first, *rest = sorted(found, key=lambda stem: (-found[stem], stem)) or [""]
        return first if not rest or found[first] >= FAR_MORE * found[rest[0]] else ""


def consonants(word: str) -> str:
    """The first letter of a word and the consonants after it, doubled ones once."""
    bare = word[:1] + re.sub(r"[aeiouy]", "", word[1:])
    return re.sub(r"(.)\1", r"\1", bare.replace("ck", "k"))


def _within(short: str, word: str) -> bool:
    left = iter(word)
    return all(letter in left for letter in short)
