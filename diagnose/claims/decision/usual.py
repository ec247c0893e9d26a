"""How often a condition holds of callbacks at large, where nothing is known of it in a row.

By the usual shares of the answers, each check by itself. What has no usual shares (numbers that a
measure reckons) is taken to hold now and then. It only tells how much an open answer may move the
payer; what is known is never weighed with it.
"""

from __future__ import annotations

from math import prod

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import (
    FOUND,
    NOT_FOUND,
    Condition,
    NoneOf,
    OneOf,
    Span,
)

NOW_AND_THEN = 0.15
"""For what has no usual shares."""


class UsualShares:
    """The shares of one rule base."""

    def __init__(self, base: Base) -> None:
        self._base = base
        self._findings: dict[str, float] = {}

    def of(self, when: Condition) -> float:
        """How often all tests of a condition hold, from 0 to 1."""
        return prod(self._test(test) for test in when.tests)

    def _test(self, test: OneOf | NoneOf | Span) -> float:
        if test.subject in self._base.findings:
            found = self._found(test.subject)
            said = set(test.words) if isinstance(test, OneOf | NoneOf) else set()
            if said not in ({FOUND}, {NOT_FOUND}):
                return NOW_AND_THEN
            return found if isinstance(test, OneOf) == (said == {FOUND}) else 1 - found
        check = self._base.checks.get(test.subject)
        if check is None or isinstance(test, Span) or not check.answers:
            return NOW_AND_THEN
        kind = check.kind
        its = zip(kind.outcomes, kind.outcome_shares(check.shares), strict=True)
        return sum(share for value, share in its if test.holds(value))

    def _found(self, finding: str) -> float:
        if finding not in self._findings:
            rules = self._base.findings[finding].rules
            self._findings[finding] = 1 - prod(1 - self.of(rule.when) for rule in rules)
        return self._findings[finding]
