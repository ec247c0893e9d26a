"""Faults of the words of a base are told at their place, in one sentence each."""

from __future__ import annotations

import pytest

from tests.small import REST, problems

WORDS = """
words:
  source: common-practice
  same: [[film, vinyl], [{second}, plastic]]
  told: [{{check: {told}, words: [after], ends: {{clean: {first}, dirty: 30, wet: {last}}}}}]
  amounts: [{{check: {amount}, words: [cold]}}]
  implied: {{{symptom}: {{adhesive: {value}}}}}
  places: {{{place}: [hood]}}
"""

RIGHT = {
    "second": "sheet",
    "told": "adhesive",
    "first": "3",
    "last": "null",
    "amount": "panel_c",
    "symptom": "lifting",
    "value": "dirty",
    "place": "bonnet",
}


def test_sound_words_have_no_fault() -> None:
    """The example below is right as it stands."""
    assert not problems(REST + WORDS.format(**RIGHT))


@pytest.mark.parametrize(
    ("field", "becomes", "says"),
    [
        ("second", "film", ""),
        ("second", "vinyl", "'vinyl' means 'film' already: keep it in one group"),
        ("told", "adhesiv", "no check is called 'adhesiv' (did you mean adhesive?)"),
        ("first", "40", "the days rise from answer to answer"),
        ("last", "90", "the last one has no end (null)"),
        ("amount", "adhesive", "adhesive is not answered by a number"),
        ("symptom", "liftin", "no symptom is called 'liftin' (did you mean lifting?)"),
        ("value", "dusty", "'dusty' is no answer of adhesive"),
        ("place", "bonet", "no place is called 'bonet' (did you mean bonnet?)"),
    ],
)
def test_a_fault_of_the_words_is_told(field: str, becomes: str, says: str) -> None:
    """Names, answers, places, days that rise, and a word in one group only."""
    found = list(problems(REST + WORDS.format(**(RIGHT | {field: becomes}))))

    assert all(says in p.sentence for p in found), found
    assert bool(found) == bool(says)


def test_the_words_stand_in_one_file() -> None:
    """A second section of words would hide the first."""
    found = problems(REST + WORDS.format(**RIGHT), WORDS.format(**RIGHT))

    assert any("'words' stands in" in p.sentence for p in found)
