"""Which answers of a check a condition names, so that a row can say what the condition does."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from math import inf
from typing import assert_never

from diagnose.knowledge.model import (
    Observable,
)
from diagnose.knowledge.model.conditions import Condition, NoneOf, OneOf, Span, Test
from diagnose.knowledge.model.kinds import SeveralKind


class NoTable(ValueError):
    """A row that no probabilities can satisfy; the message says why and what to do."""


def named(observable: Observable, test: Test) -> tuple[int, ...]:
    """The codes of the answers that a test holds for; NoTable if a number's end is no bin's end."""
    match test:
        case Span():
            return _named_bins(observable, test)
        case OneOf(words=words):
            return tuple(i for i, label in enumerate(observable.labels) if label in words)
        case NoneOf(words=words):
            return tuple(i for i, label in enumerate(observable.labels) if label not in words)
        case _:
            assert_never(test)


def _named_bins(observable: Observable, span: Span) -> tuple[int, ...]:
    edges = (-inf, *observable.edges, inf)
    for end, closed_wrong in ((span.low, not span.low_closed), (span.high, span.high_closed)):
        if end not in edges or (abs(end) < inf and closed_wrong):
            ends = ", ".join(f"{e:g}" for e in observable.edges) or "none"
            raise NoTable(
                f"the bins of {observable.id} end at {ends}; use at_least and under with one of"
                f" these, or give {observable.id} a bin that ends at {end:g}"
            )
    return tuple(i for i, (a, b) in enumerate(pairwise(edges)) if span.low <= a and b <= span.high)


def has_shares(observables: Mapping[str, Observable], when: Condition) -> bool:
    """Whether a condition reads one thing only, whose usual shares are known."""
    test = when.only()
    if test is None or test.subject not in observables or not observables[test.subject].shares:
        return False
    its = observables[test.subject]
    if not isinstance(its.kind, SeveralKind):
        return True
    return isinstance(test, OneOf) and len(test.words) == 1 and test.words[0] in its.labels


def said_by_a_row(observables: Mapping[str, Observable], when: Condition) -> tuple[str, ...]:
    """The answers, by their labels, for which a row can say what a condition does; else nothing."""
    test = when.only()
    if test is None or not has_shares(observables, when):
        return ()
    observable = observables[test.subject]
    try:
        return tuple(observable.labels[code] for code in named(observable, test))
    except NoTable:
        return ()
