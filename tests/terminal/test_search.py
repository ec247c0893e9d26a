"""Finding a symptom by the word that somebody at the counter uses."""

from __future__ import annotations

from itertools import groupby

import pytest

from diagnose.dialogue.search import SearchItem, by_group, in_groups, search, symptom_item
from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.load import read_texts
from tests.small import REST, SCALES

ITEMS = (
    SearchItem(
        "image", "Image out of line", "", "image out of line | lines do not meet across seams"
    ),
    SearchItem(
        "channels", "Lines in the adhesive", "", "lines in the adhesive | glue lines | a grid"
    ),
    SearchItem(
        "print",
        "Print flaws",
        "",
        "print flaws | lines in the print | bands",
        ("lines in the print",),
    ),
    SearchItem(
        "peel", "Orange-peel texture", "", "orange-peel texture | wavy surface", ("wavy surface",)
    ),
    SearchItem(
        "edge", "Edge lifting", "", "edge lifting | peeling | an edge stands off", ("peeling",)
    ),
)


def found(text: str) -> list[str]:
    """The ids found, the best first."""
    return [item.id for item in search(ITEMS, text)]


@pytest.mark.parametrize(
    ("text", "ids"),
    [
        ("lines", ["channels", "print", "image"]),
        ("LINE", ["channels", "image", "print"]),
        ("peel", ["edge", "peel"]),
        ("print lines", ["print"]),
        ("stands off", ["edge"]),
        ("nothing of the kind", []),
    ],
)
def test_what_a_thing_is_called_comes_before_what_is_said_of_it(text: str, ids: list[str]) -> None:
    """A name that begins so leads, then whole words of names, then beginnings, then the look."""
    assert found(text) == ids


def test_an_empty_search_lists_everything_in_its_order() -> None:
    """Nothing typed yet hides nothing."""
    assert found("  ") == [item.id for item in ITEMS]


@pytest.mark.parametrize(
    ("text", "symptom"),
    [
        ("lines", "channel_lines"),
        ("glue lines", "channel_lines"),
        ("peeling", "edge_lifting"),
        ("bubbles", "air_bubbles"),
        ("scratches", "squeegee_scratches"),
        ("shrink", "edge_retreat"),
        ("rust", "rust_blisters"),
    ],
)
def test_the_word_at_the_counter_leads_to_its_symptom(base: Base, text: str, symptom: str) -> None:
    """In the rule base itself the symptom that goes by a word stands first."""
    items = [symptom_item(s) for s in base.symptoms.values()]

    assert search(items, text)[0].id == symptom


def test_a_group_has_one_heading_wherever_its_symptoms_stand() -> None:
    """A new symptom in a file of its own stands with those of its group, on lines and screens."""
    late = "symptoms:\n  - {id: tips, name: Tips, group: Edges, look: A tip is up., appears: soon,"
    late += " where: tips, source: common-practice}\n"
    reading = read_texts({"small.yaml": REST, "scales.yaml": SCALES, "own.yaml": late})
    assert reading.base is not None

    for symptoms in (in_groups(reading.base), by_group(reading.base)):
        assert [group for group, _ in groupby(symptoms, lambda s: s.group)] == ["Edges", "Raised"]
