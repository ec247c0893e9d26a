"""The phrases of a rule base, found in clauses in whatever order and form they are said.

A phrase is found where its words stand close together. Their order counts where a small word
('off', 'under') is among them; otherwise 'edge lifting' and 'lifting edge' are the same.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Literal

from diagnose.knowledge.base import Base
from diagnose.knowledge.panels import PANELS, sideless
from diagnose.knowledge.words.vocabulary import NOT, Clause, Vocabulary

REACH = 6
"""Words before a phrase within which a 'no' denies it."""

PLACE_REACH = 2
"""The same before a place: 'not the bonnet'."""

WHOLE = "."
"""What ends a phrase that says something only where nothing else stands in its clause."""

ANSWERED = (":", "?")
"""Stops after a phrase that let its answer follow: 'bubbles: none', 'brush wash? no'."""

ORDERED, MIXED = 3, 1
"""Other words that may stand among those of a phrase: said in its order, and in another."""

Forms = tuple[str, str]
"""What a word means, and what that is a kind of."""

Kind = Literal["symptom", "place", "answer", "topic", "side"]


@dataclass(frozen=True, slots=True)
class Means:
    """What a phrase says: a symptom, a place, an answer of a check, or what a check is about."""

    kind: Kind
    subject: str
    value: str = ""

    def order(self) -> tuple[str, str, str]:
        """One order for all that a phrase says."""
        return self.kind, self.subject, self.value


@dataclass(frozen=True, slots=True)
class Hit:
    """A phrase found in a clause: what it says, and the places of its words among the clause's."""

    means: Means
    at: tuple[int, ...]
    denied: bool

    @property
    def size(self) -> int:
        """How many words say it."""
        return len(self.at)

    def holds(self, first: int, after: int) -> bool:
        """Whether the words from one place up to another are all its own."""
        return set(range(first, after)) <= set(self.at)

    @property
    def about(self) -> tuple[Kind, str]:
        """What a longer phrase takes it from: the place, the symptom, the answer of one check."""
        its = self.means
        return its.kind, its.subject if its.kind in ("answer", "topic") else ""

    def within(self, other: Hit) -> bool:
        """Whether another phrase about the same says more with these words and others."""
        return self.about == other.about and set(self.at) < set(other.at)


class Lexicon:
    """The phrases of a rule base, ready to be found."""

    def __init__(self, base: Base) -> None:
        self.vocabulary = Vocabulary(base.words)
        self._setting = {check.id for check in base.checks.values() if check.setting}
        self._phrases: dict[tuple[str, ...], set[Means]] = defaultdict(set)
        self._whole: dict[tuple[str, ...], set[Means]] = defaultdict(set)
        for phrase, means in _said(base):
            for way in ways(phrase):
                found = self._whole if way.endswith(WHOLE) else self._phrases
                if self.says(way):
                    found[self.vocabulary.meant(way)].add(means)

    def says(self, way: str) -> bool:
        """Whether a phrase can be found: no stop in it; if it comes down to one word, that word."""
        words = self.vocabulary.meant(way)
        if len(words) == 1:
            return len(way.split()) == 1 or self.vocabulary.is_entry(way)
        return bool(words) and len(self.vocabulary.parts(way)) == 1

    @cached_property
    def _anchored(self) -> Mapping[str, Sequence[tuple[str, ...]]]:
        """Each phrase under the word of it that fewest phrases have."""
        common = Counter(word for words in self._phrases for word in set(words))
        found: dict[str, list[tuple[str, ...]]] = defaultdict(list)
        for words in self._phrases:
            found[min(words, key=lambda w: (common[w], w))].append(words)
        return found

    @cached_property
    def _place_words(self) -> frozenset[str]:
        """The words by which places and sides are called."""
        where = {
            words
            for words, its in self._phrases.items()
            if any(means.kind in ("place", "side") for means in its)
        }
        return frozenset(word for words in where for word in words)

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word of every phrase, as meant."""
        return frozenset(word for words in self._phrases for word in words)

    @cached_property
    def often(self) -> Mapping[str, int]:
        """How many phrases have each word, as meant."""
        return Counter(part for words in self._phrases for w in words for part in w.split("_"))

    def hits(self, clause: Clause, follows: str = "") -> list[Hit]:
        """The phrases found in a clause; `follows` is the first word of the next one."""
        there = {w.meant for w in clause.words} | {w.kind for w in clause.words}
        found = [
            Hit(means, at, self._denied(clause, means, at, follows))
            for word in sorted(there)
            for words in self._anchored.get(word, ())
            if there.issuperset(words)
            for at in self._places(clause, words)
            for means in sorted(self._phrases[words], key=Means.order)
        ]
        whole = tuple(range(len(clause.words)))
        found += [
            Hit(means, whole, False)
            for means in sorted(self._whole.get(clause.meant, ()), key=Means.order)
        ]
        return [
            hit
            for hit in found
            if not any(hit.within(other) or self._of_a_place(hit, other) for other in found)
        ]

    def _of_a_place(self, hit: Hit, other: Hit) -> bool:
        """Whether words that would say what was found only name a place: a fuel flap is no fuel."""
        where = other.means.kind == "place" or other.means.subject in self._setting
        found = hit.means.kind == "answer" and hit.means.subject not in self._setting
        return where and found and set(hit.at) < set(other.at)

    def _places(self, clause: Clause, words: tuple[str, ...]) -> Iterator[tuple[int, ...]]:
        """Where the words of a phrase stand close enough together, the closest only."""
        said = [(w.meant, w.kind) for w in clause.words]
        found = min(self._runs(said, words), key=lambda at: max(at) - min(at), default=None)
        if found is not None:
            yield found

    def _runs(self, said: Sequence[Forms], words: tuple[str, ...]) -> Iterator[tuple[int, ...]]:
        size = len(words)
        for start in (n for n, forms in enumerate(said) if words[0] in forms):
            at = _in_order(said, words, start)
            if at and self._between(said, at) <= (ORDERED if size > 1 else 0):
                yield at
        if 1 < size == len(set(words)) and not self._small(words) and NOT not in words:
            for start in range(len(said)):
                at = _mixed(said, words, range(start, min(start + size + MIXED, len(said))))
                if at:
                    yield at

    def _between(self, said: Sequence[Forms], at: Sequence[int]) -> int:
        """How many other words stand among those of a phrase; where it is on the car parts none."""
        others = (said[n][0] for n in range(at[0], at[-1]) if n not in at)
        return sum(word not in self._place_words for word in others)

    def _reach(self, means: Means) -> int:
        """How far before a phrase a 'no' denies it: what is not done at a door is a door still."""
        return PLACE_REACH if means.kind in ("place", "side") else REACH

    def _small(self, words: Sequence[str]) -> bool:
        """Whether the order of some words matters, for a small word is among them."""
        return any(part in self.vocabulary.little for word in words for part in word.split("_"))

    def _denied(self, clause: Clause, means: Means, at: tuple[int, ...], follows: str) -> bool:
        """Whether a 'no' that is not of the phrase stands before it, within it, or answers it."""
        meant = clause.meant
        for n in range(max(at) - 1, max(0, min(at) - self._reach(means)) - 1, -1):
            if meant[n] == NOT and n not in at:
                return True
            if n < min(at) and not self.vocabulary.no_further.isdisjoint(meant[n].split("_")):
                break
        return clause.stop in ANSWERED and max(at) == len(meant) - 1 and follows == NOT


def _in_order(said: Sequence[Forms], words: Sequence[str], start: int) -> tuple[int, ...]:
    at = [start]
    for word in words[1:]:
        following = next((n for n in range(at[-1] + 1, len(said)) if word in said[n]), None)
        if following is None:
            return ()
        at.append(following)
    return tuple(at)


def _mixed(said: Sequence[Forms], words: Sequence[str], window: range) -> tuple[int, ...]:
    """Where each word stands within a window, () where one does not."""
    at = {n for word in words for n in [n for n in window if word in said[n]][:1]}
    return tuple(sorted(at)) if len(at) == len(words) else ()


def ways(phrase: str) -> Iterator[str]:
    """Every way to say a phrase in which words with a stroke between stand for one another."""
    parts = [re.split(r"(?<=[^\W\d])/(?=[^\W\d])", word) for word in phrase.split()]
    return (" ".join(way) for way in product(*parts))


def _said(base: Base) -> Iterator[tuple[str, Means]]:
    """Every phrase of the rule base with what it says."""
    for check in base.checks.values():
        for value, phrases in check.phrases.items():
            for phrase in phrases:
                yield phrase, Means("answer", check.id, value)
    for symptom in base.symptoms.values():
        name = re.sub(r"\(.*?\)", "", symptom.name)
        for phrase in (name, symptom.id.replace("_", " "), *symptom.also_called, *symptom.phrases):
            yield phrase, Means("symptom", symptom.id)
    for place, name in PANELS.items():
        if place != "other":
            yield name.split(",")[0], Means("place", sideless(place))
    for place, phrases in base.words.places.items():
        for phrase in phrases:
            yield phrase, Means("place", place)
    for side, phrases in base.words.sides.items():
        for phrase in (side, *phrases):
            yield phrase, Means("side", side)
    for check_id, values in base.words.numbers.items():
        for value, phrases in values.items():
            for phrase in phrases:
                yield phrase, Means("answer", check_id, value)
    for topic, phrases in base.words.topics.items():
        for phrase in phrases:
            yield phrase, Means("topic", topic)
