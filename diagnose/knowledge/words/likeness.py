"""How like a text is to what the rules say of each symptom, word for word.

Words count by how few symptoms have them (tf-idf, the cosine between the two; Salton & Buckley,
Information Processing & Management 24 (1988) 513-523). It decides between symptoms that are named
alike, and finds one where none is named; what it finds alone is never sure.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import zip_longest
from math import log, sqrt

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Symptom
from diagnose.knowledge.words.lexicon import ANSWERED
from diagnose.knowledge.words.vocabulary import NOT, Clause, Vocabulary, Word

NAMED, CALLED, LOOKS, SHOWS = 3.0, 2.0, 1.0, 0.5
"""How much a word counts in a name, in another name for it, in its look, in where and when."""

LEAST = 0.12
"""The cosine from which a text is like a symptom that it does not name."""


@dataclass(frozen=True)
class Like:
    """What a text is like: its words, and what each of them adds to the cosine of each symptom."""

    words: tuple[Word, ...]
    parts: Mapping[str, Mapping[str, float]]

    @cached_property
    def cosines(self) -> Mapping[str, float]:
        """The cosine between the text and each symptom that it shares a word with."""
        return {symptom: sum(its.values()) for symptom, its in self.parts.items()}

    def cosine(self, symptom: str) -> float:
        """How like the text is to a symptom, from 0 to 1."""
        return self.cosines.get(symptom, 0.0)

    def likest(self, symptom: str) -> tuple[Word, ...]:
        """The few words that make the text like a symptom, the best first."""
        its = self.parts[symptom]
        best = sorted(its, key=lambda word: (-its[word], word))[:3]
        return tuple(next(w for w in self.words if w.meant == word) for word in best)


class Likeness:
    """The words of every symptom, weighed."""

    def __init__(self, base: Base, vocabulary: Vocabulary) -> None:
        self._small = vocabulary.little | {NOT}
        said = {s.id: _counted(vocabulary, s) for s in base.symptoms.values()}
        has = Counter(word for words in said.values() for word in words)
        self._rarity = {word: log(1 + len(said) / count) for word, count in has.items()}
        self._with: dict[str, dict[str, float]] = defaultdict(dict)
        for symptom, words in said.items():
            weighed = self._unit(words)
            for word, weight in weighed.items():
                self._with[word][symptom] = weight

    def _unit(self, words: Mapping[str, float]) -> Mapping[str, float]:
        found = {w: log(1 + n) * self._rarity[w] for w, n in words.items() if w in self._rarity}
        size = sqrt(sum(x * x for x in found.values())) or 1.0
        return {word: x / size for word, x in found.items()}

    def of(self, clauses: Sequence[Clause]) -> Like:
        """What a text is like."""
        words = tuple(w for w in _affirmed(clauses) if w.meant not in self._small)
        parts: dict[str, dict[str, float]] = defaultdict(dict)
        for word, weight in self._unit(Counter(word.meant for word in words)).items():
            for symptom, other in self._with[word].items():
                parts[symptom][word] = weight * other
        return Like(words, parts)


def _affirmed(clauses: Sequence[Clause]) -> Iterator[Word]:
    """The words of the clauses in which nothing is denied, nor answered with 'no'."""
    for clause, after in zip_longest(clauses, clauses[1:]):
        answered = clause.stop in ANSWERED and after is not None and after.meant[0] == NOT
        if NOT not in clause.meant and not answered:
            yield from clause.words


def _counted(vocabulary: Vocabulary, symptom: Symptom) -> Mapping[str, float]:
    found: dict[str, float] = defaultdict(float)
    for part, weight in (
        (symptom.name, NAMED),
        *((words, CALLED) for words in (*symptom.also_called, *symptom.phrases)),
        (symptom.look, LOOKS),
        (symptom.where, SHOWS),
        (symptom.appears, SHOWS),
    ):
        for word in vocabulary.meant(part):
            found[word] += weight
    return found
