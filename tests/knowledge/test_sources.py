"""Sources: each can be found by whoever wants to, and makers are named nowhere else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.source import UNDATED
from tests.small import REST, problems

ROOT = Path(__file__).resolve().parents[2]

SOUND = (
    "\nsources:\n  - {id: peel_test, title: Peel at 180°, publisher: A body, year: 2014,"
    " reference: FTM 1, address: 'https://example.org/peel', weight: A, read: excerpt,"
    " looked_up: 2026-03-01}\n"
)
MISTAKES = [
    ("publisher: A body, ", "", "'publisher' is missing"),
    ("title: Peel at 180°, ", "", "'title' is missing"),
    ("year: 2014, ", "", "'year' is missing"),
    (", looked_up: 2026-03-01", "", "'looked_up' is missing"),
    ("year: 2014", "year: lately", "'lately' is no year"),
    ("year: 2014", "year: 20145", "'20145' is no year"),
    ("https://example.org/peel", "example.org/peel", "'example.org/peel' is no address"),
    ("https://example.org/peel", "https://peel", "'https://peel' is no address"),
    ("2026-03-01", "2026-13-01", "'2026-13-01' is no date"),
    ("weight: A", "weight: E", "E"),
    ("read: excerpt", "read: exerpt", "did you mean excerpt"),
    (" reference: FTM 1, address: 'https://example.org/peel',", "", "cannot be found"),
]


@pytest.mark.parametrize("kept", ["reference: FTM 1, ", "address: 'https://example.org/peel', "])
def test_a_source_needs_reference_or_address(kept: str) -> None:
    """Either is enough; a text without a year says so."""
    text = REST + SOUND.replace(kept, "").replace("year: 2014", f"year: {UNDATED}")

    assert not problems(text)


@pytest.mark.parametrize(("right", "wrong", "names"), MISTAKES)
def test_what_a_source_lacks_is_told(right: str, wrong: str, names: str) -> None:
    """Without what finds it again no source is taken."""
    assert right in SOUND

    found = problems(REST + SOUND.replace(right, wrong))

    assert len(found) == 1
    assert names in found[0].sentence


def test_every_shipped_source_can_be_found(base: Base) -> None:
    """Title, publisher, year or 'undated', an address or a reference, and the day of the look-up."""
    assert len(base.sources) > 100
    for source in base.sources.values():
        assert source.title, source.id
        assert source.publisher, source.id
        assert re.fullmatch(r"\d{4}|undated", source.year), source.id
        assert source.reference or source.address, source.id
        assert source.looked_up >= "2026-11-29", source.id
        assert source.note, source.id


def test_every_shipped_source_is_cited(base: Base) -> None:
    """None stands there that no statement rests on."""
    texts = " ".join(path.read_text("utf-8") for path in (ROOT / "rules").rglob("*.yaml")
                     if path.name != "sources.yaml")  # fmt: skip
    cited = {
        word
        for line in re.findall(r"\bsource: (\[[^\]]*\]|[\w-]+)", texts)
        for word in re.findall(r"[\w-]+", line)
    }

    assert set(base.sources) <= cited


def test_makers_and_sellers_are_named_as_publishers_only(base: Base) -> None:
    """Their names stand in sources.yaml and in no other rule, no case and no text of the program."""
    firms = {
        re.split(r"[;,(]", source.publisher)[0].strip()
        for source in base.sources.values()
        if source.weight == "C"
    }
    files = (
        *(path for path in (ROOT / "rules").rglob("*.yaml") if path.name != "sources.yaml"),
        *(ROOT / "cases").glob("*.yaml"),
        *(ROOT / "diagnose").rglob("*.py"),
    )
    named = re.compile(r"\b(" + "|".join(map(re.escape, sorted(firms))) + r")\b")

    assert len(firms) > 30
    assert not [
        (path.name, found[0]) for path in files if (found := named.search(path.read_text("utf-8")))
    ]
