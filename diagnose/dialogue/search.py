"""Finding an entry by any word for it: what both faces search in, and what stands first."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Symptom
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.words.places import places_called
from diagnose.knowledge.words.understanding import Understanding
from diagnose.typed import clean


@dataclass(frozen=True, slots=True)
class SearchItem:
    """Something to find: its id, its name, its group, and the folded words it is found by.

    `called`: other names for it, which count for more than the words that describe it; `means`: the
    symptom or place that it stands for, by which it is found in other words than its own.
    """

    id: str
    name: str
    group: str
    words: str
    called: tuple[str, ...] = ()
    means: str = ""


SENTENCE = 3
"""From so many words on a text is read for what it means before its letters are looked for."""

SAID, OTHERS = "As you said", "Other places"
"""The groups of places where something was said of the place."""

Find = Callable[[Sequence["SearchItem"], str], list["SearchItem"]]
"""Finds items by a text, the best first."""


def symptom_item(symptom: Symptom) -> SearchItem:
    """A symptom, found by its name, by the words used at the counter, and by its look."""
    words = " | ".join((symptom.name, symptom.id, *symptom.also_called, symptom.look)).casefold()
    return SearchItem(
        symptom.id, symptom.name, symptom.group, words, symptom.also_called, symptom.id
    )


def symptom_items(base: Base, said: Sequence[str] = ()) -> list[SearchItem]:
    """Every symptom to be found, by group; those that a person may have meant stand first."""
    items = {s.id: symptom_item(s) for s in by_group(base)}
    first = [replace(items.pop(name), group=SAID) for name in said]
    return [*first, *items.values()]


def by_group(base: Base) -> list[Symptom]:
    """The symptoms, the group with most causes behind it first."""
    behind = Counter[str]()
    for symptom in base.symptoms.values():
        behind[symptom.group] += len(base.behind(symptom.id))
    return sorted(base.symptoms.values(), key=lambda s: (-behind[s.group], s.group))


def in_groups(base: Base) -> list[Symptom]:
    """The symptoms in the order of the files; a group stands where its first one does."""
    first = {symptom.group: at for at, symptom in reversed(list(enumerate(base.symptoms.values())))}
    return sorted(base.symptoms.values(), key=lambda symptom: first[symptom.group])


def place_items(base: Base, said: Sequence[str] = ()) -> list[SearchItem]:
    """Every place, found by its name and by the words of another country.

    Those that a person `said`, or may have meant, stand first.
    """
    called = places_called(base.words)
    groups = (SAID, OTHERS) if said else ("", "")
    return [
        SearchItem(
            panel, name, groups[panel not in said], f"{name} {panel}".casefold(), words, panel
        )
        for panel, name in places_in_order(said)
        for words in [called.get(panel, ())]
    ]


def places_in_order(said: Sequence[str]) -> list[tuple[str, str]]:
    """Every place with its name, those that were said first."""
    first = [(panel, PANELS[panel]) for panel in said]
    return [*first, *((panel, name) for panel, name in PANELS.items() if panel not in said)]


def named_symptom(base: Base, find: Find, text: str) -> str:
    """The symptom that a name, or a single word, alone says; '' for anything longer."""
    symptoms = list(base.symptoms.values())
    folded = " ".join(text.casefold().split())
    exact = [s.id for s in symptoms if folded in (s.id, s.name.casefold(), s.id.replace("_", " "))]
    if exact or " " in folded:
        return next(iter(exact), "")
    found = find([symptom_item(s) for s in symptoms], text)
    return found[0].id if len(found) == 1 else ""


class Search:
    """Finds items by the letters typed so far, then by what the words mean."""

    def __init__(self, understanding: Callable[[], Understanding]) -> None:
        """`understanding` is called once somebody types, for it is slow to make."""
        self._understanding = understanding
        self._meant: dict[str, frozenset[str]] = {}

    def __call__(self, items: Sequence[SearchItem], text: str) -> list[SearchItem]:
        """The items that a text finds, the best first; all for an empty text."""
        found = search(items, text)
        if found and len(text.split()) < SENTENCE:
            return found
        meant = self._by_meaning(items, text)
        return [*meant, *(item for item in found if item not in meant)]

    def one(self, items: Sequence[SearchItem], text: str) -> SearchItem | None:
        """The one item that a text means: the only one, or the one of which it says every word."""
        found = self(items, text)
        words = set(_split(text.casefold()))
        same = [
            item
            for item in found
            if words in [set(_split(name.casefold())) for name in (item.name, *item.called)]
        ]
        return found[0] if len(found) == 1 else same[0] if len(same) == 1 else None

    def _by_meaning(self, items: Sequence[SearchItem], text: str) -> list[SearchItem]:
        """Those that a person who says this would mean: other words, other order, slips."""
        understood = self._understanding().read(text)
        said = (*understood.symptoms, *understood.places)
        named = [str(value) for p in said for value in (p.value, *p.others)]
        found = [item for name in named for item in items if item.means == name]
        return found or [item for item in items if self._has(item, text)]

    def _has(self, item: SearchItem, text: str) -> bool:
        """Whether everything that is said is said of the item, in whatever form."""
        read = self._understanding()
        wanted = {w.meant for c in read.clauses(text) for w in c.words}
        if item.words not in self._meant:
            self._meant[item.words] = frozenset(read.vocabulary.meant(item.words))
        return bool(wanted) and wanted <= self._meant[item.words]


def search(items: Iterable[SearchItem], text: str) -> list[SearchItem]:
    """The items in which every part of a text is found, the best first; all for an empty text."""
    wanted = clean(text).casefold()
    parts = wanted.split()
    found = [item for item in items if all(part in _all(item) for part in parts)]
    return sorted(found, key=lambda item: _rank(item, parts)) if parts else found


def _all(item: SearchItem) -> str:
    return " | ".join((item.words, *item.called)).casefold()


def _rank(item: SearchItem, parts: list[str]) -> int:
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
