"""The known word that a misspelt one may stand for."""

from __future__ import annotations

from collections.abc import Sequence, Set
from difflib import get_close_matches


def near(word: str, known: Sequence[str] | Set[str]) -> str:
    """' (did you mean X?)' for the nearest known word, or ''."""
    found = get_close_matches(word, sorted(known), n=1, cutoff=0.6)
    return f" (did you mean {found[0]}?)" if found else ""
