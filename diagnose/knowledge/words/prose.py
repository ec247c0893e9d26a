"""All that a rule base says in prose: the words that can be known at all."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Entry


def texts_of(base: Base) -> Iterator[str]:
    """All that a rule base says in prose."""
    for section in (base.symptoms, base.checks, base.causes, base.remedies, base.findings):
        for entry in section.values():
            yield from _texts(entry)


def _texts(part: object) -> Iterator[str]:
    if isinstance(part, str):
        yield part
    elif isinstance(part, Entry):
        for _, value in part:
            yield from _texts(value)
    elif isinstance(part, tuple | list):
        for value in part:
            yield from _texts(value)
    elif isinstance(part, dict):
        for value in part.values():
            yield from _texts(value)
