"""What each cause behind a symptom makes of each check: the tables that weighing reads.

Made once for a base and a symptom. What a cause shows on a check or measure is a row of a table; a
sign (several conditions, a finding, a number without bins) adds its decibans only where it holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.model import Cause, Sign


@dataclass(frozen=True, slots=True)
class Extra:
    """A sign outside the tables: its cause's place among the causes, and its weight."""

    cause: int
    number: int
    sign: Sign
    decibans: float


@dataclass(frozen=True, slots=True)
class Tables:
    """All that is weighed behind a symptom.

    `rows[check][i]` is the row of the i-th cause on a check, or None where it has no sign there.
    """

    symptom: str
    causes: tuple[Cause, ...]
    priors: tuple[float, ...]
    rows: Mapping[str, tuple[CauseRow | None, ...]]
    extras: tuple[Extra, ...]


def tables(base: Base, symptom: str, priors: tuple[float, ...] | None = None) -> Tables:
    """The tables of a symptom; `priors` stand in for the base's own (from other complaints)."""
    causes = base.behind(symptom)
    grid: dict[str, list[CauseRow | None]] = {}
    extras: list[Extra] = []
    for place, cause in enumerate(causes):
        for name, cells in base.rows(cause, symptom).items():
            grid.setdefault(name, [None] * len(causes))[place] = cells
        for number, sign in enumerate(cause.signs):
            extras.append(Extra(place, number, sign, decibans(base, sign)))
    rows = {name: tuple(cells) for name, cells in grid.items()}
    return Tables(symptom, causes, priors or base.priors(symptom), rows, tuple(extras))


def decibans(base: Base, sign: Sign) -> float:
    """A sign's stated weight, negative where it speaks against."""
    size = base.scales.strengths[sign.strength]
    return size if sign.speaks == "for" else -size
