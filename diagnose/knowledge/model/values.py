"""What can be known of a check, a measure or a finding: a value, whole or in part."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.measures.quantity import Quantity

OR = re.compile(r"(\s*\|\s*|\s*,?\s+or\s+)", re.IGNORECASE)
"""Between answers of which one is right."""


class BadAnswer(ValueError):
    """A text that is no answer of a check; the message says what would be one."""


class NotOfThisKind(TypeError):
    """A value that belongs to another kind."""


@dataclass(frozen=True, slots=True)
class OneOfThese:
    """One of some answers is right, and it was not told which: two or more, in the check's order.

    As evidence it is the event that any of them is right, whose chance is the sum of theirs.
    """

    words: tuple[str, ...]

    def __str__(self) -> str:
        return " or ".join(self.words)


@dataclass(frozen=True, slots=True)
class AllOfThese:
    """Of answers that can be right together, exactly these are, in the check's order; maybe none.

    Each answer of such a check is a yes or no of its own: those that are not here are a no.
    """

    words: tuple[str, ...]

    def __str__(self) -> str:
        return " and ".join(self.words) or "none"


Value = str | Quantity | OneOfThese | AllOfThese
"""A known value: the id of a choice (or 'found'/'not_found' of a finding), a number's range, some
of the answers of a choice of which one is right, or all that are right together."""

Values = Mapping[str, Value]
"""Known values by subject. Unknown and unasked subjects are absent."""
