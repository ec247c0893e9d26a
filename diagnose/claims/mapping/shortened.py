"""Headers as people cut them short: 'cust' for customer, 'pnl' for panel, 'h/o' for handed over."""

from __future__ import annotations

import re
from functools import lru_cache

LONGEST = 5
"""Letters of a word up to which it may be one cut short."""

LEAST, INITIALS = 0.33, 0.5
"""Share of its letters that a short form has at least; what initials count as."""

HALF = 0.5
"""Share of its letters from which a vowel may be among those that were kept."""

_VOWEL = re.compile(r"[aeiou]")


@lru_cache(maxsize=65_536)
def shortened(short: str, label: str) -> float:
    """How much of a label its short form has kept, 0 to 1; 0 where it is none of it.

    Short forms are initials of several words, the beginning of one, or its consonants.
    """
    whole = re.findall(r"[^\W\d_]+", short)
    # 'CSh' is short for two words: the second begins with the second large letter.
    humps = re.findall(r"[A-Z][a-z]*", short) if len(whole) == 1 and not short.isupper() else []
    parts = [part.casefold() for part in (humps if len(humps) > 1 else whole)]
    words = re.findall(r"[^\W\d_]+", label.casefold())
    letters = "".join(parts)
    if not parts or not words or max(map(len, parts)) > LONGEST:
        return 0.0
    if 1 < len(words) == len(letters) and letters == "".join(w[0] for w in words):
        return INITIALS
    kept = [_kept(part, word) for part, word in zip(parts, words, strict=False)]
    if len(parts) != len(words) or not all(kept) or letters == "".join(words):
        return 0.0
    share = len(letters) / len("".join(words))
    return share if share >= LEAST else 0.0


def _kept(short: str, word: str) -> bool:
    if word == short:
        return True
    cut_off = len(short) >= LONGEST - 2 and word.startswith(short)
    much = len(short) > LONGEST - 2 and len(short) >= HALF * len(word)
    bare = len(short) > 1 and short[0] == word[0] and (much or not _VOWEL.search(short[1:]))
    return cut_off or (bare and _within(short, word))


def _within(short: str, word: str) -> bool:
    """Whether the letters of one stand in the other in their order."""
    left = iter(word)
    return all(letter in left for letter in short)
