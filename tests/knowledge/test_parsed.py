"""Files parsed before are not parsed again, and say the same, places and problems too."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.knowledge import marked
from diagnose.knowledge.reading.parsed import ParsedBefore

TEXT = """
causes:
  - {id: one, behind: {lifting: 1.5, fading: rare}, ok: true, none: ~}
  - id: two
    says: "012"
"""
WAY = ("causes", 1, "says")


@pytest.fixture
def parsed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the files that were parsed."""
    names: list[str] = []
    plain = marked.read

    def counted(name: str, text: str) -> object:
        names.append(name)
        return plain(name, text)

    monkeypatch.setattr(marked, "read", counted)
    return names


def test_in_a_later_run_data_and_places_are_the_same(tmp_path: Path, parsed: list[str]) -> None:
    """Nothing is parsed until a place is asked for; then it is found."""
    plain, _ = marked.read("a.yaml", TEXT)
    ParsedBefore(tmp_path)("a.yaml", TEXT)
    parsed.clear()
    again, problems = ParsedBefore(tmp_path)("a.yaml", TEXT)

    assert (again.data, problems, parsed) == (plain.data, [], [])
    assert again.spot(WAY) == plain.spot(WAY)
    assert again.spot(WAY).line == 5
    assert parsed == ["a.yaml"]


def test_what_changed_is_parsed(tmp_path: Path, parsed: list[str]) -> None:
    """One other letter is another file."""
    parse = ParsedBefore(tmp_path)
    parse("a.yaml", TEXT)
    assert parse("a.yaml", TEXT.replace("two", "six"))[0].data["causes"][1]["id"] == "six"
    assert len(parsed) == 2


@pytest.mark.parametrize("text", ["a: 1\na: 2\n", "a: [", "- &x 1\n- *x\n", ""])
def test_what_is_at_fault_is_never_kept(tmp_path: Path, text: str) -> None:
    """Its problems are told each time."""
    parse = ParsedBefore(tmp_path)

    assert parse("a.yaml", text)[1] == parse("a.yaml", text)[1] == marked.read("a.yaml", text)[1]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("written", ["", "{", "null"])
def test_a_damaged_file_is_passed_over(tmp_path: Path, written: str) -> None:
    """What is kept and cannot be read is parsed again."""
    ParsedBefore(tmp_path)("a.yaml", TEXT)
    (kept,) = tmp_path.iterdir()
    kept.write_text(written)

    assert ParsedBefore(tmp_path)("a.yaml", TEXT)[0].data == marked.read("a.yaml", TEXT)[0].data
