"""What kind of value a check or a measure has, and all that hangs on it.

A kind reads what a person writes, says a value in words, codes it for tables and arrays, and tells
which conditions can be put to it. Whoever needs something of a value asks its kind; the few places
that need more take the kinds apart with `match`, so that a kind forgotten there is a type error.
"""

from __future__ import annotations

from diagnose.knowledge.model.choices import NONE_OF_THESE, NOTHING, ChoiceKind, SeveralKind
from diagnose.knowledge.model.numbers import NumberKind
from diagnose.knowledge.model.values import BadAnswer, NotOfThisKind

__all__ = [
    "NONE_OF_THESE",
    "NOTHING",
    "BadAnswer",
    "ChoiceKind",
    "Kind",
    "NotOfThisKind",
    "NumberKind",
    "SeveralKind",
]

Kind = ChoiceKind | SeveralKind | NumberKind
