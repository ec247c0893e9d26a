"""Finding an entry by any word for it: what both faces search in, and what stands first."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.knowledge.model import Symptom
from diagnose.report.style import clean


@dataclass(frozen=True, slots=True)
class Item:
    """Something to find: its id, its name, its group, and the folded words it is found by.

    `called`: other names for it, which count for more than the words that describe it.
    """

    id: str
    name: str
    group: str
    words: str
    called: tuple[str, ...] = ()


def symptom_item(symptom: Symptom) -> Item:
    """A symptom, found by its name, by the words used at the counter, and by its look."""
    words = " | ".join((symptom.name, symptom.id, *symptom.also_called, symptom.look)).casefold()
    return Item(symptom.id, symptom.name, symptom.group, words, symptom.also_called)


def search(items: Iterable[Item], text: str) -> list[Item]:
    """The items in which every part of a text is found, the best first; all for an empty text."""
    wanted = clean(text).casefold()
    parts = wanted.split()
    found = [item for item in items if all(part in item.words for part in parts)]
    return sorted(found, key=lambda item: _rank(item, parts)) if parts else found


def _rank(item: Item, parts: list[str]) -> int:
    """How well an item fits: what it is called comes before what is said of it."""
    name, *called = (words.casefold() for words in (item.name, *item.called))
    wanted = " ".join(parts)
    ways = [
        name.startswith(wanted),
        wanted in called,
        _whole(name, parts),
        any(_whole(words, parts) for words in called),
        _begun(name, parts),
        any(_begun(words, parts) for words in called),
    ]
    return next((n for n, fits in enumerate(ways) if fits), len(ways))


def _whole(words: str, parts: list[str]) -> bool:
    return set(parts) <= set(_split(words))


def _begun(words: str, parts: list[str]) -> bool:
    return all(any(word.startswith(part) for word in _split(words)) for part in parts)


def _split(words: str) -> list[str]:
    """The words of a name, without brackets and commas; a hyphen does not part a word."""
    return re.findall(r"[^\s(),.;:/]+", words)
