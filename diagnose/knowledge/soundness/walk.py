"""A rule base walked: its sections, the parts of an entry, what a part refers to and asks for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any, get_args, get_type_hints

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Entry, RuleFile, ShownAnswers
from diagnose.knowledge.model.conditions import Condition
from diagnose.knowledge.model.words import To

Path = tuple[str | int, ...]


def _is_entry(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, Entry)


NAMED = tuple(
    name
    for name, field in RuleFile.model_fields.items()
    if any("id" in part.model_fields for part in get_args(field.annotation)[:1] if _is_entry(part))
)
"""The sections whose entries have ids."""


def referred(part: Entry) -> Iterator[tuple[str, str, Path]]:
    """Every id a part refers to, with the section it must be found in and where it stands."""
    for name, section in references(type(part)).items():
        value = getattr(part, name)
        if isinstance(value, str):
            yield section, value, (name,)
        elif value is not None:
            for number, item in enumerate(value):
                yield section, item, (name, item if isinstance(value, dict) else number)


@cache
def references(kind: type[Entry]) -> Mapping[str, str]:
    """The fields of a kind of entry that hold ids, each with the section that they are of.

    What may be a check as well as a measure is looked up where its row is judged.
    """
    hints = get_type_hints(kind, include_extras=True)
    found = {name: _section(hints[name]) for name in kind.model_fields}
    return {name: section for name, section in found.items() if section in NAMED}


def _section(hint: Any) -> str | None:
    """The section that a type says its ids are of: the first that it names."""
    for part in (*getattr(hint, "__metadata__", ()), *get_args(hint)):
        found = part.section if isinstance(part, To) else _section(part)
        if found:
            return found
    return None


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
    if isinstance(part, ShownAnswers):
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
