"""Every check of this folder names its sources so that anybody can find them."""

from __future__ import annotations

import re

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Source
from tests.outside.sources import HERE, own_sources

OWN = own_sources()


@pytest.mark.parametrize("source", OWN.values(), ids=lambda source: source.id)
def test_a_source_of_a_check_can_be_found(source: Source) -> None:
    """It has title, publisher, year or 'undated', and an address or a reference."""
    assert source.title
    assert source.publisher
    assert re.fullmatch(r"\d{4}|undated", source.year)
    assert source.reference or source.address


def test_no_source_is_held_twice(base: Base) -> None:
    """What the rule base cites is not listed here again, by its id or by its address."""
    places = {source.address for source in base.sources.values() if source.address}

    assert not set(OWN) & set(base.sources)
    assert not [s.id for s in OWN.values() if s.address in places]


def test_every_source_is_named_beside_a_check() -> None:
    """Each id stands in the data or beside the numbers of a test."""
    files = (*HERE.glob("*.py"), *(HERE / "data").glob("*"))
    text = " ".join(f.read_text("utf-8") for f in files if f.name != "sources.yaml")
    named = set(re.findall(r"\w+", text))

    assert set(OWN) <= named, set(OWN) - named
