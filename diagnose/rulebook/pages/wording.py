"""Names, conditions and strengths in the words of a page, with links to what they name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import UNSOURCED, Cause, Entry, Sign
from diagnose.knowledge.model.conditions import Condition, NoneOf, OneOf, Test
from diagnose.knowledge.soundness.anomaly import Survey
from diagnose.knowledge.soundness.walk import NAMED, referred, subjects_of
from diagnose.reasoning.evidence.tables import Tables, decibans, tables
from diagnose.reasoning.explanation import explain
from diagnose.reasoning.questions.choose import Chooser
from diagnose.reasoning.questions.question import Asked, Question
from diagnose.rulebook.pages.page import Block, ItemList, Ref, Words, joined

KINDS = {
    "symptoms": "symptom",
    "causes": "cause",
    "checks": "check",
    "measures": "measure",
    "findings": "finding",
    "remedies": "remedy",
    "payers": "payer",
    "cautions": "caution",
    "sources": "source",
}
"""The sections that have pages, and the word for an entry of each."""

UNSOURCED_WORDS = {
    "common-practice": "common practice",
    "memory": "from memory",
    "derived": "derived here",
}


def weight(decibans: float) -> str:
    """What an answer weighs for or against, to a tenth, as no row is judged more finely."""
    return "under 0.1 dB" if abs(decibans) < 0.05 else f"{abs(decibans):.1f} dB"


class Library:
    """A base with its entries by id, in words, and with what refers to each."""

    def __init__(self, base: Base) -> None:
        self.base = base
        self._tables: dict[str, Tables] = {}

    @cached_property
    def section(self) -> Mapping[str, str]:
        """The section of each entry that has a page."""
        return {name: s for s in KINDS for name in getattr(self.base, s)}

    def name(self, entry: str) -> str:
        """The words for an entry."""
        found = getattr(self.base, self.section[entry])[entry]
        return str(getattr(found, "name", None) or found.title)

    def ref(self, entry: str) -> Ref:
        """A mention of an entry by its name."""
        return Ref(entry, self.name(entry))

    def refs(self, entries: Sequence[str]) -> Words:
        """Mentions of several entries."""
        return joined([(self.ref(e),) for e in entries])

    def symptoms(self, named: Sequence[str]) -> Words:
        """Symptoms and groups of them."""
        return joined([(self.ref(n) if n in self.base.symptoms else n,) for n in named])

    def kinds_of_place(self, named: Sequence[str]) -> Words:
        """Kinds of places of a car."""
        return joined([(self.base.place_kinds[kind].name.lower(),) for kind in named])

    def place(self, entry: str) -> str:
        """Where an entry stands, as file:line."""
        spot = self.base.places.of(self.section[entry], entry)
        other = self.base.places.changed(self.section[entry], entry)
        changed = f", changed in {other.file}:{other.line}" if other else ""
        return f"{spot.file}:{spot.line}{changed}"

    def sources(self, cited: Sequence[str]) -> Words:
        """The sources of a statement."""
        return joined([(UNSOURCED_WORDS[s],) if s in UNSOURCED else (Ref(s, s),) for s in cited])

    def condition(self, condition: Condition | None) -> Words:
        """A condition as a reader says it."""
        if condition is None:
            return ()
        return joined([self._test(test) for test in condition.tests], "; and ")

    def _test(self, test: Test) -> Words:
        return (self.ref(test.subject), f": {explain.wanted_words(self.base, test)}")

    def says(self, subject: str, word: str) -> str:
        """An answer in words."""
        return explain.value_words(self.base, subject, word)

    def strength(self, cause: Cause, sign: Sign) -> str:
        """The strength of a sign with its number."""
        return f"{sign.strength} ({weight(self.decibans(cause, sign))})"

    def decibans(self, cause: Cause, sign: Sign) -> float:
        """What a sign weighs, negative against; of what a row says of several answers the most."""
        test = sign.when.only()
        row = self.base.rows(cause).get(test.subject) if test else None
        if row is None:
            return decibans(self.base, sign)
        return max((row.decibans[c] for c, its in enumerate(row.signs) if its is sign), key=abs)

    def first_questions(self, symptom: str) -> tuple[Question, ...]:
        """What would be asked of a symptom while nothing is known, best first."""
        chooser = Chooser(self.base, self._table(symptom))
        return chooser.choose(Asked({}, frozenset())).questions

    def _table(self, symptom: str) -> Tables:
        if symptom not in self._tables:
            self._tables[symptom] = tables(self.base, symptom)
        return self._tables[symptom]

    @cached_property
    def referring(self) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
        """For each entry, by section, the entries that refer to it."""
        found: dict[str, dict[str, list[str]]] = {}
        for section, name, _, part in Survey(self.base).walked:
            for target in _mentions(part, self.base):
                into = found.setdefault(target, {}).setdefault(section, [])
                if name != target and name not in into:
                    into.append(name)
        return {t: {s: tuple(names) for s, names in by.items() if names} for t, by in found.items()}

    def referrers(self, entry: str) -> Block:
        """What refers to an entry, by kind."""
        by = self.referring.get(entry, {})
        items = tuple(self._referring(s, by[s]) for s in NAMED if s in by)
        return Block("Referred to by", ItemList(items))

    def _referring(self, section: str, names: Sequence[str]) -> Words:
        label = section.replace("_", " ")
        if section in KINDS:
            return (f"{label}: ", *self.refs(names))
        return (f"{label}: ", ", ".join(names))


def _mentions(part: Entry, base: Base) -> Iterator[str]:
    yield from (name for _, name, _ in referred(part))
    yield from (s for s in getattr(part, "source", ()) if s in base.sources)
    yield from subjects_of(part)
    for value in getattr(part, "inputs", {}).values():
        if isinstance(value, str) and value in base.observables:
            yield value


def names_answer(test: Test | None, word: str) -> bool:
    """Whether a test on a choice holds for an answer."""
    if isinstance(test, OneOf):
        return word in test.words
    return isinstance(test, NoneOf) and word not in test.words
