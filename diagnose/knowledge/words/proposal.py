"""What is read from a person's words: proposals to be confirmed, and what is left over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from diagnose.knowledge.logic.answers import Answer

Kind = Literal["symptom", "place", "answer"]


@dataclass(frozen=True, slots=True, order=True)
class TextSpan:
    """A stretch of the text, from `start` up to `end`."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Proposal:
    """Something that the words say.

    `subject` is the check of an answer, else ''; `value` the id of a symptom or place, or the
    answer; `words` those of the text that say it. Not `sure` is what is only like it: said with a
    'perhaps', misspelt, or beside words that say one of `others`.
    """

    kind: Kind
    subject: str
    value: Answer
    words: str
    spans: tuple[TextSpan, ...]
    sure: bool
    weight: float
    others: tuple[Answer, ...] = ()


@dataclass(frozen=True, slots=True)
class Named:
    """Something named that is no answer by itself, and the statement that it stands in.

    `outside`: what works on film beside how it was made and laid; `later_owner`: that who claims
    is not the first owner.
    """

    role: Literal["outside", "later_owner"]
    span: TextSpan
    statement: str


@dataclass(frozen=True, slots=True)
class Understood:
    """What a text says, the likeliest symptom and the nearest place first.

    `kept` are the parts of it that say nothing that the rules know.
    """

    symptoms: tuple[Proposal, ...]
    places: tuple[Proposal, ...]
    answers: tuple[Proposal, ...]
    kept: tuple[str, ...] = ()
    named: tuple[Named, ...] = ()


def quoted(text: str, spans: Sequence[TextSpan]) -> str:
    """The words of a text at some spans, each once, what lies between left out."""
    apart: list[TextSpan] = []
    for span in sorted(spans):
        if apart and span.start < apart[-1].end:
            apart[-1] = TextSpan(apart[-1].start, max(apart[-1].end, span.end))
        else:
            apart.append(span)
    return " … ".join(" ".join(text[s.start : s.end].split()) for s in apart)
