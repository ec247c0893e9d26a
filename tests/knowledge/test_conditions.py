"""Conditions: three-valued, and never true of what is not known."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.model.conditions import Condition, ConditionError, parse
from diagnose.measures.quantity import Quantity, exact

TABLE = [
    ({"cut": "gapes"}, {"cut": "gapes"}, True),
    ({"cut": "gapes"}, {"cut": "closed"}, False),
    ({"cut": "gapes"}, {}, None),
    ({"cut": ["gapes", "closed"]}, {"cut": "closed"}, True),
    ({"cut": {"not": "gapes"}}, {"cut": "closed"}, True),
    ({"cut": {"not": "gapes"}}, {"cut": "gapes"}, False),
    ({"cut": {"not": "gapes"}}, {}, None),
    ({"cut": {"not": ["gapes", "closed"]}}, {"cut": "torn"}, True),
    ({"mm": {"under": 2}}, {"mm": exact(1.9)}, True),
    ({"mm": {"under": 2}}, {"mm": exact(2)}, False),
    ({"mm": {"at_most": 2}}, {"mm": exact(2)}, True),
    ({"mm": {"over": 2}}, {"mm": exact(2)}, False),
    ({"mm": {"at_least": 2}}, {"mm": exact(2)}, True),
    ({"mm": {"at_least": 2, "under": 5}}, {"mm": Quantity(2, 4)}, True),
    ({"mm": {"at_least": 2, "under": 5}}, {"mm": Quantity(4, 6)}, None),
    ({"mm": {"at_least": 2, "under": 5}}, {"mm": Quantity(5, 6)}, False),
    ({"mm": {"at_least": 2}}, {"mm": "five"}, None),
    ({"cut": "gapes", "mm": {"under": 2}}, {"cut": "gapes"}, None),
    ({"cut": "gapes", "mm": {"under": 2}}, {"mm": exact(7)}, False),
    ({"cut": "gapes", "mm": {"under": 2}}, {"cut": "gapes", "mm": exact(1)}, True),
]


@pytest.mark.parametrize(("condition", "values", "expected"), TABLE)
def test_holds(condition: Any, values: Any, expected: bool | None) -> None:
    """A condition holds, does not hold, or stays open, as the table says."""
    assert parse(condition).holds(values) is expected


BAD = [
    ({}, "at least one"),
    ("gapes", "mapping"),
    ({"cut": 5}, "bare number"),
    ({"cut": True}, "bare number"),
    ({"cut": []}, "empty"),
    ({"cut": ["a", "a"]}, "twice"),
    ({"cut": ["a", 3]}, "not the name"),
    ({"mm": {"under": "x"}}, "not a number"),
    ({"mm": {"under": 1, "at_most": 2}}, "same side"),
    ({"mm": {"under": 1, "at_least": 2}}, "no number"),
    ({"mm": {"under": 1, "over": 1}}, "no number"),
    ({"mm": {"between": 1}}, "under"),
]


@pytest.mark.parametrize(("condition", "sentence"), BAD)
def test_refused(condition: Any, sentence: str) -> None:
    """What cannot be read is refused with a sentence that says what to write."""
    with pytest.raises(ConditionError, match=sentence):
        parse(condition)


words = st.sampled_from(["a", "b", "c"])
tests = st.one_of(
    words,
    st.lists(words, min_size=1, unique=True),
    st.fixed_dictionaries({"not": words}),
    st.fixed_dictionaries({"under": st.integers(1, 3)}),
    st.fixed_dictionaries({"at_least": st.integers(1, 3)}),
)
conditions = st.dictionaries(st.sampled_from(["x", "y"]), tests, min_size=1)
numbers = st.builds(lambda a, b: Quantity(a, a + b), st.integers(0, 4), st.integers(0, 2))
known = st.dictionaries(st.sampled_from(["x", "y"]), st.one_of(words, numbers))


@given(conditions, known)
def test_nothing_follows_from_what_is_missing(condition: Any, values: Any) -> None:
    """A condition without any value of its subjects is open, negated or not."""
    blank = {k: v for k, v in values.items() if k not in condition}

    assert parse(condition).holds(blank) is None


@given(conditions, known, numbers)
def test_more_knowledge_never_turns_an_answer_round(
    condition: Any, values: Any, number: Quantity
) -> None:
    """What holds, or fails, with some values known still does with one more."""
    before = parse(condition).holds({k: v for k, v in values.items() if k != "y"})
    after = parse(condition).holds(values)

    assert before is None or after is before


@given(st.integers(1, 3), numbers)
def test_a_narrower_reading_never_turns_an_answer_round(edge: int, number: Quantity) -> None:
    """A rule that fires on a range fires on every number in it."""
    condition: Condition = parse({"mm": {"at_least": edge}})
    wide = condition.holds({"mm": number})

    for point in (number.low, number.middle, number.high):
        assert wide is None or condition.holds({"mm": exact(point)}) is wide


@given(conditions)
def test_a_condition_is_read_back_from_its_data(condition: Any) -> None:
    """What is written out and read again is the same condition."""
    parsed = parse(condition)

    assert parse(parsed.data()) == parsed
