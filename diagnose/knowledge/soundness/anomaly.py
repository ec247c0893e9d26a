"""What an anomaly of a rule base is, and the survey of a base on which anomalies are looked for.

An anomaly is a symptom and not yet a fault (Preece & Shinghal 1994): the base loads and works, yet
something in it is said twice, can never matter, or is missing. Each is one small thing: an id, a
severity, a generator of findings, a sentence that says why it matters, and two examples.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from textwrap import dedent
from typing import Any, Literal

from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import Check, Entry
from diagnose.knowledge.model.conditions import Condition
from diagnose.knowledge.soundness.walk import (
    NAMED,
    Path,
    conditions_of,
    parts,
    reached,
    subjects_of,
)

Severity = Literal["error", "warning", "note"]
"""error: wrong in any base; warning: mend it or say why it is right; note: worth a look."""


@dataclass(frozen=True, slots=True)
class ConditionUse:
    """A condition with the place where it stands: section, entry, way to it, field."""

    section: str
    entry: str
    path: Path
    field: str
    condition: Condition


@dataclass(frozen=True, slots=True)
class Found:
    """Something found at a part of an entry, in one sentence with its values."""

    section: str
    entry: str
    path: Path
    sentence: str


class Survey:
    """A sound base, and what many anomalies need to know of it, reckoned once."""

    def __init__(self, base: Base) -> None:
        self.base = base

    @cached_property
    def walked(self) -> tuple[tuple[str, str, Path, Entry], ...]:
        """Every entry and every part of it: section, the entry's id, the way to the part, it."""
        return tuple(
            (section, name, path, part)
            for section in NAMED
            for name, entry in getattr(self.base, section).items()
            for path, part in parts(entry)
        )

    @cached_property
    def uses(self) -> tuple[ConditionUse, ...]:
        """Every condition of the base."""
        return tuple(
            ConditionUse(section, name, path, field, condition)
            for section, name, path, part in self.walked
            for field, condition in conditions_of(part)
        )

    @cached_property
    def read(self) -> frozenset[str]:
        """Every check, measure and finding that a condition reads, or a measure rests on."""
        named = {s for _, _, _, part in self.walked for s in subjects_of(part)}
        for measure in self.base.measures.values():
            named |= {v for v in measure.inputs.values() if isinstance(v, str)}
        return frozenset(named)

    @cached_property
    def weighing(self) -> frozenset[str]:
        """What the probability of a cause rests on: by a row, sign or rule-out, at any distance."""
        return reached(
            self.base,
            (
                s for section, _, path, part in self.walked
                if section == "causes" and path[:1] in _WEIGHED
                for s in subjects_of(part)
            ),
        )  # fmt: skip

    def chosen(self, check: Check) -> bool:
        """Whether the program asks a check by itself: by its evidence, or as a measure's input."""
        if check.id in self.base.intake:
            return True
        inputs = {
            v
            for m in self.base.measures.values()
            if m.id in self.weighing and m.shares
            for v in m.inputs.values()
        }
        return check.id in inputs or (check.id in self.weighing and bool(check.shares))


_WEIGHED = (("shows",), ("signs",), ("ruled_out_when",))


@dataclass(frozen=True, slots=True)
class Anomaly:
    """One kind of anomaly.

    `bad` and `good` are small pieces of YAML to be put into a sound base: with `bad` in it the base
    has exactly this anomaly, with `good` none.
    """

    id: str
    severity: Severity
    why: str
    bad: str
    good: str
    find: Callable[[Any], Iterator[Found]]

    def problems(self, survey: Survey) -> Iterator[Problem]:
        """Each place where it occurs, with a sentence."""
        places = survey.base.places
        for found in self.find(survey):
            spot = places.of(found.section, found.entry, *found.path)
            yield Problem(spot, found.sentence, self.id, self.severity)


def anomaly(
    severity: Severity, bad: str, good: str
) -> Callable[[Callable[[Any], Iterator[Found]]], Anomaly]:
    """Make an anomaly of a generator: its name is the id, its docstring says why it matters."""

    def made(find: Callable[[Any], Iterator[Found]]) -> Anomaly:
        why = " ".join((find.__doc__ or "").split())
        return Anomaly(find.__name__, severity, why, dedent(bad), dedent(good), find)

    return made
