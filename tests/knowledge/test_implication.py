"""What conditions say of each other, held against every combination of answers there is."""

from __future__ import annotations

from functools import cache
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND, Condition, Values, parse
from diagnose.knowledge.soundness.implication import can_hold, implies, meet, region, same, within
from tests.examples import examples
from tests.rulebook.frame import framed

MORE = """
findings:
  - id: soiled
    name: Soiled
    rules:
      - {when: {adhesive: dirty, lines: none}, because: dirt, source: common-practice}
      - {when: {adhesive: wet}, because: wet, source: common-practice}
  - id: poor
    name: Poor
    rules:
      - {when: {soiled: found, care: not_given}, because: both, source: common-practice}
      - {when: {tension: found}, because: pull, source: common-practice}
contradictions:
  - {id: wet_gape, when: {adhesive: wet, cut: gapes}, because: no, source: common-practice}
"""

NAMES = ("adhesive", "cut", "lines", "care", "printed", "ink")


@cache
def _base() -> Base:
    return framed(MORE)


def _found(base: Base, values: Values, name: str) -> str:
    """A finding as brute force sees it when everything is known."""
    rules = base.findings[name].rules
    inner = {s: _found(base, values, s) for r in rules for s in r.when.subjects()
             if s in base.findings}  # fmt: skip
    return FOUND if any(r.when.holds({**values, **inner}) for r in rules) else NOT_FOUND


@cache
def _worlds() -> tuple[Values, ...]:
    """Every combination of answers that can be, with its findings."""
    base = _base()
    worlds = []
    for picked in product(*(base.checks[n].answers for n in NAMES)):
        values = dict(zip(NAMES, picked, strict=True))
        if values["printed"] == "plain":
            del values["ink"]
        if not any(c.when.holds(values) for c in base.contradictions.values()):
            worlds.append({**values, **{f: _found(base, values, f) for f in base.findings}})
    return tuple(worlds)


@st.composite
def conditions(draw: st.DrawFn) -> Condition:
    """A condition on one to three of the checks and findings."""
    base = _base()
    words = {n: tuple(base.checks[n].answers) for n in NAMES}
    words |= dict.fromkeys(base.findings, (FOUND, NOT_FOUND))
    data = {}
    for name in draw(st.lists(st.sampled_from(sorted(words)), min_size=1, max_size=3, unique=True)):
        word = draw(st.sampled_from(words[name]))
        negated = draw(st.booleans()) and name not in base.findings
        data[name] = {"not": word} if negated else word
    return parse(data)


@settings(max_examples=examples(600))
@given(conditions(), conditions())
def test_what_is_implied_always_holds(first: Condition, second: Condition) -> None:
    """Wherever the first holds, the second does, in every combination of answers."""
    if implies(_base(), first, second):
        assert all(second.holds(w) for w in _worlds() if first.holds(w)), (first, second)


@settings(max_examples=examples(400))
@given(conditions())
def test_what_cannot_hold_never_does(condition: Condition) -> None:
    """A condition judged unable to hold holds in no combination of answers."""
    if not can_hold(_base(), condition):
        assert not any(condition.holds(w) for w in _worlds()), condition


@given(conditions())
def test_a_condition_implies_itself(condition: Condition) -> None:
    """And is the same as itself, in whatever order it is written."""
    turned = Condition(tuple(reversed(condition.tests)))

    assert same(_base(), condition, turned)


IMPLIED = [
    ({"adhesive": "wet"}, {"soiled": "found"}, True),
    ({"adhesive": "dirty"}, {"soiled": "found"}, False),
    ({"adhesive": "wet", "care": "not_given"}, {"poor": "found"}, True),
    ({"cut": "gapes"}, {"poor": "found"}, True),
    ({"soiled": "found"}, {"adhesive": ["dirty", "wet"]}, True),
    ({"soiled": "found"}, {"adhesive": {"not": "clean"}}, True),
    ({"soiled": "found"}, {"adhesive": "wet"}, False),
    ({"adhesive": {"not": "clean"}}, {"adhesive": ["dirty", "wet"]}, True),
]


@pytest.mark.parametrize(("first", "second", "expected"), IMPLIED)
def test_findings_stand_for_their_rules(
    first: dict[str, object], second: dict[str, object], expected: bool
) -> None:
    """An answer implies the finding that it makes, and a finding what all its rules share."""
    assert implies(_base(), parse(first), parse(second)) is expected


POSSIBLE = [
    ({"printed": "plain", "ink": "solvent"}, False),
    ({"printed": "print", "ink": "solvent"}, True),
    ({"adhesive": "wet", "cut": "gapes"}, False),
    ({"adhesive": "wet", "tension": "found"}, False),
    ({"soiled": "found", "adhesive": "clean"}, False),
    ({"soiled": "not_found", "adhesive": "wet"}, False),
    ({"soiled": "not_found", "adhesive": "dirty"}, True),
    ({"poor": "found", "cut": "closed", "care": "given"}, False),
]


@pytest.mark.parametrize(("data", "expected"), POSSIBLE)
def test_what_excludes_itself_is_seen(data: dict[str, object], expected: bool) -> None:
    """Gates of checks, answers that cannot both be right, and findings are taken into account."""
    assert can_hold(_base(), parse(data)) is expected


SPANS = [
    ({"under": 5}, {"under": 6}, True, True),
    ({"under": 5}, {"at_most": 5}, True, True),
    ({"at_most": 5}, {"under": 5}, False, True),
    ({"at_least": 5}, {"under": 5}, False, False),
    ({"at_least": 5}, {"at_most": 5}, False, True),
    ({"over": 5}, {"at_most": 5}, False, False),
    ({"at_least": 2, "under": 3}, {"at_least": 1, "at_most": 3}, True, True),
]


@pytest.mark.parametrize(("one", "other", "inside", "touch"), SPANS)
def test_numbers_lie_within_each_other_or_meet(
    one: dict[str, float], other: dict[str, float], inside: bool, touch: bool
) -> None:
    """Ends that belong and ends that do not are told apart."""
    (a,), (b,) = parse({"x": one}).tests, parse({"x": other}).tests
    first, second = region(_base(), a), region(_base(), b)

    assert within(first, second) is inside
    assert (meet(first, second) is not None) is touch
    assert (meet(second, first) is not None) is touch
