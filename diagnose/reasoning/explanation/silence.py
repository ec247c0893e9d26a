"""What an answer that no sign of a cause names says of the cause, in words.

A cause's row on a check gives the answers without a sign what its signs leave, or what a panel
estimated. The reader is told which answer the cause would rather have left, or which would have
spoken against it; where no sign says either, how often the answer is met: a number alone is no
reason, but it can be held against what one has seen oneself.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.logic.said import counted, in_hundred, of_hundred
from diagnose.knowledge.model import Observable

_NAMED = 3
"""Answers named in one sentence; the rest is counted."""


def silence(
    observable: Observable, row: CauseRow, decibans: float, codes: Sequence[int] | None
) -> str:
    """Why an answer without a sign weighs what it does, as a sentence without the answer.

    `codes`: the answer, where it is one of the check's own.
    """
    if decibans < 0:
        wanted = _either(_named(observable, row, "for"))
        return f"This cause would rather show {wanted}." if wanted else met(row, codes, decibans)
    feared = _either(_named(observable, row, "against"))
    if feared:
        return f"Not seen, though it would speak against this cause: {feared}."
    return met(row, codes, decibans)


def met(row: CauseRow, codes: Sequence[int] | None, decibans: float) -> str:
    """How often an answer is met with a cause, and how often usually, as a sentence."""
    often = "more" if decibans > 0 else "less"
    if not codes or (row.absent and len(codes) > 1):
        return f"It is met {often} often with this cause than usually."
    return counted(frequency(row, codes), sum(row.usual[code] for code in codes))


def met_apart(row: CauseRow, other: CauseRow, codes: Sequence[int]) -> str:
    """How often an answer is met with one cause and with another, as a sentence."""
    mine, theirs = frequency(row, codes), frequency(other, codes)
    return (
        f"{in_hundred(mine)} of 100 cars with this cause show it, and {of_hundred(theirs)} of 100"
        " with the other."
    )


def frequency(row: CauseRow, codes: Sequence[int]) -> float:
    """P(one of some answers | cause)."""
    left = [code for code in codes if code not in row.ruled_out]
    return float(sum(row.usual[code] * 10 ** (row.decibans[code] / 10) for code in left))


def _named(observable: Observable, row: CauseRow, speaks: str) -> list[str]:
    """The answers that the signs of one side name; bins that lie side by side are one range."""
    codes = [code for code, sign in enumerate(row.signs) if sign and sign.speaks == speaks]
    return observable.kind.named(codes)


def _either(words: Sequence[str]) -> str:
    """The words joined by commas and 'or'."""
    if len(words) > _NAMED:
        words = (*words[: _NAMED - 1], f"{len(words) - _NAMED + 1} other answers")
    return " or ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))
