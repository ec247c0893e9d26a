"""Files of people, read in one way: every fault at once, each at its place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.claims.mapping import mapping
from diagnose.claims.policy import policy
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.reading.shop import read_shop
from diagnose.records.case.casefile import read_case

CASE = """\
case: two_doors
complaints:
  - symptom: edge_liftin
    panel: front_door_left
    held: yes
  - symptom: edge_lifting
  - panel: front_dor_left
    symptom: edge_lifting
    answers: {zone: [], zon: gap}
    photos: [{photo: abc}]
    outcome: {cause: laid_too_cold, confirmed_by: 3, remedy: pray}
customer: [Ann]
"""


def told(problems: list[Problem]) -> list[tuple[int, str]]:
    """Lines and sentences."""
    return [(problem.spot.line, problem.sentence) for problem in problems]


def test_a_fault_of_shape_hides_no_fault_of_meaning_beside_it(base: Base) -> None:
    """Names in a complaint that has a fault of shape are looked up, and places stay right.

    The second complaint lacks its panel and cannot be looked at further; the third is the third
    all the same.
    """
    found, problems = read_case("two.yaml", CASE, base)
    lines = told(problems)

    assert found is None
    for line, words in (
        (3, "'edge_liftin' is no symptom (did you mean edge_lifting?)"),
        (5, "'yes' must be true or false"),
        (6, "'panel' is missing"),
        (7, "'front_dor_left' is no panel (did you mean front_door_left?)"),
        (9, "'zone' needs an answer, a list of them, a number, or unknown"),
        (9, "'zon' is no check (did you mean zone?)"),
        (10, "'abc' is no photo's content hash (64 hex digits)"),
        (11, "3 is not text here: put it in quotes if it is meant as text"),
        (12, "'customer' must be keys with values"),
    ):
        assert (line, words) in lines, lines


def test_the_shape_of_what_closes_a_complaint_is_that_of_an_outcome(base: Base) -> None:
    """In a journal it stands as data, and is read as strictly as above it."""
    journal = "[{at: '2026-03-02', kind: closed, complaint: 1, data: {cause: [], proof: x}}]"
    text = f"case: a\ncomplaints: []\njournal: {journal}\n"
    sentences = [sentence for _, sentence in told(read_case("a.yaml", text, base)[1])]

    assert any("'proof' is not known here" in sentence for sentence in sentences)
    assert "'confirmed_by' is missing" in sentences


def test_a_policy_tells_of_shape_and_meaning_together(base: Base) -> None:
    """A payer, a day, a surface and a share, in one reading."""
    text = """\
name: ours
surfaces: {flat: [roof, roff], other_surface: rest}
terms:
  - name: first
    valid_from: 2024-01-01
    valid_to: soon
    covers:
      - {payer: installer, months: {flat: -1, rest: x}, because: a}
  - name: second
    valid_from: 2025-01-01
    valid_to: 2024-01-01
    covers:
      - {payer: instaler, months: {flat: 1, rust: 2}, because: a, origin: [x]}
      - {payer: installer, months: 3, because: a, share: {steps: [{until: 1}]}}
"""
    lines = told(policy.read("ours.yaml", text, base)[1])

    for line, words in (
        (2, "no panel is called 'roff'"),
        (6, "'soon' is no day of the calendar: write it as 2025-03-31"),
        (8, "'-1' is no number of months"),
        (8, "'x' is no number of months"),
        (11, "the terms end before they begin"),
        (13, "no payer is called 'instaler' (did you mean installer?)"),
        (13, "no surface is called 'rust' (did you mean rest?)"),
        (13, "'origin' is not known here (did you mean origins?)"),
        (14, "a step is {until: months, percent: 0 to 100}"),
    ):
        assert any(at == line and words in sentence for at, sentence in lines), (words, lines)


def test_a_mapping_tells_of_shape_and_meaning_together(base: Base) -> None:
    """An entry that is none, a column and a fact that are not there, and a date."""
    text = """\
columns:
  - 3
  - {column: Schaden, fact: symptm, colour: blue}
  - {column: Tag, fact: laid_on, date: [day.month.year, noon]}
"""
    lines = told(mapping.read("ours.yaml", text, base, ("Tag",))[1])

    for line, words in (
        (2, "an entry of 'columns' must be keys with values"),
        (3, "'colour' is not known here"),
        (3, "the table has no column 'Schaden'"),
        (3, "no fact is called 'symptm' (did you mean symptom?)"),
        (4, "'noon' is none of year-month-day"),
    ):
        assert any(at == line and words in sentence for at, sentence in lines), (words, lines)


def _mapping(name: str, text: str, base: Base) -> list[Problem]:
    return mapping.read(name, text, base, ("Schaden", "Tag"))[1]


READERS: dict[str, tuple[str, Callable[[str, str, Base], object]]] = {
    "case": (CASE, read_case),
    "policy": (
        (shipped("rules") / "policies" / "example_policy.yml").read_text(encoding="utf-8"),
        policy.read,
    ),
    "shop": (
        (shipped("rules") / "shop" / "example_shop.yml").read_text(encoding="utf-8"),
        read_shop,
    ),
    "mapping": (
        "columns:\n  - {column: Schaden, fact: symptom}\n  - {column: Tag, fact: laid_on}\n",
        _mapping,
    ),
}
PIECES = ("", "3", "true", "[]", "{}", "null", "[a, [b]]", "{a: {b: c}}", "nonsense", "'")


@pytest.mark.parametrize("kind", READERS)
@given(st.data())
def test_whatever_a_person_writes_is_read_or_told(
    base: Base, kind: str, data: st.DataObject
) -> None:
    """Words of a sound file in place of others, left out or made something else: never a crash."""
    text, read = READERS[kind]
    words = text.split(" ")
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(words) - 1))
        words[place] = data.draw(st.one_of(st.sampled_from(PIECES), st.sampled_from(words)))

    read(Path("any.yaml").name, " ".join(words), base)
