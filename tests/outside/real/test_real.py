"""The corpus of published complaints hangs together, and the program does no worse on it."""

from __future__ import annotations

import re

import pytest

from diagnose.knowledge.base import Base
from diagnose.records.case.casefile import read_case
from tests.outside.real.entries import HALVES, Half
from tests.outside.real.score import scored, shares

FIRST = "H"
"""Entries of this series, and what came from their pages, are in the study half."""


@pytest.fixture(scope="session", params=HALVES)
def half(request: pytest.FixtureRequest) -> Half:
    """Each half."""
    return Half(request.param)


def test_an_entry_lies_in_the_half_of_its_page(half: Half) -> None:
    """Nobody chooses, and a page stays on one side."""
    first = {e.page for e in Half("study").entries if e.id.startswith(FIRST)}
    strays = [e.id for e in half.entries if e.half != half.name and e.page not in first]

    assert len(half.entries) > 70
    assert not strays


def test_no_page_is_on_both_sides() -> None:
    """What is studied is not judged by."""
    study, judging = ({e.page for e in Half(name).entries} for name in HALVES)

    assert study
    assert judging
    assert not study & judging


def test_there_are_enough_and_half_are_single_events() -> None:
    """At least 240 entries from 150 pages, half of them one event each."""
    entries = [e for name in HALVES for e in Half(name).entries]

    assert len(entries) >= 240
    assert len({e.page for e in entries}) >= 150
    assert 2 * sum(e.kind == "A" for e in entries) >= len(entries)


def test_every_entry_is_read_and_mapped(half: Half, base: Base) -> None:
    """A reading that the case reader takes, and causes that the base knows."""
    for entry in half.entries:
        found, problems = read_case(f"{entry.id.lower()}.yaml", half.case_text(entry), base)
        mapped = half.mapped[entry.id]

        assert found is not None, "\n".join(map(str, problems))
        assert found.case.complaints
        assert {*mapped.accept, *mapped.also} <= set(base.causes), entry.id
        assert bool(mapped.accept) + mapped.abstain + mapped.missing == 1, entry.id
    readings = {path.stem.upper() for path in (half.folder / "encoded").iterdir()}
    assert readings == {entry.id for entry in half.entries}


def test_entries_name_no_shape_of_a_name(half: Half) -> None:
    """Facts stand in own words: no addresses, no trade marks outside the line of the source."""
    lines = [
        line
        for entry in half.entries
        for line in entry.text.splitlines()
        if not line.startswith("- Source:")
    ]

    assert len(lines) > 500
    assert not [line for line in lines if re.search(r"https?://|www\.|[®™]", line)]


def test_the_study_half_does_not_get_worse(base: Base) -> None:
    """Told all, the share right among entries that have a cause in the base stays above a floor."""
    found = [s for s in scored(base, Half("study"), asking=False) if s.listed]
    told = shares([s.told.place for s in found])

    assert told.count > 100
    assert told.first >= 0.50
    assert told.three >= 0.68
