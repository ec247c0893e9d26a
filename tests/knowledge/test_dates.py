"""Dates of a record: they answer what nobody answered, and speak up where an answer does not fit."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.claims.table.days import months_between
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer
from diagnose.knowledge.logic.dates import bounded, conflicts, dated, days_of, full_months
from diagnose.knowledge.model.values import OneOfThese, Value
from diagnose.measures.quantity import Quantity, exact
from tests.small import REST, problems


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2026-03-14", date(2026, 3, 14), date(2026, 3, 14)),
        ("2026-02", date(2026, 2, 1), date(2026, 2, 28)),
        ("2024", date(2024, 1, 1), date(2024, 12, 31)),
    ],
)
def test_a_date_may_be_a_day_a_month_or_a_year(text: str, first: date, last: date) -> None:
    """What is not told of a date stays open."""
    assert days_of(text) == (first, last)


@pytest.mark.parametrize("text", ["", "last summer", "2026-13", "2026-02-30", "14.03.2026"])
def test_what_is_no_date_says_nothing(text: str) -> None:
    """No guess is made."""
    assert days_of(text) is None


@pytest.mark.parametrize(
    ("check", "facts", "value"),
    [
        ("age_months", {"laid_on": "2025-01-10", "seen_on": "2026-03-09"}, exact(13)),
        ("age_months", {"laid_on": "2025-01-10", "seen_on": "2026-03-10"}, exact(14)),
        ("age_months", {"laid_on": "2025-01", "seen_on": "2026-03-10"}, Quantity(13, 14)),
        ("age_months", {"laid_on": "2025", "seen_on": "2026"}, Quantity(0, 23)),
        ("age_months", {"handed_on": "2026-01-10", "seen_on": "2026-03-10"}, exact(2)),
        ("age_months", {"seen_on": "2026-03-10"}, None),
        ("age_months", {"laid_on": "2026-04-10", "seen_on": "2026-03-10"}, None),
        ("first_seen", {"laid_on": "2023-04-11", "seen_on": "2026-05-19"}, ("years", "at_removal")),
        ("first_seen", {"laid_on": "2026-01-01", "seen_on": "2026-01-21"}, ("weeks", "at_removal")),
    ],
)
def test_dates_answer_as_far_as_they_can(
    base: Base, check: str, facts: Mapping[str, str], value: object
) -> None:
    """Full months by the calendar, a range for a month or a year, the answers left of a choice."""
    expected = OneOfThese(value) if isinstance(value, tuple) else value

    assert bounded(base.checks[check], facts) == expected


@pytest.mark.parametrize(
    ("answer", "kept"), [(exact(20), exact(20)), (UNKNOWN, exact(14)), (None, exact(14))]
)
def test_a_date_never_stands_against_an_answer(
    base: Base, answer: Answer | None, kept: Value
) -> None:
    """Only what nobody answered, or could tell, is answered by dates."""
    facts = {"laid_on": "2025-01-10", "seen_on": "2026-03-10"}
    answers = {} if answer is None else {"age_months": answer}

    assert dated(base.checks, facts, answers)["age_months"] == kept


@pytest.mark.parametrize(
    ("facts", "answers", "said"),
    [
        ({"laid_on": "2025-01-10"}, {"age_months": exact(30)}, []),
        ({"laid_on": "2025-01-10", "seen_on": "2026-03-10"}, {"age_months": exact(15)}, []),
        (
            {"laid_on": "2025-01-10", "seen_on": "2026-03-10"},
            {"age_months": exact(30)},
            ["'Age of the wrap' and the two days do not fit"],
        ),
        ({"laid_on": "2026-01-10", "seen_on": "2026-03-10"}, {"first_seen": "within_72h"}, []),
        (
            {"laid_on": "2026-01-10", "seen_on": "2026-03-10"},
            {"first_seen": "years"},
            ["'First seen' and the two days do not fit"],
        ),
        (
            {"laid_on": "2026-01-10", "seen_on": "2026-03-10"},
            {"first_seen": OneOfThese(("months", "years"))},
            [],
        ),
        ({"laid_on": "2026-04-10", "seen_on": "2026-03-10"}, {}, ["seen before it was laid"]),
        (
            {"laid_on": "2026-04-10", "seen_on": "2026-03-10"},
            {"first_seen": "weeks"},
            ["seen before it was laid"],
        ),
        (
            {"laid_on": "2026-04-10", "seen_on": "2026-03-10"},
            {"first_seen": "before_laying"},
            [],
        ),
    ],
)
def test_what_does_not_fit_the_dates_is_told(
    base: Base, facts: Mapping[str, str], answers: Mapping[str, Answer], said: list[str]
) -> None:
    """An age that is off by more than a month, a first sight that comes too late, swapped days."""
    found = [odd.because for odd in conflicts(base.checks, facts, answers)]

    assert len(found) == len(said)
    assert all(words in because for words, because in zip(said, found, strict=True))


@given(st.dates(date(2000, 1, 1), date(2030, 1, 1)), st.dates(date(2000, 1, 1), date(2030, 1, 1)))
def test_months_are_counted_as_in_a_backlog(one: date, other: date) -> None:
    """A claim and a case with the same two days have the same age."""
    first, last = sorted((one, other))
    days = [np.array([day], dtype="datetime64[D]") for day in (first, last)]

    assert full_months(first, last) == months_between(*days)[0]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("number: {unit: °C, from: -10, to: 60}", "number: {unit: °C, from: -10, to: 60}, words: {cold: [-20, 5]}", "no range within -10 to 60"),
        ("number: {unit: °C, from: -10, to: 60}", "number: {unit: °C, from: -10, to: 60}, words: {under 5: [0, 5]}", "take a word without digits"),
        ("number: {unit: °C, from: -10, to: 60}", "number: {unit: °C, from: -10, to: 60}, between: {since: [laid_on], until: [seen_on]}", "°C is no time"),
        ("{says: given, usual: 70}", "{says: given, usual: 70, days: [0, 5]}", "says between which dates"),
    ],
)  # fmt: skip
def test_what_a_check_says_of_words_and_dates_is_held_against_it(
    old: str, new: str, said: str
) -> None:
    """A word's range lies within the number's; dates go with times, days with dates."""
    assert any(said in p.sentence for p in problems(REST.replace(old, new)))
