"""From pieces of what was said to proposals: what is said in most words comes first."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer, parse
from diagnose.knowledge.model.values import OR, AllOfThese
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.words.likeness import LEAST, Like
from diagnose.knowledge.words.proposal import Kind, Proposal, TextSpan, Understood, quoted
from diagnose.measures.quantity import Quantity

AGAIN = 0.3
"""What saying it once more adds, as a part of the first time."""

LIKE = 10.0
"""What full likeness to a symptom weighs beside the words that name it."""

BY_NAME = 0.5
"""What being named weighs by itself beside a mere likeness."""

FAR = 0.4
"""How much of the weight of one that is named a mere likeness must have to be shown beside it."""

SHOWN = 3
"""Symptoms that a text is only like, shown at most."""

IMPLIED = 2.0
"""What an answer weighs that the symptom itself gives."""


@dataclass(frozen=True, slots=True)
class Clue:
    """One thing said for a value, by the words `key`, with its weight."""

    kind: Kind
    subject: str
    value: Answer
    weight: float
    span: TextSpan
    sure: bool
    key: str = ""


@dataclass(frozen=True, slots=True)
class VehicleSide:
    """A side of the vehicle that was named."""

    side: str
    span: TextSpan


def decided(
    base: Base,
    text: str,
    pieces: Sequence[Clue],
    sides: Sequence[VehicleSide],
    like: Like,
) -> Understood:
    """The proposals of a text; nothing in it is left over yet."""
    symptoms = _symptoms(text, [p for p in pieces if p.kind == "symptom"], like)
    implied = _implied(base, symptoms[:1])
    by: dict[str, list[Clue]] = defaultdict(list)
    told = [p for p in pieces if p.kind == "answer" and _fits(base, p, symptoms[:1])]
    for piece in (*told, *implied):
        by[piece.subject].append(piece)
    answers = tuple(_one(base, text, _exact(by[subject])) for subject in sorted(by))
    places = sorted(
        _ranked(text, [p for p in pieces if p.kind == "place"]),
        key=lambda place: place.value in base.words.wide,
    )
    either = Counter(place.spans for place in places)
    known = [replace(p, sure=p.sure and either[p.spans] == 1) for p in places]
    nearest = sorted(known, key=lambda place: either[place.spans] > 1)
    return Understood(symptoms, tuple(_sided(text, p, sides) for p in nearest), answers)


def _exact(pieces: Sequence[Clue]) -> Sequence[Clue]:
    """The pieces without phrases out of a number that is there: of 'ten days old', 'days old'."""
    numbers = [p.span for p in pieces if isinstance(p.value, Quantity) and not p.key]
    return [p for p in pieces if not p.key or not any(_cross(p.span, its) for its in numbers)]


def _cross(one: TextSpan, other: TextSpan) -> bool:
    return one.start < other.end and other.start < one.end


def _fits(base: Base, piece: Clue, symptoms: Sequence[Proposal]) -> bool:
    """Whether one word can say this here: 'scraped' tells nothing of removal at a lifted edge."""
    if piece.weight > 1 or not symptoms or not symptoms[0].sure:
        return True
    check, group = base.checks[piece.subject], base.symptoms[str(symptoms[0].value)].group
    groups = {
        base.symptoms[name].group if name in base.symptoms else name for name in check.asked_at
    }
    return not groups or group in groups


def _symptoms(text: str, pieces: Sequence[Clue], like: Like) -> tuple[Proposal, ...]:
    """The symptoms named, ranked with what the text is like; where none is named, the likest."""
    named = [
        replace(p, weight=p.weight + BY_NAME + LIKE * like.cosine(str(p.value)))
        for p in _ranked(text, pieces)
    ]
    known = {p.value for p in named}
    least = max(LEAST, FAR / LIKE * max((p.weight for p in named), default=0))
    others = sorted(
        (-cosine, symptom)
        for symptom, cosine in like.cosines.items()
        if cosine >= least and symptom not in known
    )
    alike = [_alike(text, like, symptom) for _, symptom in others[:SHOWN]]
    found = [*named, *(p for p in alike if len(p.spans) > 1)]
    return tuple(sorted(found, key=lambda p: (-p.weight, p.spans[0], str(p.value))))


def _alike(text: str, like: Like, symptom: str) -> Proposal:
    spans = tuple(sorted({TextSpan(w.start, w.end) for w in like.likest(symptom)}))
    weight = LIKE * like.cosine(symptom)
    return Proposal("symptom", "", symptom, quoted(text, spans), spans, False, weight)


def _implied(base: Base, symptoms: Sequence[Proposal]) -> Iterator[Clue]:
    """What the symptom itself says: film out of its recess is in a recess."""
    for symptom in (s for s in symptoms if s.sure):
        for check, value in base.words.implied.get(str(symptom.value), {}).items():
            answer = parse(base.checks[check], value)
            yield Clue("answer", check, answer, IMPLIED, symptom.spans[0], False)


def _weights(pieces: Iterable[Clue]) -> Mapping[Answer, float]:
    """What speaks for each value: what is said again in the same words counts little."""
    said: dict[Answer, Counter[tuple[str, float]]] = defaultdict(Counter)
    for piece in pieces:
        said[piece.value][piece.key, piece.weight] += 1
    return {
        value: sum(w * (1 + AGAIN * (count - 1)) for (_, w), count in its.items())
        for value, its in said.items()
    }


def _ranked(text: str, pieces: Sequence[Clue]) -> Iterator[Proposal]:
    """Each value as a proposal; of what is said in as many words, what is said first."""
    weights = _weights(pieces)
    first = {v: min(p.span for p in pieces if p.value == v) for v in weights}
    for value in sorted(weights, key=lambda v: (-weights[v], first[v], str(v))):
        its = [p for p in pieces if p.value == value]
        spans = tuple(sorted({p.span for p in its}))
        yield Proposal(
            its[0].kind,
            its[0].subject,
            value,
            quoted(text, spans),
            spans,
            any(p.sure for p in its),
            weights[value],
        )


def _one(base: Base, text: str, pieces: Sequence[Clue]) -> Proposal:
    """The answer of one check; where words say several of which one is right, it is not sure."""
    first, *rest = _ranked(text, pieces)
    together = [p.value for p in (first, *rest) if isinstance(p.value, AllOfThese)]
    if rest and len(together) == len(rest) + 1:
        return _together(base, text, first, rest, together)
    others = tuple(other.value for other in rest if not _meets(first.value, other.value))
    return replace(first, sure=False, others=others) if others else first


def _together(
    base: Base, text: str, first: Proposal, rest: Sequence[Proposal], values: Sequence[AllOfThese]
) -> Proposal:
    """Answers that can be right together, all of them; an 'or' or a 'none' there is a doubt."""
    words = {word for value in values for word in value.words}
    ordered = tuple(word for word in base.checks[first.subject].answers if word in words)
    spans = tuple(sorted({span for p in (first, *rest) for span in p.spans}))
    either = any(OR.search(text[a.end : b.start]) for a, b in pairwise(spans))
    sure = all(p.sure for p in (first, *rest)) and all(v.words for v in values) and not either
    return replace(
        first, value=AllOfThese(ordered), spans=spans, words=quoted(text, spans), sure=sure
    )


def _meets(one: Answer, other: Answer) -> bool:
    """Whether two readings have a value in common: three weeks, and some weeks."""
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        return one.low <= other.high and other.low <= one.high
    return False


def _sided(text: str, place: Proposal, sides: Sequence[VehicleSide]) -> Proposal:
    """The place with its side; where none or both are told, either of them, which is a likeness."""
    name = str(place.value)
    if name in PANELS:
        return place
    told = list(dict.fromkeys(s.side for s in sides))
    if len(told) != 1:
        return replace(place, value=f"{name}_left", sure=False, others=(f"{name}_right",))
    spans = tuple(sorted({*place.spans, sides[0].span}))
    return replace(place, value=f"{name}_{told[0]}", spans=spans, words=quoted(text, spans))
