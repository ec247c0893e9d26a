"""A condition in words: each answer as the check says it, and nothing said twice over."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import FOUND, Condition, NoneOf, OneOf, Span, Test
from diagnose.knowledge.soundness.anomaly import Survey
from diagnose.reasoning.explanation.explain import condition_words, wanted_words
from diagnose.rulebook.pages.page import plain
from diagnose.rulebook.pages.wording import Library

MATTE = ("matte", "satin", "print_with_matte_laminate")


@pytest.mark.parametrize(
    ("test", "words"),
    [
        (
            OneOf("film_finish", MATTE),
            "Finish of the film: 'matte, not printed' or 'satin, not printed' or 'print under matte"
            " laminate'",
        ),
        (OneOf("ghost_polish", ("goes_and_returns",)), "Polish the ghost: it goes and comes back"),
        (
            OneOf("wrap_declared", ("not_declared",)),
            "Wrap declared to the insurer: not declared",
        ),
        (NoneOf("film_finish", ("chrome",)), "Finish of the film: not chrome"),
        (Span("age_months", high=3), "Age of the wrap: under 3 months"),
        (Span("gloss_ratio", low=1.2), "Gloss of the patch against sound film: at least 1.2"),
    ],
)
def test_an_answer_whose_word_stands_in_another_is_said_right(
    base: Base, test: Test, words: str
) -> None:
    """'matte' also stands in 'print under matte laminate', and is not said there again."""
    assert condition_words(base, test) == words


def every_test(base: Base) -> Iterator[Test]:
    """All tests of all conditions of a base."""
    for *_, part in Survey(base).walked:
        for _, value in part:
            if isinstance(value, Condition):
                yield from value.tests


def test_every_condition_is_made_of_the_answers_own_words(base: Base) -> None:
    """Take the answers out, the longest first, and only 'not' and 'or' are left."""
    told = 0
    for test in every_test(base):
        if isinstance(test, Span) or test.subject in base.findings:
            continue
        kind = base.observables[test.subject].kind
        left = wanted_words(base, test)
        for says in sorted((kind.says(word) for word in test.words), key=len, reverse=True):
            left = left.replace(says, "", 1)
        left = left.replace("'", "")
        assert set(left.split()) <= {"not", "or"}, (str(test), left)
        told += 1
    assert told > 300


def test_a_finding_is_found_or_not(base: Base) -> None:
    """Findings have no answers; whether they are there is said in words all the same."""
    name = next(iter(base.findings))

    assert wanted_words(base, OneOf(name, (FOUND,))) == "found"
    assert wanted_words(base, OneOf(name, ("not_found",))) == "not found"


def test_the_pages_of_the_rule_base_say_it_alike(base: Base) -> None:
    """What a cause wants is said on its page with the same words as in a report."""
    test = OneOf("film_finish", MATTE)

    said = plain(Library(base).condition(Condition((test,))))

    assert said.casefold() == condition_words(base, test).casefold()
