"""Weights of evidence: from what is known to the probability of each cause.

Prior log-odds plus decibans, normalised over the causes of a symptom and the unlisted one
(Good 1950: weight of evidence is ten times the decimal logarithm of a Bayes factor). Of signs that
see the same thing (one group) only the strongest counts. What is ruled out is left out.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from math import exp, log

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.model import Cause, Sign
from diagnose.knowledge.model.conditions import Values
from diagnose.reasoning.evidence.chain import Held, Trace
from diagnose.reasoning.evidence.tables import Extra, Tables

PER_DECIBAN = log(10) / 10


@dataclass(frozen=True, slots=True)
class Weight:
    """What one check, measure or sign adds to a cause.

    `sign` is None where the cause says nothing of this answer and its silence speaks. `counts` is
    False where a stronger one of the same group is counted instead.
    """

    subjects: tuple[str, ...]
    decibans: float
    sign: Sign | None
    group: str | None
    counts: bool = True


@dataclass(frozen=True, slots=True)
class Standing:
    """A cause behind a symptom with its probability and everything that brought it there."""

    symptom: str
    cause: Cause
    prior: float
    probability: float
    weights: tuple[Weight, ...]
    ruled_out: tuple[Held, ...]

    @property
    def decibans(self) -> float:
        """The sum of the weights that count."""
        return sum(w.decibans for w in self.weights if w.counts)


@dataclass(frozen=True, slots=True)
class Differential:
    """The causes behind a symptom, likeliest first, and the chance that it is none of them."""

    symptom: str
    standings: tuple[Standing, ...]
    unlisted: float
    unlisted_prior: float

    @property
    def leading(self) -> Standing | None:
        """The likeliest cause that is not ruled out."""
        alive = [s for s in self.standings if not s.ruled_out]
        return alive[0] if alive else None

    def of(self, cause: str) -> Standing:
        """The standing of a cause; KeyError where it does not lie behind the symptom."""
        for standing in self.standings:
            if standing.cause.id == cause:
                return standing
        raise KeyError(cause)


def weigh(base: Base, table: Tables, trace: Trace) -> Differential:
    """The differential that a trace amounts to."""
    fired = {(held.owner, held.number) for held in trace.signs}
    places = range(len(table.causes))
    seen = _seen(base, table, trace.values)
    weights = [_weights(table, place, seen, fired) for place in places]
    outs = [_outs(table, trace, place, seen) for place in places]
    logs = [
        None if out else log(prior) + PER_DECIBAN * sum(w.decibans for w in its if w.counts)
        for prior, its, out in zip(table.priors, weights, outs, strict=False)
    ]
    shares = normalise([*logs, log(table.priors[-1])])
    standings = [
        Standing(table.symptom, cause, prior, share, its, out)
        for cause, prior, share, its, out in zip(
            table.causes, table.priors, shares, weights, outs, strict=False
        )
    ]
    ranked = sorted(standings, key=lambda s: (bool(s.ruled_out), -s.probability, s.cause.id))
    return Differential(table.symptom, tuple(ranked), shares[-1], table.priors[-1])


Seen = Sequence[tuple[str, Sequence[int], tuple[CauseRow | None, ...]]]
"""What is known and a row speaks of: its name, the answers that it may be, the rows of all causes.

Looked for once for all causes: there are many more rows than answers.
"""


def _seen(base: Base, table: Tables, values: Values) -> Seen:
    return [
        (name, base.observables[name].kind.codes(value), rows)
        for name, rows in table.rows.items()
        if (value := values.get(name)) is not None
    ]


def _outs(table: Tables, trace: Trace, place: int, seen: Seen) -> tuple[Held, ...]:
    """What rules a cause out, be it each of several answers of which one is right."""
    cause = table.causes[place]
    told = tuple(held for held in trace.ruled_out if held.owner == cause.id)
    return told or tuple(_lost(table, trace.values, place, seen))


def _lost(table: Tables, values: Values, place: int, seen: Seen) -> Iterator[Held]:
    for name, at, rows in seen:
        row = rows[place]
        if row is None or not row.ruled_out:
            continue
        if row.lost(at):
            value = values[name]
            for number, out in enumerate(row.outs):
                if out.when.holds({name: value}) is None:
                    yield Held(table.causes[place].id, number, out, {name: value})


def normalise(logs: Sequence[float | None]) -> list[float]:
    """Probabilities from logarithms of odds; None is impossible."""
    top = max(x for x in logs if x is not None)
    raw = [0.0 if x is None else exp(x - top) for x in logs]
    total = sum(raw)
    return [x / total for x in raw]


def weights_of(
    base: Base, table: Tables, place: int, values: Values, fired: Container[tuple[str, int]]
) -> tuple[Weight, ...]:
    """Everything that is known and says something of a cause, in a fixed order.

    `fired` are the signs that hold, by cause and number; those in tables need not be among them.
    """
    return _weights(table, place, _seen(base, table, values), fired)


def _weights(
    table: Tables, place: int, seen: Seen, fired: Container[tuple[str, int]]
) -> tuple[Weight, ...]:
    return strongest_of_groups([*_from_rows(seen, place), *_from_extras(table, fired, place)])


def _from_rows(seen: Seen, place: int) -> Iterator[Weight]:
    for name, at, rows in seen:
        cells = rows[place]
        if cells is not None and (size := cells.weight(at)):
            yield Weight((name,), size, cells.sign(at), cells.group)


def _from_extras(table: Tables, fired: Container[tuple[str, int]], place: int) -> list[Weight]:
    cause = table.causes[place].id
    return [_extra(e) for e in table.extras if e.cause == place and (cause, e.number) in fired]


def _extra(extra: Extra) -> Weight:
    return Weight(tuple(extra.sign.when.subjects()), extra.decibans, extra.sign, extra.sign.group)


def strongest_of_groups(weights: Sequence[Weight]) -> tuple[Weight, ...]:
    """The same weights, of which only the largest of each group counts; the first of equals."""
    best: dict[str, Weight] = {}
    for weight in weights:
        if weight.group and (
            weight.group not in best or abs(weight.decibans) > abs(best[weight.group].decibans)
        ):
            best[weight.group] = weight
    chosen = {id(weight) for weight in best.values()}
    return tuple(w if not w.group or id(w) in chosen else _not_counted(w) for w in weights)


def _not_counted(weight: Weight) -> Weight:
    return Weight(weight.subjects, weight.decibans, weight.sign, weight.group, counts=False)
