"""The best cases of causes are kept, and searched again where anything that decides them moved."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.reasoning.evidence.tables import Tables, tables
from diagnose.rulebook.judgement import kept_leads
from diagnose.rulebook.judgement.kept_leads import KeptLeads
from diagnose.rulebook.judgement.leading import Leads, leads
from tests.rulebook.frame import framed

OTHERWISE = {
    "a share": "causes:\n  - {id: pulled, behind: {lifting: rare}}",
    "what is asked when": ("checks:\n  - {id: adhesive, asked_when: {lines: seen}}"),
    "what cannot both be": (
        "contradictions:\n  - {id: odd, when: {adhesive: clean, lines: seen},"
        " because: they do not go together, source: memory}"
    ),
}


@pytest.fixture
def searched(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The symptoms that were searched."""
    found: list[str] = []

    def counted(base: Base, table: Tables) -> tuple[Leads, ...]:
        found.append(table.symptom)
        return leads(base, table)

    monkeypatch.setattr(kept_leads, "leads", counted)
    return found


def _of(base: Base, folder: Path) -> tuple[Leads, ...]:
    return KeptLeads(base, folder)(base, tables(base, "lifting"))


def test_what_was_searched_is_not_searched_again(tmp_path: Path, searched: list[str]) -> None:
    """A second judgement of the same base reads what the first found, to the last digit."""
    first = _of(framed(), tmp_path)

    assert _of(framed(), tmp_path) == first == leads(framed(), tables(framed(), "lifting"))
    assert searched == ["lifting"]


@pytest.mark.parametrize("change", OTHERWISE.values(), ids=OTHERWISE)
def test_what_decides_it_has_it_searched_anew(
    change: str, tmp_path: Path, searched: list[str]
) -> None:
    """Shares, what is asked when, and what cannot both be so: each has its symptom searched."""
    _of(framed(), tmp_path)
    changed = framed(change)

    assert _of(changed, tmp_path) == leads(changed, tables(changed, "lifting"))
    assert searched == ["lifting", "lifting"]


@pytest.mark.parametrize("written", ["", "{", "[1]", '[["a", "b", "c", "d", 1]]'])
def test_a_damaged_file_is_passed_over(written: str, tmp_path: Path, searched: list[str]) -> None:
    """What cannot be read is searched for again, and kept whole."""
    first = _of(framed(), tmp_path)
    (kept,) = tmp_path.iterdir()
    kept.write_text(written)

    assert _of(framed(), tmp_path) == first
    assert _of(framed(), tmp_path) == first
    assert len(searched) == 2
