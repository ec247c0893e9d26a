"""What the evidence supports: the engine as judge of a belief, kept ready for many items."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answers, known
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND, Values
from diagnose.knowledge.model.words import UNLISTED
from diagnose.knowledge.soundness.walk import reached
from diagnose.knowledge.words.understanding import Understanding
from diagnose.measures.quantity import Quantity
from diagnose.practice.items.bank import PracticeItem
from diagnose.practice.session.belief import Belief, evenly, named_first
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.columns import Columns, columns, with_measures
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.state import Pair, State
from diagnose.reasoning.payer import pays


@dataclass(frozen=True, slots=True)
class Sound:
    """The answer that the evidence leads to: cause, first remedy that is not barred, payer."""

    cause: str
    remedy: str
    payer: str


class Judge:
    """Says what answers support; keeps the matrices and what it has reckoned."""

    def __init__(self, reasoner: Reasoner) -> None:
        self.reasoner = reasoner
        self._matrices: dict[str, Matrix] = {}
        self._values: dict[str, Values] = {}
        self._full: dict[str, Belief] = {}
        self._heard: dict[str, Answers] = {}
        self._speaking: dict[str, frozenset[str]] = {}

    @property
    def base(self) -> Base:
        """The rule base in use."""
        return self.reasoner.base

    def usual(self, symptom: str) -> Belief:
        """How common each cause is behind a symptom, before any answer."""
        table = self.reasoner.table(symptom)
        return dict(zip(self.causes(symptom), table.priors, strict=True))

    def causes(self, symptom: str) -> tuple[str, ...]:
        """The causes behind a symptom and, last, the unlisted one."""
        return (*(cause.id for cause in self.reasoner.table(symptom).causes), UNLISTED)

    def supported(self, symptom: str, answers: Answers) -> Belief:
        """What answers support: the probability of each cause behind the symptom."""
        told = self.base.known_at(symptom, known(answers))
        table = with_measures(self.base, columns(self.base, [told]))
        scores = self._matrix(symptom).score(table).probabilities[0]
        return dict(zip(self.causes(symptom), map(float, scores), strict=True))

    def _matrix(self, symptom: str) -> Matrix:
        if symptom not in self._matrices:
            self._matrices[symptom] = self.reasoner.matrix(symptom)
        return self._matrices[symptom]

    def full(self, item: PracticeItem) -> Belief:
        """What the whole record of an item supports."""
        if item.id not in self._full:
            self._full[item.id] = self.supported(item.symptom, item.record)
        return self._full[item.id]

    def sound(self, item: PracticeItem) -> bool:
        """Whether the whole record leads to a confirmed cause."""
        return named_first(self.full(item)) in item.right

    def truth(self, item: PracticeItem) -> Belief:
        """What was confirmed; several causes share evenly."""
        behind = self.causes(item.symptom)
        return evenly(cause for cause in item.right if cause in behind)

    @cached_property
    def _understanding(self) -> Understanding:
        return Understanding(self.base)

    def heard(self, item: PracticeItem) -> Answers:
        """What the customer's own words tell of the record, for one who listens.

        Words that the record does not bear out are no evidence.
        """
        if item.id not in self._heard:
            found = self._understanding.read(item.facts.get("remark", "")).answers
            told = {p.subject: p.value for p in found}
            self._heard[item.id] = {
                check: answer
                for check, answer in told.items()
                if answer is not UNKNOWN and answer == item.record.get(check)
            }
        return self._heard[item.id]

    def speaking(self, item: PracticeItem) -> frozenset[str]:
        """The checks of a record whose answers speak for what it was."""
        if item.id not in self._speaking:
            full = self.reasoner.differential(AnsweredComplaint(item.symptom, item.record))
            weights = [w for c in item.right if c in self.base.causes for w in full.of(c).weights]
            said = [subject for w in weights if w.decibans > 0 for subject in w.subjects]
            self._speaking[item.id] = reached(self.base, said) & set(item.record)
        return self._speaking[item.id]

    def warranted(self, item: PracticeItem, answers: Answers) -> Belief:
        """What one who has these answers of an item, and heard its customer, ought to believe.

        Where even the whole record does not lead to what was confirmed, the engine is no judge of
        the item, and what was confirmed stands instead.
        """
        if not self.sound(item):
            return self.truth(item)
        return self.supported(item.symptom, {**self.heard(item), **answers})

    def values(self, item: PracticeItem) -> Values:
        """All that follows from the record: answers, measures and findings."""
        if item.id not in self._values:
            self._values[item.id] = self._follow(item)
        return self._values[item.id]

    def _follow(self, item: PracticeItem) -> Values:
        answers = self.base.known_at(item.symptom, known(item.record))
        table = with_measures(self.base, columns(self.base, [answers]))
        found = State(self.base, table).findings()
        return {**_measured(self.base, table), **answers, **_findings(found)}

    def contradicted(self, item: PracticeItem) -> frozenset[str]:
        """The contradictions in a record, by id."""
        values = self.values(item)
        return frozenset(c.id for c in self.base.contradictions.values() if c.when.holds(values))

    def answer(self, item: PracticeItem) -> Sound:
        """The answer that the whole record leads to."""
        cause = named_first(self.full(item))
        values = self.values(item)
        return Sound(cause, self.remedy(cause, values), self.payer(cause, values))

    def remedy(self, cause: str, values: Values) -> str:
        """The first remedy of a cause that these values do not bar; '' for the unlisted one."""
        found = self.base.causes.get(cause)
        for remedy in found.remedies if found else ():
            bars = self.base.remedies[remedy].barred_when
            if not any(bar.when.holds(values) for bar in bars):
                return remedy
        return ""

    def payer(self, cause: str, values: Values) -> str:
        """Who pays if it is this cause; '' for the unlisted one."""
        found = self.base.causes.get(cause)
        return pays(found, values).payer if found else ""


def _measured(base: Base, table: Columns) -> Values:
    """The measures of the one row of a table."""
    words = {
        name: base.measures[name].labels[codes[0]]
        for name, codes in table.choices.items()
        if name in base.measures and codes[0] >= 0
    }
    ranges = {
        name: Quantity(float(low[0]), float(high[0]))
        for name, (low, high) in table.numbers.items()
        if name in base.measures and low[0] == low[0]
    }
    return {**words, **ranges}


def _findings(found: Mapping[str, Pair]) -> Values:
    """The findings of one row that are settled either way."""
    here = {name: FOUND for name, (yes, _) in found.items() if yes[0]}
    return {**here, **{name: NOT_FOUND for name, (_, no) in found.items() if no[0]}}
