"""The stem of an English word: what its endings leave, so that lifting and lifted are one word.

Small on purpose. A library of stemmers takes a tenth of a millisecond for a word, which is half a
second for the words of the rule base; what endings do not show stands in the rules (`forms`).
"""

from __future__ import annotations

import re

_VOWEL = re.compile(r"[aeiouy]")
_PLURAL = re.compile(r"(?:(s|x|z|ch|sh)es|(?<=[^s])(?<=[^u])(?<=[^i])s)$")
_ENDING = re.compile(r"(?:ing|ed|ly)$")
_DOUBLED = re.compile(r"([bdgmnprt])\1$")
SHORTEST = 3
"""Letters that a word keeps in any case."""


def stem(word: str) -> str:
    """The stem of a word in small letters; a word too short to have one is its own."""
    if len(word) <= SHORTEST or not word.isalpha():
        return word
    word = re.sub(r"ie[sd]$", "y", word) if len(word) > SHORTEST + 1 else word
    word = _PLURAL.sub(r"\1", word)
    bare = _ENDING.sub("", word)
    if bare != word and len(bare) >= SHORTEST and _VOWEL.search(bare):
        word = _DOUBLED.sub(r"\1", bare)
    word = re.sub(r"i$", "y", word)
    return word[:-1] if len(word) > SHORTEST and word.endswith("e") else word
