"""Whether anything listed fits what was found.

Two measures, and both must say no. The weight of evidence for the unlisted cause: how far the
answers have raised its odds. And the fit of the listed ones as they stand: summed over them, by
their probability, the chance that such a cause would leave evidence for itself as weak as what was
found, or weaker (the posterior predictive p-value of Rubin 1984 and Gelman, Meng & Stern 1996, with
the weight of evidence as the discrepancy). Either alone cries wolf: the first where a few answers
rule out what is common, the second where a cause that is at work has left little. Conditions over
several checks are left out of the second, for how often they hold with a cause is not stated.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf, log10

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Values
from diagnose.reasoning.evidence.tables import Tables

STEP = 0.25
"""Decibans to which weights are rounded when their sums are counted."""


def nothing_fits(base: Base, table: Tables, chances: Sequence[float], values: Values) -> bool:
    """Whether the answers speak against all that is listed.

    `chances`: of the causes of the table as they stand, the unlisted one last.
    """
    raised = _odds(chances[-1]) - _odds(table.priors[-1])
    speaks = raised >= base.scales.strengths["substantial"]
    return speaks and fit(base, table, chances, values) < base.scales.poor_fit_percent / 100


def _odds(chance: float) -> float:
    """Odds in decibans; what is certain has no end."""
    return 10 * log10(chance / (1 - chance)) if chance < 1 else inf


def fit(base: Base, table: Tables, chances: Sequence[float], values: Values) -> float:
    """How well what is listed fits what was found, 0 to 1; the unlisted cause counts nothing."""
    found = enumerate(chances[:-1])
    return sum(p * typical(base, table, place, values) for place, p in found if p)


def typical(base: Base, table: Tables, place: int, values: Values) -> float:
    """The chance that a cause leaves evidence as weak as what was found, or weaker.

    The sum of its weights over the checks answered, against the same sum were it at work.
    """
    counts, reached = np.ones(1), 0
    for decibans, share, outcome in _heard(base, table, place, values):
        weights = np.rint(decibans / STEP).astype(int)
        reached += int(weights[outcome] - weights.min())
        counts = _spread(counts, weights - weights.min(), share / share.sum())
    return float(counts[: reached + 1].sum())


def _spread(
    counts: NDArray[np.float64], steps: NDArray[np.int_], share: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The chances of each sum once one more weight is added."""
    grown = np.zeros(len(counts) + int(steps.max()))
    for step, chance in zip(steps.tolist(), share.tolist(), strict=True):
        grown[step : step + len(counts)] += chance * counts
    return grown


def _heard(
    base: Base, table: Tables, place: int, values: Values
) -> Iterator[tuple[NDArray[np.float64], NDArray[np.float64], int]]:
    """Of the answered checks on which a cause says something, its weights and what was met.

    Of each outcome its weight and its chance with the cause; then the number of the one met. Of
    checks that see the same thing, that which would tell most, whatever was answered. What is known
    in part and weighs one thing or another is left out.
    """
    best: dict[str, tuple[float, NDArray[np.float64], NDArray[np.float64], int]] = {}
    for name, rows in table.rows.items():
        row, value = rows[place], values.get(name)
        if row is None or value is None:
            continue
        observable = base.observables[name]
        codes, at = observable.outcome_codes, observable.kind.outcomes_of(value)
        decibans = np.array([row.weight(its) for its in codes])
        if len({decibans[outcome] for outcome in at}) == 1:
            usual = np.array(base.outcome_shares(name, table.symptom))
            share = usual * 10 ** (decibans / 10)
            tells, group = float(share @ decibans), row.group or name
            share[[row.impossible(its) for its in codes]] = 0.0
            if group not in best or tells > best[group][0]:
                best[group] = (tells, decibans, share, at[0])
    for _, decibans, share, outcome in best.values():
        yield decibans, share, outcome
