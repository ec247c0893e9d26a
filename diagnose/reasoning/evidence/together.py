"""Several complaints on one car: a cause of the whole vehicle is weighed over all of them.

Some causes, if at work at all, may be at work on the whole vehicle (a cold bay, a bad roll). One of
a single place that is plain in one complaint may be at work at others too, where what it comes from
reaches further than a hand's stroke (paint of the same repair). Model: at most one of them is. If V
is, each complaint that V can lie behind has V as its cause with the probability
`carried_over_percent`; otherwise its cause is drawn as for that complaint alone, less what V has of
it by being at work elsewhere.

The chance of a V of the whole vehicle is set so that each complaint taken alone keeps the shares
that the rule base gives it: age and cold are at work on many cars and explain little where their
share is small. That of a V of a place is taken from the complaint in which it is likeliest: fresh
paint is on few cars, and a complaint behind which it is rare tells nothing against it on this one.
This is a small Bayesian network (one node for the vehicle, one for each complaint), solved exactly.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp, log

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.evidence.weigh import PER_DECIBAN, Differential, normalise

MOST_AT_WORK = 0.95
"""The chance, at most, that any cause is at work on a whole vehicle; two complaints stay below."""


@dataclass(frozen=True, slots=True)
class Shared:
    """What the other complaints do to the priors of each.

    `priors[i]`: of the i-th complaint's causes and the unlisted one; `vehicle_wide`: each candidate
    cause with its probability of being at work on more than one place, likeliest first.
    """

    priors: tuple[tuple[float, ...], ...]
    vehicle_wide: tuple[tuple[str, float], ...]


def together(base: Base, tables: Sequence[Tables], alone: Sequence[Differential]) -> Shared:
    """Priors of each complaint in the light of the others.

    `alone` are the differentials of the complaints, each weighed by itself on `tables`.
    """
    common = common_causes(base, tables, alone)
    if not common:
        return Shared(tuple(t.priors for t in tables), ())
    chances = chances_at_work(base, tables, common)
    hypotheses: list[str | None] = [None, *common]
    odds = [log(1 - sum(chances.values())), *(log(chances[v]) for v in common)]
    given = [[priors_given(base, t, chances, h) for h in hypotheses] for t in tables]
    fits = [
        [log(max(fit(table, d, prior), 1e-300)) for prior in its]
        for table, d, its in zip(tables, alone, given, strict=True)
    ]
    priors = []
    for i, its in enumerate(given):
        rest = [o + sum(f[h] for j, f in enumerate(fits) if j != i) for h, o in enumerate(odds)]
        share = normalise(rest)
        priors.append(
            tuple(
                sum(s * p[c] for s, p in zip(share, its, strict=True)) for c in range(len(its[0]))
            )
        )
    after = normalise([o + sum(f[h] for f in fits) for h, o in enumerate(odds)])
    ranked = sorted(zip(common, after[1:], strict=True), key=lambda pair: (-pair[1], pair[0]))
    return Shared(tuple(priors), tuple(ranked))


def common_causes(base: Base, tables: Sequence[Tables], alone: Sequence[Differential]) -> list[str]:
    """Causes that may be at work in several complaints: they lie behind two or more.

    Those of the whole vehicle, and those of a place that are probable in one complaint by itself.
    """
    counts = Counter(cause.id for table in tables for cause in table.causes)
    plain = {
        cause
        for table, its in zip(tables, alone, strict=True)
        for cause, share in _by_itself(table, its)
        if share >= base.scales.probable_percent / 100
    }
    return [
        cause.id
        for cause in base.causes.values()
        if counts[cause.id] > 1
        and (cause.scope == "vehicle" or (cause.id in plain and _part(base, cause) > 0))
    ]


def _by_itself(table: Tables, its: Differential) -> Iterator[tuple[str, float]]:
    """The causes of a complaint with their probability on its own evidence alone."""
    total = fit(table, its, table.priors)
    for cause, prior in zip(table.causes, table.priors, strict=False):
        standing = its.of(cause.id)
        if not standing.ruled_out:
            yield cause.id, prior * exp(PER_DECIBAN * standing.decibans) / total


def chances_at_work(
    base: Base, tables: Sequence[Tables], common: Sequence[str]
) -> dict[str, float]:
    """How likely each is at work on the whole vehicle, before any evidence.

    At most one is, so where many complaints have many causes in common, all are made less likely
    in proportion until there is room for none of them.
    """
    carried = base.scales.carried_over_percent / 100
    behind = [(c, p) for t in tables for c, p in zip(t.causes, t.priors, strict=False)]
    found = {
        v: _reaching([(_part(base, c), p, c.scope) for c, p in behind if c.id == v]) / carried
        for v in common
    }
    too_many = max(1.0, sum(found.values()) / MOST_AT_WORK)
    return {v: chance / too_many for v, chance in found.items()}


def _part(base: Base, cause: Cause) -> float:
    """Of a cause's share behind a symptom, the part in which it is at work elsewhere too."""
    if cause.scope == "vehicle":
        return base.scales.vehicle_wide_percent / 100
    return base.scales.elsewhere_percent.get(cause.origin, 0.0) / 100


def _reaching(shares: Sequence[tuple[float, float, str]]) -> float:
    """How often a cause reaches further than a place, by its shares behind the complaints."""
    reaching = [part * share for part, share, _ in shares]
    return min(reaching) if shares[0][2] == "vehicle" else max(reaching)


def priors_given(
    base: Base, table: Tables, chances: dict[str, float], at_work: str | None
) -> tuple[float, ...]:
    """Priors of a complaint's causes if `at_work` is (or none is) at work on the whole vehicle."""
    carried = base.scales.carried_over_percent / 100
    names = [c.id for c in table.causes]
    through = [
        min(_part(base, c) * p, carried * chances[c.id]) if c.id in chances else 0.0
        for c, p in zip(table.causes, table.priors, strict=False)
    ]
    left = 1 - sum(through)
    local = [(p - t) / left for p, t in zip(table.priors, [*through, 0.0], strict=True)]
    if at_work not in names:
        return tuple(local)
    place = names.index(at_work)
    return tuple((1 - carried) * p + (carried if i == place else 0) for i, p in enumerate(local))


def fit(table: Tables, alone: Differential, prior: Sequence[float]) -> float:
    """How well a complaint's evidence fits these priors, up to a factor common to all."""
    standing = {s.cause.id: s for s in alone.standings}
    total = prior[-1]
    for cause, p in zip(table.causes, prior, strict=False):
        its = standing[cause.id]
        if not its.ruled_out:
            total += p * exp(PER_DECIBAN * its.decibans)
    return total
