"""From answers to measures, findings and signs, by forward chaining.

The productions are made from the rule base alone; none is written here. Every firing keeps what it
matched, and that record is the explanation: nothing is reconstructed afterwards.

Layers: measures (by how deep they rest on each other), findings (likewise; what refutes one, then
that it is not found), then signs, rule-outs and contradictions.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Contradiction, FindingRule, MeasureUse, RuleOut, Sign
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND, Condition, Test, Value, Values
from diagnose.measures.evaluate import evaluate
from diagnose.measures.registry import MEASURES
from diagnose.reasoning.evidence.engine import (
    AllAnswers,
    Derive,
    Firing,
    Machine,
    Pattern,
    Production,
    WorkingFact,
    has,
    in_order,
)
from diagnose.reasoning.evidence.measure_inputs import fits, inputs, needed

MEASURE, FINDING, SIGN = 10, 100, 1000
"""First layer of each part."""


@dataclass(frozen=True)
class MeasuredValue(WorkingFact):
    """A measure has this value."""

    id: str
    value: Value


@dataclass(frozen=True)
class Silent(WorkingFact):
    """A measure had its inputs and could not be told."""

    id: str
    reason: str


@dataclass(frozen=True)
class FindingState(WorkingFact):
    """A finding is found, or is not."""

    id: str
    state: str


@dataclass(frozen=True)
class Refuted(WorkingFact):
    """A rule of a finding definitely does not hold."""

    id: str
    rule: int


@dataclass(frozen=True, slots=True)
class Held:
    """A statement whose condition held, with the values that it matched."""

    owner: str
    number: int
    statement: Sign | RuleOut | Contradiction | FindingRule
    matched: Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Trace:
    """What followed from the answers to a complaint.

    `values` holds every known value: answers, measures, findings. `silent_measures` are those that
    had their inputs but could not be told, with the reason.
    """

    symptom: str
    values: Values
    signs: tuple[Held, ...]
    ruled_out: tuple[Held, ...]
    findings: tuple[Held, ...]
    contradictions: tuple[Held, ...]
    silent_measures: Mapping[str, str]
    firings: tuple[Firing, ...]


class Ground:
    """What is alike at every symptom, made once for a rule base.

    Measures and findings are derived alike, and the same answers contradict each other.
    """

    def __init__(self, base: Base) -> None:
        self._base = base
        self._depth = depths(base)
        self.statements: dict[str, Held] = {}
        self._machine = Machine(tuple(self._productions()))

    def run(self, answers: AllAnswers) -> tuple[Firing, ...]:
        """The firings of measures, of findings, then of contradictions."""
        return self._machine.run([answers])

    def _productions(self) -> Iterator[Production]:
        for use in self._base.measures.values():
            yield self._measure(use)
        for finding in self._base.findings.values():
            yield from self._finding(finding.id, finding.rules)
        for its in self._base.contradictions.values():
            yield from stated(self._base, self.statements, "contradiction", its.id, (its,))

    def _finding(self, finding: str, rules: Sequence[FindingRule]) -> Iterator[Production]:
        layer = FINDING + 2 * self._depth[finding]
        for number, rule in enumerate(rules):
            name = f"finding {finding} {number:03}"
            self.statements[name] = Held(finding, number, rule, {})
            found = FindingState(finding, FOUND)
            yield Production(name, layer, patterns(self._base, rule.when), _always(found))
            refuted = _always(Refuted(finding, number))
            for test in rule.when.tests:
                opposite = pattern(self._base, test, holds=False)
                yield Production(f"refuted {name} {test.subject}", layer, (opposite,), refuted)
        all_refuted = tuple(has(Refuted, id=finding, rule=n) for n in range(len(rules)))
        absent = FindingState(finding, NOT_FOUND)
        yield Production(f"not {finding}", layer + 1, all_refuted, _always(absent))

    def _measure(self, use: MeasureUse) -> Production:
        names = needed(self._base, use)
        answered = {n: _taken(self._base, use, n) for n in names if n in self._base.checks}
        computed = [n for n in names if n in self._base.measures]
        matches = [has(AllAnswers, **answered)]
        matches += [has(MeasuredValue, id=n, value=_taken(self._base, use, n)) for n in computed]
        layer = MEASURE + self._depth[use.id]
        return Production(f"measure {use.id}", layer, tuple(matches), measuring(self._base, use))


class Chain:
    """The evidence rules of one symptom, ready to run; `ground` where it is made already."""

    def __init__(self, base: Base, symptom: str, ground: Ground | None = None) -> None:
        self._base = base
        self._symptom = symptom
        self._ground = ground or Ground(base)
        self._statements: dict[str, Held] = {}
        self._machine = Machine(tuple(self._productions()))

    def run(self, values: Values) -> Trace:
        """Everything that follows from the known answers and from what the symptom is.

        No measure and no finding rests on a sign, so these are derived first and handed on.
        """
        seen = dict(self._base.known_at(self._symptom, values))
        answers = AllAnswers(dict(seen))
        below = self._ground.run(answers)
        derived = [fact for firing in below for fact in firing.derived]
        own = self._machine.run([answers, *derived])
        firings = tuple(sorted((*below, *own), key=in_order))
        silent: dict[str, str] = {}
        for fact in (fact for firing in firings for fact in firing.derived):
            match fact:
                case MeasuredValue(name, value):
                    seen[name] = value
                case Silent(name, reason):
                    silent[name] = reason
                case FindingState(name, state):
                    seen[name] = state
        held = [its for firing in firings if (its := self._held(firing.name, seen))]
        return Trace(
            symptom=self._symptom,
            values=seen,
            signs=tuple(h for h in held if isinstance(h.statement, Sign)),
            ruled_out=tuple(h for h in held if isinstance(h.statement, RuleOut)),
            findings=tuple(h for h in held if isinstance(h.statement, FindingRule)),
            contradictions=tuple(h for h in held if isinstance(h.statement, Contradiction)),
            silent_measures=silent,
            firings=firings,
        )

    def _held(self, name: str, seen: Values) -> Held | None:
        """The statement behind a rule, if any, with the values of the subjects that it matched."""
        known = self._statements.get(name) or self._ground.statements.get(name)
        if known is None:
            return None
        subjects = known.statement.when.subjects()
        matched = {subject: seen[subject] for subject in subjects}
        return Held(known.owner, known.number, known.statement, matched)

    def _productions(self) -> Iterator[Production]:
        base, known = self._base, self._statements
        for cause in base.behind(self._symptom):
            yield from stated(base, known, "sign", cause.id, cause.signs)
            outs = base.rule_outs(cause, self._symptom)
            yield from stated(base, known, "out", cause.id, outs)
        for its in base.seen_otherwise(self._symptom):
            yield from stated(base, known, "contradiction", its.id, (its,))


def stated(
    base: Base, known: dict[str, Held], part: str, owner: str, statements: Sequence[Any]
) -> Iterator[Production]:
    """Rules that derive nothing and are only told; each is put among the `known` by its name."""
    for number, statement in enumerate(statements):
        name = f"{part} {owner} {number:03}"
        known[name] = Held(owner, number, statement, {})
        yield Production(name, SIGN, patterns(base, statement.when), _nothing)


def patterns(base: Base, condition: Condition) -> tuple[Pattern, ...]:
    """A condition as patterns: all tests on answers in one, each measure and finding its own."""
    on_answers = {t.subject: _holding(t, True) for t in condition.tests if t.subject in base.checks}
    others = [pattern(base, t) for t in condition.tests if t.subject not in base.checks]
    return ((has(AllAnswers, **on_answers),) if on_answers else ()) + tuple(others)


def pattern(base: Base, test: Test, holds: bool = True) -> Pattern:
    """A single test as a pattern; with `holds` False, that it definitely does not hold."""
    predicate = _holding(test, holds)
    if test.subject in base.checks:
        return has(AllAnswers, **{test.subject: predicate})
    if test.subject in base.findings:
        return has(FindingState, id=test.subject, state=predicate)
    return has(MeasuredValue, id=test.subject, value=predicate)


@cache
def _holding(test: Test, wanted: bool) -> Any:
    """One and the same for equal tests: the engine then looks once for all that ask it."""
    return lambda value: test.holds(value) is wanted


def _always(fact: WorkingFact) -> Derive:
    return lambda matched: (fact,)


def _nothing(matched: tuple[WorkingFact, ...]) -> tuple[WorkingFact, ...]:
    return ()


def _taken(base: Base, use: MeasureUse, source: str) -> Any:
    return lambda value: fits(base, use, source, value)


def measuring(base: Base, use: MeasureUse) -> Derive:
    """What a measure's production derives: its value, or why it has none."""
    measure = MEASURES[use.function]

    def derive(matched: tuple[WorkingFact, ...]) -> tuple[WorkingFact, ...]:
        values: dict[str, Value] = {}
        for fact in matched:
            match fact:
                case AllAnswers(answers):
                    values.update(answers)
                case MeasuredValue(name, value):
                    values[name] = value
        result = evaluate(measure, inputs(base, use, values))
        if result.value is None:
            return (Silent(use.id, result.reason),)
        return (MeasuredValue(use.id, result.value),)

    return derive


def depths(base: Base) -> dict[str, int]:
    """How many steps each measure and finding rests on others of its kind."""
    needs: dict[str, set[str]] = {
        m.id: {v for v in m.inputs.values() if isinstance(v, str) and v in base.measures}
        for m in base.measures.values()
    }
    for finding in base.findings.values():
        subjects = {s for rule in finding.rules for s in rule.when.subjects()}
        needs[finding.id] = subjects & set(base.findings)
    found: dict[str, int] = {}

    def depth(name: str) -> int:
        if name not in found:
            found[name] = 1 + max(map(depth, needs[name]), default=-1)
        return found[name]

    for name in needs:
        depth(name)
    return found
