"""What conditions say of each other: one implies another, or can never hold.

Judged by the rule base's own knowledge: a finding stands for any of its rules, a check that is
asked only where something holds brings that with it, and answers that cannot both be right never
hold together. What needs more knowledge of the world than that is not seen here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product
from typing import assert_never

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import (
    FOUND,
    NOT_FOUND,
    Condition,
    NoneOf,
    OneOf,
    Span,
    Test,
    Value,
)
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind

Region = frozenset[str] | Span
"""The values that a test allows: words, or a stretch of numbers."""

DEEPEST = 3
"""How many findings behind each other are looked through."""

MOST_WAYS = 64
"""How many ways to hold are tried; a condition with more is taken to be able to hold."""


def region(base: Base, test: Test) -> Region:
    """What a test allows its subject to be."""
    match test:
        case Span():
            return test
        case OneOf() | NoneOf():
            outcomes = _outcomes(base, test.subject)
            return frozenset(label for label, value in outcomes.items() if test.holds(value))
        case _:
            assert_never(test)


def _outcomes(base: Base, subject: str) -> Mapping[str, Value]:
    """Everything that a subject with words can turn out to be, each apart from the others."""
    if subject in base.findings:
        return {FOUND: FOUND, NOT_FOUND: NOT_FOUND}
    kind = base.observables[subject].kind
    return dict(zip(kind.outcome_labels, kind.outcomes, strict=True))


def within(a: Region, b: Region) -> bool:
    """Whether every value of `a` is one of `b`."""
    if isinstance(a, Span) and isinstance(b, Span):
        return _starts(b, a) and _ends(b, a)
    return isinstance(a, frozenset) and isinstance(b, frozenset) and a <= b


def _starts(outer: Span, inner: Span) -> bool:
    return outer.low < inner.low or (
        outer.low == inner.low and (outer.low_closed or not inner.low_closed)
    )


def _ends(outer: Span, inner: Span) -> bool:
    return outer.high > inner.high or (
        outer.high == inner.high and (outer.high_closed or not inner.high_closed)
    )


def meet(a: Region, b: Region) -> Region | None:
    """What both allow; None if nothing, or if one speaks of words and one of numbers."""
    if isinstance(a, frozenset) and isinstance(b, frozenset):
        return a & b or None
    if isinstance(a, Span) and isinstance(b, Span):
        low, high = (b if _starts(a, b) else a), (b if _ends(a, b) else a)
        ends = Span(a.subject, low.low, low.low_closed, high.high, high.high_closed)
        touching = ends.low == ends.high and ends.low_closed and ends.high_closed
        return ends if ends.low < ends.high or touching else None
    return None


def implies(base: Base, first: Condition, second: Condition, depth: int = DEEPEST) -> bool:
    """Whether `second` holds wherever `first` does."""
    return all(_entails(base, first.tests, test, depth) for test in second.tests)


def same(base: Base, first: Condition, second: Condition) -> bool:
    """Whether two conditions hold in the same cases."""
    return implies(base, first, second) and implies(base, second, first)


def _entails(base: Base, tests: tuple[Test, ...], wanted: Test, depth: int) -> bool:
    for test in tests:
        if test.subject == wanted.subject and within(region(base, test), region(base, wanted)):
            return True
    if depth == 0:
        return False
    if _wants_found(base, wanted):
        rules = base.findings[wanted.subject].rules
        if any(implies(base, Condition(tests), rule.when, depth - 1) for rule in rules):
            return True
    for number, test in enumerate(tests):
        if _wants_found(base, test):
            others = tests[:number] + tests[number + 1 :]
            rules = base.findings[test.subject].rules
            if all(_entails(base, others + r.when.tests, wanted, depth - 1) for r in rules):
                return True
    return False


def _wants_found(base: Base, test: Test) -> bool:
    return test.subject in base.findings and isinstance(test, OneOf) and test.words == (FOUND,)


def can_hold(base: Base, condition: Condition) -> bool:
    """Whether some answers could make a condition hold."""
    for number, way in enumerate(_ways(base, condition.tests, DEEPEST)):
        if number >= MOST_WAYS or _consistent(base, way):
            return True
    return False


def _ways(base: Base, tests: tuple[Test, ...], depth: int) -> Iterator[tuple[Test, ...]]:
    """The condition with findings replaced by what lets them be found, one way after another."""
    choices = []
    for test in tests:
        if _wants_found(base, test) and depth:
            rules = base.findings[test.subject].rules
            choices.append([(test, *r.when.tests) for r in rules])
        else:
            choices.append([(test,)])
    for pick in product(*choices):
        way = tuple(test for part in pick for test in part)
        deeper = [t for t in way if _wants_found(base, t) and t not in tests]
        if deeper:
            yield from _ways(base, way, depth - 1)
        else:
            yield way


def _consistent(base: Base, tests: tuple[Test, ...]) -> bool:
    allowed = _allowed(base, (*tests, *_gates(base, tests)))
    if allowed is None:
        return False
    told = Condition(tests)
    for test in tests:
        refuted = isinstance(test, OneOf) and test.words == (NOT_FOUND,)
        rules = base.findings[test.subject].rules if test.subject in base.findings else ()
        if refuted and any(implies(base, told, rule.when) for rule in rules):
            return False
    return not any(implies(base, told, c.when) for c in base.contradictions.values())


def _allowed(base: Base, tests: tuple[Test, ...]) -> Mapping[str, Region] | None:
    found: dict[str, Region] = {}
    for test in tests:
        its = meet(region(base, test), found.get(test.subject, _any(base, test)))
        if its is None:
            return None
        found[test.subject] = its
    return found


def _any(base: Base, test: Test) -> Region:
    """Every value that the subject of a test can have."""
    kind = None if test.subject in base.findings else base.observables[test.subject].kind
    match kind:
        case NumberKind(low=low, high=high):
            return Span(test.subject, low, True, high, True)
        case ChoiceKind() | SeveralKind() | None:
            return frozenset(_outcomes(base, test.subject))
        case _:
            assert_never(kind)


def _gates(base: Base, tests: tuple[Test, ...]) -> Iterator[Test]:
    """What must hold for the checks in these tests to be asked."""
    for test in tests:
        check = base.checks.get(test.subject)
        if check is not None and check.asked_when is not None:
            yield from check.asked_when.tests
