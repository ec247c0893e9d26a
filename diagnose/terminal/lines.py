"""One line heard in answer to a prompt, and lines said that break between words."""

from __future__ import annotations

import os
from textwrap import wrap
from typing import TextIO

from diagnose.typed import clean

LEAST = 20
"""Columns under which nothing is gained by breaking lines."""


def hear(source: TextIO, out: TextIO, prompt: str) -> str | None:
    """The line without control characters; None where the input ends.

    What is not typed at a terminal is shown behind the prompt, so that a log reads as a dialogue.
    """
    print(prompt, end=" ", file=out, flush=True)
    line = source.readline()
    words = clean(line)
    if line and not source.isatty():
        print(words, file=out)
    return words if line else None


def fitted(line: str, out: TextIO) -> list[str]:
    """The line as it fits a terminal, broken between words; in one piece for a pipe or a file."""
    width = _width(out)
    if width is None or len(line) <= width:
        return [line]
    indent = " " * (len(line) - len(line.lstrip(" ")))
    return wrap(line, width, subsequent_indent=f"{indent}  ", break_on_hyphens=False)


def _width(out: TextIO) -> int | None:
    """Columns of a terminal that is wide enough for words, else None."""
    try:
        columns = os.get_terminal_size(out.fileno()).columns if out.isatty() else 0
    except (OSError, ValueError):
        return None
    return columns if columns >= LEAST else None


def say(out: TextIO, words: str) -> None:
    """One line out, broken as it fits a terminal, its indentation kept."""
    indent = words[: len(words) - len(words.lstrip(" "))]
    for line in fitted(indent + clean(words), out):
        print(line, file=out)
