"""The engine wrapper against brute force: the agenda bug cannot come back."""

from __future__ import annotations

import logging
import subprocess
import sys
from dataclasses import dataclass
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.reasoning.evidence.engine import (
    AllAnswers,
    Machine,
    Pattern,
    Production,
    WorkingFact,
    has,
    lacks,
)
from tests.examples import examples
from tests.reasoning.plain_loop import PlainLoop

NAMES = ("p", "q", "r", "s")


@dataclass(frozen=True)
class Flag(WorkingFact):
    """What a rule derives."""

    id: str


def production(
    number: int, layer: int, wants: list[str], absent: list[str], gives: str
) -> Production:
    """A rule of a layer: fields of the answers, flags of lower layers absent, a flag derived."""
    patterns: list[Pattern] = [has(AllAnswers, **dict.fromkeys(wants, "yes"))]
    patterns += [lacks(Flag, id=name) for name in absent]
    item = Flag(gives)
    return Production(f"rule {number}", layer, tuple(patterns), lambda matched: (item,))


RuleData = tuple[list[str], list[int], int]
rules_of_a_layer = st.lists(
    st.tuples(
        st.lists(st.sampled_from(NAMES), unique=True, max_size=2),
        st.lists(st.integers(0, 3), unique=True, max_size=2),
        st.integers(0, 3),
    ),
    min_size=1,
    max_size=12,
)


def build(layers: list[list[RuleData]]) -> list[Production]:
    """Productions whose absences ask only flags of finished layers (named after their layer)."""
    found = []
    for layer, rules in enumerate(layers):
        for wants, absent, gives in rules:
            earlier = [f"f{layer - 1}_{n}" for n in absent] if layer else []
            found.append(production(len(found), layer, wants, earlier, f"f{layer}_{gives}"))
    return found


def brute(layers: list[list[RuleData]], answers: set[str]) -> set[str]:
    """Names of the rules that fire, by definition: layer after layer."""
    fired: set[str] = set()
    flags: set[str] = set()
    number = 0
    for layer, rules in enumerate(layers):
        new: set[str] = set()
        for wants, absent, gives in rules:
            blocked = layer and any(f"f{layer - 1}_{n}" in flags for n in absent)
            if set(wants) <= answers and not blocked:
                fired.add(f"rule {number}")
                new.add(f"f{layer}_{gives}")
            number += 1
        flags |= new
    return fired


@settings(max_examples=examples(60))
@given(st.lists(rules_of_a_layer, min_size=2, max_size=3))
def test_what_fires_is_what_brute_force_says(layers: list[list[RuleData]]) -> None:
    """Random layered rules with absences fire as by definition, for every set of answers."""
    machine = Machine(build(layers))

    for given_answers in product([True, False], repeat=len(NAMES)):
        answers = {n for n, there in zip(NAMES, given_answers, strict=True) if there}
        fields = dict.fromkeys(answers, "yes") | {"always": "yes"}

        fired = {f.name for f in machine.run([AllAnswers(fields)])}

        assert fired == brute(layers, answers)
        assert machine.run([AllAnswers(fields)]) == PlainLoop(build(layers)).run(
            [AllAnswers(fields)]
        )


def test_a_rule_blocked_by_an_absence_stays_blocked_among_a_hundred_equals() -> None:
    """A hundred rules of equal rank, one of them withdrawn on the way: it must not fire."""
    finds = production(0, 0, ["p"], [], "found")
    plain = [production(n, 1, ["p"], [], "x") for n in range(1, 100)]
    blocked = production(100, 1, ["p"], ["found"], "x")

    fired = [f.name for f in Machine([finds, *plain, blocked]).run([AllAnswers({"p": "yes"})])]

    assert len(fired) == 100
    assert "rule 100" not in fired


def test_a_field_that_is_not_there_fits_nothing() -> None:
    """Neither a literal nor a predicate, however it is turned, fits a missing field."""
    machine = Machine(
        [
            Production("literal", 0, (has(AllAnswers, x="yes"),), lambda m: ()),
            Production("negated", 0, (has(AllAnswers, x=lambda v: v != "yes"),), lambda m: ()),
        ]
    )

    assert machine.run([AllAnswers({"y": "yes"})]) == ()


def test_an_exception_in_a_rule_leaves_the_machine_usable() -> None:
    """A run that fails raises, and the next one works as if nothing had been."""

    def derive(matched: tuple[WorkingFact, ...]) -> tuple[WorkingFact, ...]:
        if matched[0].looked_at["x"] == "bad":
            raise ZeroDivisionError
        return ()

    machine = Machine([Production("rule", 0, (has(AllAnswers, x=lambda v: True),), derive)])
    with pytest.raises(ZeroDivisionError):
        machine.run([AllAnswers({"x": "bad"})])

    assert [f.name for f in machine.run([AllAnswers({"x": "good"})])] == ["rule"]


def test_a_firing_keeps_what_it_matched() -> None:
    """The record of a firing names the facts it rests on and what it derived."""
    machine = Machine([production(0, 0, ["p"], [], "f")])

    (firing,) = machine.run([AllAnswers({"p": "yes", "q": "no"})])

    assert list(firing.matched) == [AllAnswers({"p": "yes", "q": "no"})]
    assert list(firing.derived) == [Flag("f")]


def test_importing_the_engine_leaves_logging_and_collections_alone() -> None:
    """The mended import puts nothing into the root logger and leaves no old name behind."""
    code = (
        "import logging, collections; before = list(logging.getLogger().handlers);"
        "import diagnose.reasoning.evidence.engine;"
        "assert logging.getLogger().handlers == before;"
        "assert not hasattr(collections, 'Mapping')"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)

    assert done.returncode == 0, done.stderr
    assert logging.getLogger().name == "root"
