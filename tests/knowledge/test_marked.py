"""YAML that is dangerous, or friendlier than it should be."""

from __future__ import annotations

import pytest

from diagnose.knowledge.marked import LARGEST, read

REFUSED = [
    ("a: &x 1\nb: *x", 1, 4, "anchors"),
    ("a: [&x 1, *x]", 1, 5, "anchors"),
    ("a: !!python/object/apply:os.system [ls]", 1, 4, "tags"),
    ("a: 1\n---\nb: 2", 2, 1, "one document"),
    ("a: 1\nb: 2\na: 3", 3, 1, "stands here twice; first in line 1"),
    ("a: [1, 2", 2, 1, "not readable"),
    ("a: 'x", 1, 6, "not readable"),
    ("? [a, b]\n: 1", 1, 3, "plain word"),
    ("- " * 300 + "x", 1, 81, "too deeply"),
    ("[" * 60 + "]" * 60, 1, 41, "too deeply"),
]


@pytest.mark.parametrize(("text", "line", "column", "sentence"), REFUSED)
def test_refused(text: str, line: int, column: int, sentence: str) -> None:
    """Each is refused with its place and a sentence."""
    _, problems = read("f.yaml", text)

    assert [(p.spot.line, p.spot.column) for p in problems] == [(line, column)]
    assert sentence in problems[0].sentence


def test_a_bomb_of_aliases_is_refused_before_it_is_built() -> None:
    """Nine levels of nine aliases, which would unfold to 387 million leaves (CWE-776)."""
    bomb = "a: &a [x]\n" + "".join(
        f"{chr(98 + n)}: &{chr(98 + n)} [{', '.join(['*' + chr(97 + n)] * 9)}]\n" for n in range(9)
    )

    _, problems = read("bomb.yaml", bomb)

    assert "anchors" in problems[0].sentence


PLAIN = [
    ("no", "no"),
    ("yes", "yes"),
    ("on", "on"),
    ("Off", "Off"),
    ("12:30", "12:30"),
    ("012", "012"),
    ("1e3", "1e3"),
    ("0x10", "0x10"),
    ("2026-11-25", "2026-11-25"),
    (".5", ".5"),
    ("1_000", "1_000"),
    ("'5'", "5"),
    ("5", 5),
    ("-0.3", -0.3),
    ("true", True),
    ("false", False),
    ("~", None),
    ("", None),
]


@pytest.mark.parametrize(("written", "value"), PLAIN)
def test_only_what_is_plain_is_more_than_text(written: str, value: object) -> None:
    """Nothing is guessed: only decimal numbers, true and false are more than text."""
    document, problems = read("f.yaml", f"a: {written}")

    assert not problems
    assert document.data == {"a": value}
    assert type(document.data["a"]) is type(value)


def test_very_deep_nesting_is_refused_without_a_crash() -> None:
    """Far more levels than any reader could follow."""
    for text in ("[" * 100_000, "- " * 100_000 + "x", "[\n" * 100_000):
        _, problems = read("f.yaml", text)

        assert len(problems) == 1


def test_places_are_found_again() -> None:
    """The way through keys and numbers leads to line and column."""
    document, _ = read("f.yaml", "causes:\n  - id: x\n    signs:\n      - when: {a: b}\n")

    assert str(document.spot(("causes", 0, "signs", 0, "when", "a"))) == "f.yaml:4:16"
    assert str(document.spot(("causes", 0, "nothing", 7))) == "f.yaml:2:5"


def test_a_file_without_end_is_not_read() -> None:
    """A file longer than any rule file is refused unread."""
    _, problems = read("f.yaml", "x" * (LARGEST + 1))

    assert "split it" in problems[0].sentence
