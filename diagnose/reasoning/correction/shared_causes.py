"""How the complaints of a car hang together: by which cause is at work on the whole vehicle.

The same small network as in `together`, read the other way: for each cause that may be at work on
the whole vehicle (or none), its probability, and the causes of each complaint in that case.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.correction.joint import World
from diagnose.reasoning.correction.situation import Situation
from diagnose.reasoning.diagnosis import Diagnosis
from diagnose.reasoning.evidence.tables import Tables, tables
from diagnose.reasoning.evidence.together import chances_at_work, common_causes, fit, priors_given
from diagnose.reasoning.evidence.weigh import PER_DECIBAN, normalise

AGREES = 1e-6
"""How near the worlds must come to the complaint's own probabilities, taken together."""


def worlds(base: Base, stand: Sequence[Situation]) -> tuple[World, ...]:
    """The ways in which the complaints hang together, as they stand.

    Empty (independent) where no cause is shared, where something is supposed, or where the shares
    were learned from a shop's own outcomes and the rule base's do not give these probabilities.
    """
    plain = [tables(base, s.diagnosis.complaint.symptom, None) for s in stand]
    common = common_causes(base, plain, [s.diagnosis.differential for s in stand])
    if not common:
        return ()
    chances = chances_at_work(base, plain, common)
    hypotheses: list[str | None] = [None, *common]
    odds = [log(1 - sum(chances.values())), *(log(chances[v]) for v in common)]
    given = [[priors_given(base, t, chances, h) for h in hypotheses] for t in plain]
    for n, (its, table) in enumerate(zip(stand, plain, strict=True)):
        fits = [fit(table, its.diagnosis.differential, prior) for prior in given[n]]
        odds = [o + log(max(f, 1e-300)) for o, f in zip(odds, fits, strict=True)]
    after = normalise(odds)
    found = tuple(
        World(
            chance,
            tuple(
                _shares(its, table, given[n][h])
                for n, (its, table) in enumerate(zip(stand, plain, strict=True))
            ),
        )
        for h, chance in enumerate(after)
    )
    return found if _agree(found, stand) else ()


def _shares(its: Situation, table: Tables, prior: Sequence[float]) -> tuple[float, ...]:
    """Probabilities of a complaint's causes under given priors, in the order of its shares."""
    weighed = _weighed(its.diagnosis, table, prior)
    total = sum(weighed.values())
    return tuple(weighed[name] / total for name in its.shares)


def _weighed(diagnosis: Diagnosis, table: Tables, prior: Sequence[float]) -> dict[str, float]:
    alive = {s.cause.id: s for s in diagnosis.differential.standings if not s.ruled_out}
    found = {
        cause.id: p * exp(PER_DECIBAN * alive[cause.id].decibans)
        for cause, p in zip(table.causes, prior, strict=False)
        if cause.id in alive
    }
    return {**found, UNLISTED: prior[-1]}


def _agree(found: Sequence[World], stand: Sequence[Situation]) -> bool:
    return all(
        abs(sum(w.chance * w.shares[n][k] for w in found) - share) < AGREES
        for n, its in enumerate(stand)
        for k, share in enumerate(its.shares.values())
    )
