"""Several complaints on one car: a cause of the whole vehicle is weighed over all of them.

Some causes, if at work at all, may be at work on the whole vehicle (a cold bay, a bad roll). Model:
at most one of them is. If V is, each complaint that V can lie behind has V as its cause with the
probability `carried_over_percent`; otherwise its cause is drawn as for that complaint alone. The
chance of V is set so that each complaint taken alone keeps the shares that the rule base gives it.
This is a small Bayesian network (one node for the vehicle, one for each complaint), solved exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

from diagnose.knowledge.base import Base
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.evidence.weigh import PER_DECIBAN, Differential, normalise

MOST_AT_WORK = 0.95
"""The chance, at most, that any cause is at work on a whole vehicle; two complaints stay below."""


@dataclass(frozen=True, slots=True)
class Shared:
    """What the other complaints do to the priors of each.

    `priors[i]`: of the i-th complaint's causes and the unlisted one; `vehicle_wide`: each candidate
    cause with its probability of being at work on the whole vehicle, likeliest first.
    """

    priors: tuple[tuple[float, ...], ...]
    vehicle_wide: tuple[tuple[str, float], ...]


def together(base: Base, tables: Sequence[Tables], alone: Sequence[Differential]) -> Shared:
    """Priors of each complaint in the light of the others.

    `alone` are the differentials of the complaints, each weighed by itself on `tables`.
    """
    common = common_causes(base, tables)
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


def common_causes(base: Base, tables: Sequence[Tables]) -> list[str]:
    """Whole-vehicle causes that lie behind two complaints or more."""
    counts: dict[str, int] = {}
    for table in tables:
        for cause in table.causes:
            if cause.scope == "vehicle":
                counts[cause.id] = counts.get(cause.id, 0) + 1
    return [cause for cause in base.causes if counts.get(cause, 0) > 1]


def chances_at_work(
    base: Base, tables: Sequence[Tables], common: Sequence[str]
) -> dict[str, float]:
    """How likely each is at work on the whole vehicle, before any evidence.

    At most one is, so where many complaints have many causes in common, all are made less likely
    in proportion until there is room for none of them.
    """
    carried = base.scales.carried_over_percent / 100
    part = base.scales.vehicle_wide_percent / 100
    found = {
        v: part
        / carried
        * min(t.priors[i] for t in tables for i, c in enumerate(t.causes) if c.id == v)
        for v in common
    }
    too_many = max(1.0, sum(found.values()) / MOST_AT_WORK)
    return {v: chance / too_many for v, chance in found.items()}


def priors_given(
    base: Base, table: Tables, chances: dict[str, float], at_work: str | None
) -> tuple[float, ...]:
    """Priors of a complaint's causes if `at_work` is (or none is) at work on the whole vehicle."""
    carried = base.scales.carried_over_percent / 100
    names = [c.id for c in table.causes]
    through = [carried * chances.get(name, 0.0) for name in names]
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
