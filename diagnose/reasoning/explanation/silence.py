"""What an answer that no sign of a cause names says of the cause, in words.

A cause's table on a check gives the answers without a sign what its signs leave. The reader is told
which answer the cause would rather have left, or which would have spoken against it.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.knowledge.logic.likelihood import CauseRow
from diagnose.knowledge.model import Observable

_NAMED = 3
"""Answers named in one sentence; the rest is counted."""


def silence(observable: Observable, row: CauseRow, decibans: float) -> str:
    """Why an answer without a sign weighs what it does, as a sentence without the answer."""
    if decibans < 0:
        wanted = _either(_named(observable, row, "for"))
        return f"This cause would rather show {wanted}." if wanted else _REST_AGAINST
    feared = _either(_named(observable, row, "against"))
    return f"Not seen, though it would speak against this cause: {feared}." if feared else _REST_FOR


_REST_AGAINST = "This cause shows other answers here more often."
_REST_FOR = "An answer that would rule this cause out was not given."


def _named(observable: Observable, row: CauseRow, speaks: str) -> list[str]:
    """The answers that the signs of one side name; bins that lie side by side are one range."""
    codes = [code for code, sign in enumerate(row.signs) if sign and sign.speaks == speaks]
    return observable.kind.named(codes)


def _either(words: Sequence[str]) -> str:
    """The words joined by commas and 'or'."""
    if len(words) > _NAMED:
        words = (*words[: _NAMED - 1], f"{len(words) - _NAMED + 1} other answers")
    return " or ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))
