"""Which words of people found no home in the rule base, counted over cases."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.words.vocabulary import NOT, Vocabulary
from diagnose.records.case.journal import Case

FACT = "not_understood"
"""The fact of a case that holds what found no home, a line for each part."""


@dataclass(frozen=True, slots=True)
class Lacking:
    """A word that was said and not understood: in how many cases, and how it was said last."""

    word: str
    cases: int
    said: str


def lacking(base: Base, cases: Iterable[Case]) -> tuple[Lacking, ...]:
    """The words that the base lacks, those of most cases first; forms of a word are one."""
    vocabulary = Vocabulary(base.words)
    small = vocabulary.little | {NOT}
    count: Counter[str] = Counter()
    forms: dict[str, Counter[str]] = defaultdict(Counter)
    said: dict[str, str] = {}
    for case in cases:
        here: dict[str, str] = {}
        for part in case.facts.get(FACT, "").split("\n"):
            for word in (w for c in vocabulary.clauses(part) for w in c.words):
                if word.meant not in small and word.text.isalpha():
                    here[word.meant] = part
                    forms[word.meant][word.text.casefold()] += 1
        count.update(here.keys())
        said |= here
    found = (Lacking(_usual(forms[word]), count[word], said[word]) for word in count)
    return tuple(sorted(found, key=lambda its: (-its.cases, its.word)))


def _usual(forms: Counter[str]) -> str:
    """The form that is said most, of several the first of the alphabet."""
    return min(forms, key=lambda form: (-forms[form], form))
