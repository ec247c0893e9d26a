"""A rule base walked: its sections, the parts of an entry, what a part refers to and asks for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Entry, Shown
from diagnose.knowledge.model.conditions import Condition

Path = tuple[str | int, ...]

NAMED = (
    "sources",
    "symptoms",
    "checks",
    "measures",
    "findings",
    "causes",
    "remedies",
    "payers",
    "cautions",
    "contradictions",
    "aftermath",
    "papers",
    "work_steps",
    "place_kinds",
)
"""The sections whose entries have ids."""


_ONE = {"symptom": "symptoms", "check": "checks", "remedy": "remedies", "payer": "payers"}
_MANY = {
    "behind": "symptoms",
    "at": "symptoms",
    "tempts_at": "symptoms",
    "remedies": "remedies",
    "also": "remedies",
    "instead": "remedies",
    "spoils": "remedies",
    "cautions": "cautions",
    "causes": "causes",
    "symptoms": "symptoms",
    "prevents": "causes",
    "answered": "checks",
    "not_on": "place_kinds",
}


def referred(part: Entry) -> Iterator[tuple[str, str, Path]]:
    """Every id a part refers to, with the section it must be found in and where it stands."""
    for name, value in part:
        if isinstance(part, Shown) and name == "check":
            continue  # a check or a measure
        if name in _ONE and isinstance(value, str):
            yield _ONE[name], value, (name,)
        elif name in _MANY and isinstance(value, tuple | dict):
            for number, item in enumerate(value):
                yield _MANY[name], item, (name, item if isinstance(value, dict) else number)


def parts(entry: Entry, path: Path = ()) -> Iterator[tuple[Path, Entry]]:
    """An entry and every entry inside it, with the way to it."""
    yield path, entry
    for name, value in entry:
        if isinstance(value, Entry):
            yield from parts(value, (*path, name))
        elif isinstance(value, tuple):
            for number, item in enumerate(value):
                if isinstance(item, Entry):
                    yield from parts(item, (*path, name, number))


def conditions_of(part: Entry) -> Iterator[tuple[str, Condition]]:
    """The conditions of a part, by the field in which they stand."""
    return ((name, value) for name, value in part if isinstance(value, Condition))


def subjects_of(part: Entry) -> Iterator[str]:
    """What a part reads: the subjects of its conditions, and what its row is on."""
    for _, condition in conditions_of(part):
        yield from condition.subjects()
    if isinstance(part, Shown):
        yield part.check


def below(base: Base, name: str) -> list[str]:
    """What a finding or a measure rests on directly; nothing for a check."""
    if name in base.findings:
        return [s for rule in base.findings[name].rules for s in rule.when.subjects()]
    if name in base.measures:
        its = base.measures[name].inputs.values()
        return [v for v in its if isinstance(v, str) and v in base.observables]
    return []


def reached(base: Base, subjects: Iterable[str]) -> frozenset[str]:
    """These subjects and, through findings and measures, all that they rest on."""
    found: set[str] = set()
    waiting = list(subjects)
    while waiting:
        subject = waiting.pop()
        if subject not in found:
            found.add(subject)
            waiting += below(base, subject)
    return frozenset(found)
