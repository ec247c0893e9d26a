"""First lines as people say them: what is proposed, and what must not be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer
from diagnose.knowledge.model.values import AllOfThese, OneOfThese
from diagnose.knowledge.panels import sideless
from diagnose.knowledge.words.proposal import Proposal, Understood
from diagnose.knowledge.words.understanding import Understanding
from diagnose.measures.quantity import Quantity

DAY = date(2026, 11, 30)
TABLE = Path(__file__).with_name("first_lines.txt")

SLACK = 0.05
"""What a number may be beside the one that was said, as a part of it."""


@dataclass(frozen=True, slots=True)
class FirstLine:
    """What is said, and what comes of it; each of `answers` and `never` is (checks, values)."""

    said: str
    symptoms: frozenset[str]
    places: frozenset[str]
    answers: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]
    never: tuple[tuple[str, str], ...]


def first_lines() -> Iterator[FirstLine]:
    """The table."""
    for line in TABLE.read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            said, symptoms, places, answers, never, *_ = [
                p.strip() for p in f"{line}||||".split("|")
            ]
            pairs = [part.split("=") for part in answers.split(", ") if part]
            yield FirstLine(
                said,
                frozenset(symptoms.split("/")),
                frozenset(filter(None, places.split("/"))),
                tuple((tuple(c.split("/")), tuple(v.split("/"))) for c, v in pairs),
                tuple(p.partition("=")[::2] for p in never.split(", ") if p),
            )


LINES = tuple(first_lines())


@pytest.fixture(scope="module")
def read(base: Base) -> dict[str, Understood]:
    """Every line of the table, read."""
    understanding = Understanding(base)
    return {line.said: understanding.read(line.said, DAY) for line in LINES}


def says(proposal: Proposal, value: str) -> bool:
    """Whether a proposal, or another that its words name, is a value of the table."""
    return any(_is(answer, value) for answer in (proposal.value, *proposal.others))


def _is(answer: Answer, value: str) -> bool:
    match answer:
        case Quantity(low=low, high=high):
            least, _, most = value.partition("..")
            ends = float(least), float(most or least)
            slack = SLACK * (1 + ends[1])
            return low <= ends[1] + slack and ends[0] <= high + slack
        case OneOfThese(words=words) | AllOfThese(words=words):
            return value in words
        case _:
            return answer == (UNKNOWN if value == "unknown" else value)


def test_the_symptom_meant_leads_nearly_always(read: dict[str, Understood]) -> None:
    """Of more than a hundred lines in all but a few; in those it is among the first three."""
    found = {line.said: [str(p.value) for p in read[line.said].symptoms[:3]] for line in LINES}
    others = [said for line in LINES if not line.symptoms & set(found[said := line.said][:1])]

    assert len(LINES) > 120
    assert len(others) <= 0.05 * len(LINES), others
    assert not [line.said for line in LINES if not line.symptoms & set(found[line.said])]


def test_the_place_meant_is_proposed(read: dict[str, Understood]) -> None:
    """First of all, with its side where one is told."""
    for line in LINES:
        first = [str(p.value) for p in read[line.said].places[:1]]
        assert not line.places or line.places & {*first, *map(sideless, first)}, line.said


def test_what_is_said_of_a_check_is_proposed(read: dict[str, Understood]) -> None:
    """Every answer that the line gives, in its own words, numbers, days and short forms."""
    counted = 0
    for line in LINES:
        named = {p.subject: p for p in read[line.said].answers}
        for checks, values in line.answers:
            found = [named[check] for check in checks if check in named]
            assert any(says(p, v) for p in found for v in values), (line.said, checks)
            counted += 1
    assert counted > 120


def test_what_only_sounds_like_it_is_not_proposed(read: dict[str, Understood]) -> None:
    """A rubber seal is no sealed edge, and film is not as old as the paint beside it."""
    counted = 0
    for line in LINES:
        symptoms = {("symptom", str(p.value)) for p in read[line.said].symptoms}
        named = {p.subject: p for p in read[line.said].answers}
        for check, value in line.never:
            said = check in named and (not value or says(named[check], value))
            assert not said, (line.said, check, value)
            assert (check, value) not in symptoms, (line.said, value)
            counted += 1
    assert counted > 20
