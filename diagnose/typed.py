"""What people typed, made safe to show."""

from __future__ import annotations

import re

_UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f"  # control characters, without tab and line feed
    "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"  # marks that change the direction
    "\u200b\u2060\ufeff\U000e0000-\U000e007f"  # widthless; joiners, which letters need, stay
    "\ud800-\udfff]"  # halves of characters
)


def seen(words: str) -> str:
    """Text without control characters or marks that are not seen, its lines and blanks as typed."""
    return _UNSEEN.sub("", words)


def on_one_line(words: str) -> str:
    """The same on one line."""
    return seen(re.sub(r"\s", " ", words))


def clean(words: str) -> str:
    """The same on one line with single blanks, and none at the ends."""
    return " ".join(on_one_line(words).split())


def in_a_row(words: str) -> str:
    """Lines that were typed one after the other, as parts of one line: 'this; that'."""
    return "; ".join(line for line in map(clean, words.split("\n")) if line)
