"""What a record says of checks that nobody wrote down, since another could only follow on them."""

from __future__ import annotations

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers
from diagnose.knowledge.model.conditions import OneOf, Span, Test
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.knowledge.model.values import OneOfThese


def opened(base: Base, record: Answers) -> Answers:
    """A record with what its answers say of checks that come before them.

    Who could answer a check that makes sense only after another one's answer would have told that
    one too: it was one of the answers after which the check is asked.
    """
    found = dict(record)
    for name in record:
        check = base.checks.get(name)
        test = check.asked_when.only() if check and check.asked_when else None
        if test and test.subject not in record and (words := _words(base, test)):
            found[test.subject] = words[0] if len(words) == 1 else OneOfThese(words)
    return found


def _words(base: Base, test: Test) -> tuple[str, ...]:
    """The answers that a test on a choice holds for; none for a test on anything else."""
    if test.subject not in base.checks or isinstance(test, Span):
        return ()
    if isinstance(base.checks[test.subject].kind, SeveralKind):
        return ()
    labels = base.checks[test.subject].labels
    return tuple(word for word in labels if (word in test.words) == isinstance(test, OneOf))
