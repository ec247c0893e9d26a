"""Why a case moved: which statements weigh otherwise for it, in decibans and in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers
from diagnose.knowledge.logic.said import word
from diagnose.knowledge.model import Cause, Sign
from diagnose.knowledge.model.conditions import Values
from diagnose.reasoning.evidence.weigh import Weight, weights_of
from diagnose.reasoning.explanation.explain import name_of, value_words
from diagnose.rulebook.change.replay import Replay, Told

NOTICED = 0.25
"""Decibans under which a weight has not changed."""

MOST_REASONS = 3
"""How many reasons are told of a case: those that matter most."""


@dataclass(frozen=True, slots=True)
class FeltChange:
    """A change that a case felt: of which cause, by how many decibans, in words."""

    cause: str
    decibans: float
    says: str


@dataclass(frozen=True, slots=True)
class _Heard:
    """What a base makes of a case."""

    base: Base
    symptom: str
    values: Values
    chances: dict[str, float]
    weights: dict[str, tuple[Weight, ...]]

    def cause(self, name: str) -> Cause | None:
        return self.base.causes.get(name) if name in self.weights else None


def heard(replay: Replay, symptom: str, record: Answers, told: Told) -> _Heard:
    """What a base makes of a record, cause by cause."""
    table = replay.table(symptom)
    values = replay.follow(symptom, [record]).values[0]
    fired = {
        (table.causes[extra.cause].id, extra.number)
        for extra in table.extras
        if extra.sign.when.holds(values)
    }
    weights = {
        cause.id: weights_of(replay.base, table, place, values, fired)
        for place, cause in enumerate(table.causes)
    }
    return _Heard(replay.base, symptom, values, dict(told.chances), weights)


def reasons(old: _Heard, new: _Heard) -> tuple[FeltChange, ...]:
    """What changed for a case, the change that moved most probability first."""
    causes = dict.fromkeys((*old.weights, *new.weights))
    found = [(reason, _chance(old, new, c)) for c in causes for reason in _of_cause(old, new, c)]
    found.sort(key=lambda f: -abs(f[0].decibans) * f[1])
    told = tuple(reason for reason, _ in found[:MOST_REASONS])
    return told or tuple(islice(_untold(old, new), MOST_REASONS))


def _untold(old: _Heard, new: _Heard) -> Iterator[FeltChange]:
    """What is otherwise behind the symptom and this case did not tell; it changes the questions."""
    for name in new.weights:
        before = old.base.rows(old.base.causes[name], old.symptom)
        after = new.base.rows(new.base.causes[name], new.symptom)
        for subject in dict.fromkeys((*before, *after)):
            was, now = before.get(subject), after.get(subject)
            if (was and was.decibans) != (now and now.decibans):
                its = new if now else old
                shows = f"{its.base.causes[name].name} shows {name_of(its.base, subject)} otherwise"
                yield FeltChange(name, 0.0, f"{shows}, which this case did not tell")


def _chance(old: _Heard, new: _Heard, cause: str) -> float:
    return max(old.chances.get(cause, 0.0), new.chances.get(cause, 0.0)) + 1e-3


def _of_cause(old: _Heard, new: _Heard, name: str) -> Iterator[FeltChange]:
    before, after = old.cause(name), new.cause(name)
    if before is None or after is None:
        there = after or before
        assert there is not None
        word = "is new" if before is None else "stands no longer"
        yield FeltChange(
            name, 99.0, f"{there.name} {word} behind {new.base.symptoms[new.symptom].name}"
        )
        return
    yield from _share(old, new, before, after)
    yield from _out(old, new, before, after)
    yield from _weights(old, new, after)


def _share(old: _Heard, new: _Heard, before: Cause, after: Cause) -> Iterator[FeltChange]:
    was, now = before.behind[old.symptom], after.behind[new.symptom]
    if was != now:
        behind = new.base.symptoms[new.symptom].name
        says = f"{after.name} is {_share_said(now)} behind {behind}, was {_share_said(was)}"
        yield FeltChange(after.id, 10.0, says)


def _out(old: _Heard, new: _Heard, before: Cause, after: Cause) -> Iterator[FeltChange]:
    was, now = _ruled_out(old, before), _ruled_out(new, after)
    if was != now:
        says = f"{after.name} is {'now' if now else 'no longer'} ruled out: {now or was}"
        yield FeltChange(after.id, 99.0, says)


def _ruled_out(heard: _Heard, cause: Cause) -> str:
    """Why a cause is ruled out; '' where it is not."""
    held = (
        out for out in heard.base.rule_outs(cause, heard.symptom) if out.when.holds(heard.values)
    )
    return next((out.because for out in held), "")


def _weights(old: _Heard, new: _Heard, cause: Cause) -> Iterator[FeltChange]:
    before, after = _by_subjects(old, cause), _by_subjects(new, cause)
    for subjects in dict.fromkeys((*before, *after)):
        was, now = before.get(subjects, ()), after.get(subjects, ())
        moved = _sum(now) - _sum(was)
        if abs(moved) >= NOTICED:
            yield FeltChange(cause.id, moved, _weight_words(old, new, cause, subjects, was, now))


Weights = tuple[Weight, ...]


def _by_subjects(heard: _Heard, cause: Cause) -> dict[tuple[str, ...], Weights]:
    found: dict[tuple[str, ...], Weights] = {}
    for weight in heard.weights[cause.id]:
        if weight.counts:
            found[weight.subjects] = (*found.get(weight.subjects, ()), weight)
    return found


def _sum(weights: Weights) -> float:
    return sum(weight.decibans for weight in weights)


def _weight_words(
    old: _Heard,
    new: _Heard,
    cause: Cause,
    subjects: Sequence[str],
    was: Weights,
    now: Weights,
) -> str:
    its = new if all(s in new.values for s in subjects) else old
    seen = " and ".join(f"{name_of(its.base, s)} “{_value(its, s)}”" for s in subjects)
    sign = next((w.sign for w in (*now, *was) if w.sign), None)
    return (
        f"{seen} speaks {_size(new.base, now)} {cause.name}, was {_size(old.base, was)}"
        f"{_because(sign)}"
    )


def _because(sign: Sign | None) -> str:
    return f": {sign.because}" if sign else ""


def _size(base: Base, weights: Weights) -> str:
    total = _sum(weights)
    if abs(total) < NOTICED:
        return "0 dB for"
    way = "for" if total > 0 else "against"
    return f"{abs(total):.1f} dB ({word(base.scales, total)}) {way}"


def _value(heard: _Heard, subject: str) -> str:
    return value_words(heard.base, subject, heard.values[subject])


def _share_said(share: float | str) -> str:
    return share.replace("_", " ") if isinstance(share, str) else f"{share:g} in a hundred"
