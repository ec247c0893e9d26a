"""What was read out of a person's own words, to be confirmed, corrected or struck line by line.

A line is one thing that the words may say. What is sure is taken until it is struck; what is only
like it is taken when somebody says so. Of lines about the same thing one at most is taken.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer, says
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.words.proposal import Proposal, Understood

SYMPTOM, PLACE = "symptom", "place"

SHOWN = 3
"""Symptoms and places that are offered at most."""


@dataclass(frozen=True, slots=True)
class SaidLine:
    """One thing that the words may say.

    `subject`: 'symptom', 'place', or the check of an answer; `name` and `says` in words; `words`
    are the person's, '' for what was put in by hand.
    """

    subject: str
    value: Answer
    name: str
    says: str
    words: str
    taken: bool


@dataclass(frozen=True, slots=True)
class ReadText:
    """A text, the lines read out of it, and what of it found no home."""

    text: str
    lines: tuple[SaidLine, ...]
    kept: tuple[str, ...]

    def turned(self, number: int) -> ReadText:
        """With a line struck, or taken in the place of others about the same thing."""
        line = self.lines[number]
        return self._with(line.subject, {number: not line.taken})

    def put(self, base: Base, number: int, value: Answer) -> ReadText:
        """With another value in a line, which is taken then."""
        line = self.lines[number]
        changed = replace(line, value=value, says=_says(base, line.subject, value), words="")
        lines = (*self.lines[:number], changed, *self.lines[number + 1 :])
        return replace(self, lines=lines)._with(line.subject, {number: True})

    def _with(self, subject: str, taken: Mapping[int, bool]) -> ReadText:
        lines = tuple(
            replace(line, taken=taken.get(at, line.taken and not any(taken.values())))
            if line.subject == subject
            else line
            for at, line in enumerate(self.lines)
        )
        return replace(self, lines=lines)

    @property
    def symptom(self) -> str:
        """The symptom taken, ''."""
        return next((str(v) for s, v in self._taken() if s == SYMPTOM), "")

    @property
    def panel(self) -> str:
        """The place taken, ''."""
        return next((str(v) for s, v in self._taken() if s == PLACE), "")

    @property
    def answers(self) -> Mapping[str, Answer]:
        """The answers taken, by check."""
        return {s: v for s, v in self._taken() if s not in (SYMPTOM, PLACE)}

    def _taken(self) -> Iterator[tuple[str, Answer]]:
        return ((line.subject, line.value) for line in self.lines if line.taken)


def said_of(line: SaidLine) -> str:
    """A line in words: 'Place: Bonnet ← hood'; what was put in by hand has no words behind it."""
    words = f' ← "{line.words}"' if line.words else ""
    return f"{line.name}: {line.says}{words}"


def reading(base: Base, text: str, understood: Understood) -> ReadText:
    """The lines of what was understood: symptom, place, then answers in the order of the text."""
    answers = sorted(understood.answers, key=lambda p: p.spans)
    found = (
        *_first(base, SYMPTOM, understood.symptoms),
        *_first(base, PLACE, understood.places),
        *(line for proposal in answers for line in _lines(base, proposal.subject, proposal)),
    )
    return ReadText(text, found, understood.kept)


def _first(base: Base, subject: str, proposals: tuple[Proposal, ...]) -> Iterator[SaidLine]:
    """The first few of a kind; only the very first can be taken unasked."""
    for number, proposal in enumerate(proposals[:SHOWN]):
        yield from _lines(base, subject, replace(proposal, sure=proposal.sure and not number))


def _lines(base: Base, subject: str, proposal: Proposal) -> Iterator[SaidLine]:
    for value in (proposal.value, *proposal.others):
        words = _says(base, subject, value)
        yield SaidLine(subject, value, _name(base, subject), words, proposal.words, proposal.sure)


def _name(base: Base, subject: str) -> str:
    return base.checks[subject].name if subject in base.checks else subject.capitalize()


def _says(base: Base, subject: str, value: Answer) -> str:
    if subject == SYMPTOM:
        return base.symptoms[str(value)].name
    if subject == PLACE:
        return PANELS[str(value)]
    return says(base.checks[subject], value)
