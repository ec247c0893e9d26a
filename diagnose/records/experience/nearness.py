"""Closed complaints that are most like an open one, by what the answers weigh.

Two complaints of one symptom are alike as far as their answers move the causes the same way: of
each check answered in both, the weights of the two answers for the causes are held against each
other (their covariance over the causes, all counting alike). The same answer to a check that tells
much counts much; another answer that means the same counts too; a missing one counts for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Value, Values
from diagnose.reasoning.evidence.tables import Tables, tables
from diagnose.reasoning.explanation.explain import name_of, value_words

MOST = 3
"""Complaints that are shown."""

LARGEST = 20.0
"""Decibans that one answer counts at most: an impossible answer is no more than strong here."""


@dataclass(frozen=True, slots=True)
class PastComplaint:
    """A closed complaint: what was answered, how it ended; `worked`: an example, not the shop's.

    `title` says what an example is about. One's own cases go by their number: a title of theirs may
    name a customer, and what is like a case is read by others.
    """

    case_id: str
    number: int
    symptom: str
    cause: str
    values: Values
    remedy: str = ""
    held: bool | None = None
    cost: float | None = None
    worked: bool = False
    title: str = ""


@dataclass(frozen=True, slots=True)
class Near:
    """A closed complaint beside an open one, with the checks that are alike and that differ.

    The weightiest come first; `likeness` is in decibans squared and only ranks.
    """

    past: PastComplaint
    likeness: float
    alike: tuple[str, ...]
    differing: tuple[str, ...]


def nearest(
    base: Base, symptom: str, values: Values, past: Iterable[PastComplaint], most: int = MOST
) -> tuple[Near, ...]:
    """The closed complaints of the same symptom that are most like this one, nearest first.

    Of those alike the last one comes first, by its number. One that has nothing in common with it
    is not among them.
    """
    together = _Together(base, tables(base, symptom))
    found = [_near(together, values, one) for one in past if one.symptom == symptom]
    near = [one for one in found if one.likeness > 0]
    near.sort(key=lambda one: (one.likeness, one.past.case_id, one.past.number), reverse=True)
    return tuple(near[:most])


def _near(together: _Together, values: Values, past: PastComplaint) -> Near:
    each = {
        name: together.covariance(name, values[name], past.values[name])
        for name in together.table.rows
        if name in values and name in past.values
    }
    ranked = sorted(each, key=lambda name: (-abs(each[name]), name))
    return Near(
        past,
        sum(each.values()),
        tuple(name for name in ranked if each[name] > 0),
        tuple(name for name in ranked if each[name] < 0),
    )


class _Together:
    """How far two answers to a check move the causes the same way, each reckoned once."""

    def __init__(self, base: Base, table: Tables) -> None:
        self._base = base
        self.table = table
        self._weights: dict[tuple[str, Value], list[float]] = {}
        self._found: dict[tuple[str, Value, Value], float] = {}

    def covariance(self, name: str, one: Value, other: Value) -> float:
        """Over the causes, all counting alike."""
        key = (name, one, other)
        if key not in self._found:
            self._found[key] = _covariance(self.weights(name, one), self.weights(name, other))
        return self._found[key]

    def weights(self, name: str, value: Value) -> list[float]:
        """What the answer to a check weighs for each cause, and for the unlisted one."""
        key = (name, value)
        if key not in self._weights:
            self._weights[key] = _weights(self._base, self.table, name, value)
        return self._weights[key]


def _weights(base: Base, table: Tables, name: str, value: Value) -> list[float]:
    kind = base.observables[name].kind
    if not kind.allows(value):
        return [0.0] * (len(table.causes) + 1)
    codes = kind.codes(value)
    found = []
    for row in table.rows[name]:
        size = 0.0 if row is None else row.weight(codes)
        gone = row is not None and row.impossible(codes)
        found.append(-LARGEST if gone else max(-LARGEST, min(LARGEST, size)))
    return [*found, 0.0]


def _covariance(one: Sequence[float], other: Sequence[float]) -> float:
    count = len(one)
    mean, also = sum(one) / count, sum(other) / count
    return sum((a - mean) * (b - also) for a, b in zip(one, other, strict=True)) / count


def equal_fields(values: Values, past: PastComplaint) -> int:
    """The plain count that nearness is measured against: how many answers are equal."""
    return sum(past.values.get(name) == value for name, value in values.items())


@dataclass(frozen=True, slots=True)
class LikeCase:
    """A closed complaint in words: which it is, how it ended, what is alike and what differs."""

    name: str
    ended: str
    alike: str
    differing: str = ""


@dataclass(frozen=True, slots=True)
class LikeThis:
    """The closed complaints most like an open one; `doubt` where none ended as the answers weigh.

    `heading` says of which complaint, and whose cases they are.
    """

    heading: str
    cases: tuple[LikeCase, ...]
    doubt: str = ""

    @property
    def lines(self) -> Iterator[str]:
        """All of it line by line, each case under a hyphen, what is said of it set in."""
        yield f"{self.heading}:"
        for case in self.cases:
            yield f"- {case.name}: {case.ended}"
            yield from (f"  {words}" for words in (case.alike, case.differing) if words)
        if self.doubt:
            yield self.doubt


def like_case(base: Base, values: Values, near: Near, most: int = MOST) -> LikeCase:
    """A closed complaint in words: how it ended, what is alike, what differs."""
    past = near.past
    alike = [f"{name_of(base, n)} ({value_words(base, n, values[n])})" for n in near.alike[:most]]
    differing = [
        f"{name_of(base, n)} ({value_words(base, n, values[n])} here,"
        f" {value_words(base, n, past.values[n])} there)"
        for n in near.differing[:most]
    ]
    return LikeCase(
        f"worked case '{past.title or past.case_id}'" if past.worked else f"case {past.case_id}",
        f"{', '.join(_ended(base, past))}.",
        f"Alike: {', '.join(alike) or 'nothing'}.",
        f"Different: {', '.join(differing)}." if differing else "",
    )


def _ended(base: Base, past: PastComplaint) -> Iterator[str]:
    """Its cause, what was done, whether that held, what it cost."""
    known = past.cause in base.causes
    yield base.causes[past.cause].name.lower() if known else "something not listed"
    if past.remedy in base.remedies:
        yield base.remedies[past.remedy].name.lower()
    if past.held is not None:
        yield "it held" if past.held else "it did not hold"
    if past.cost is not None:
        yield f"cost {past.cost:,.2f}"


def like_this(
    base: Base, symptom: str, values: Values, leading: str, past: Sequence[PastComplaint]
) -> Iterator[LikeThis]:
    """The shop's nearest complaints, then the nearest worked ones, where there are any."""
    for worked in (False, True):
        near = nearest(base, symptom, values, [one for one in past if one.worked is worked])
        if near:
            whose = "worked cases" if worked else "the shop's own cases"
            yield LikeThis(
                f"{base.symptoms[symptom].name}, {whose} most like this one",
                tuple(like_case(base, values, one) for one in near),
                _doubt(base, leading, near),
            )


def _doubt(base: Base, leading: str, near: Sequence[Near]) -> str:
    if leading in {one.past.cause for one in near}:
        return ""
    name = base.causes[leading].name if leading in base.causes else "something not listed"
    return (
        f"None of these ended as {name.lower()}, which the answers weigh for: look once more at"
        " what differs before anything is done."
    )
