"""How lines of a report are marked: plain text or Markdown, and text that stays text."""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass

from diagnose.typed import clean

WIDTH = 78
"""Characters in a line of plain text."""


@dataclass(frozen=True, slots=True)
class Style:
    """How lines are marked; `width` 0 leaves them unwrapped."""

    markdown: bool
    width: int

    def heading(self, level: int, words: str) -> list[str]:
        """A heading with the lines around it."""
        words = self.safe(words)
        if self.markdown:
            return ["", f"{'#' * level} {words}", ""]
        words = words.upper() if level < 3 else words
        lines = textwrap.wrap(words, self.width) if self.width else [words]
        return ["", *lines, ("=" if level < 3 else "-") * max(map(len, lines), default=0)]

    def line(self, words: str, indent: int = 0) -> list[str]:
        """A paragraph."""
        words = self.safe(words)
        if self.markdown or not self.width:
            return [words]
        pad = " " * indent
        return textwrap.wrap(words, self.width, initial_indent=pad, subsequent_indent=pad) or [""]

    def item(self, words: str, mark: str = "-") -> list[str]:
        """An item of a list."""
        words = self.safe(words)
        if self.markdown or not self.width:
            return [f"{mark} {words}"]
        pad = " " * (len(mark) + 1)
        return textwrap.wrap(
            words, self.width, initial_indent=f"{mark} ", subsequent_indent=pad
        ) or [mark]

    def below(self, words: str) -> list[str]:
        """What belongs to an item, as an item of a list within it where there are such marks."""
        return [f"   - {self.safe(words)}"] if self.markdown else self.line(words, indent=3)

    def safe(self, words: str) -> str:
        """Text that stays text: no control characters, no Markdown marks."""
        words = clean(words)
        return re.sub(r"([\\`*_\[\]<>#|])", r"\\\1", words) if self.markdown else words
