"""One line heard in answer to a prompt."""

from __future__ import annotations

from typing import TextIO

from diagnose.report.text import clean


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
