"""Lots, films, installers, weeks whose claims differ from the others', by an exact test.

For each value and each symptom: of N claims K are of the symptom; the value has n of them, k of the
symptom. Under no difference k is hypergeometric; the upper tail is Fisher's exact test, one-sided
(Fisher 1935). All comparisons of lots are corrected together by Holm (1979), and so are those of
installers and of each other kind, so that the chance of naming any lot wrongly stays under the
level. A backlog does not say how many jobs a value had, so the test speaks of kinds of fault among
claims, not of how many claims there are.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import lgamma

import numpy as np
import polars as pl
from numpy.typing import NDArray

LEVEL = 0.05

LEAST = 3
"""Claims of a value from which it is compared at all."""

NOTHING_MORE = 1e-17
"""Part of a sum under which a further term changes no digit of it."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Standout:
    """A value with more claims of a symptom than chance gives; `p` is corrected."""

    what: str
    value: str
    kind: str
    claims: int
    of_kind: int
    expected: float
    p: float


def at_least(k: Ints, n: Ints, of_kind: Ints, total: Ints) -> Floats:
    """P(so many or more): of `total` claims `of_kind` are of a kind; of `n` drawn, `k` are.

    Terms are summed outward from k on the side that holds less, each from the one before, until
    they add nothing; so a backlog of millions takes no longer than the spread of its largest lot.
    """
    upper = k * total > n * of_kind
    first = np.where(upper, k, k - 1)
    chosen = (_log_choose(of_kind, first), _log_choose(total - of_kind, n - first))
    term = np.exp(chosen[0] + chosen[1] - _log_choose(total, n))
    j, tail, open_ = first.astype(np.float64), np.zeros(len(k)), np.arange(len(k))
    while len(open_):
        tail[open_] += term[open_]
        at, up = j[open_], upper[open_]
        kind, drawn = of_kind[open_], n[open_]
        others = total[open_] - kind - drawn
        rising = (kind - at) * (drawn - at), (at + 1) * (others + at + 1)
        falling = at * (others + at), (kind - at + 1) * (drawn - at + 1)
        over, under = (np.where(up, one, other) for one, other in zip(rising, falling, strict=True))
        term[open_] *= over / under
        j[open_] += np.where(up, 1.0, -1.0)
        open_ = open_[term[open_] > tail[open_] * NOTHING_MORE]
    found: Floats = np.clip(np.where(upper, tail, 1.0 - tail), 0.0, 1.0)
    return found


def _log_choose(many: Ints, few: Ints) -> Floats:
    """Logarithm of how many ways there are to choose; -inf where there is none."""
    none = (few < 0) | (few > many)
    few = np.where(none, 0, few)
    parts = _log_factorial(many) - _log_factorial(few) - _log_factorial(many - few)
    found: Floats = np.where(none, -np.inf, parts)
    return found


def _log_factorial(numbers: Ints) -> Floats:
    distinct, place = np.unique(numbers, return_inverse=True)
    return np.array([lgamma(number + 1) for number in distinct.tolist()])[place]


def holm(p: Floats) -> Floats:
    """Corrected p-values by Holm's step-down method, in the order given."""
    order = np.argsort(p, kind="stable")
    factors = len(p) - np.arange(len(p))
    stepped = np.minimum(1.0, np.maximum.accumulate(p[order] * factors))
    found = np.empty_like(stepped)
    found[order] = stepped
    return found


def standouts(counts: pl.DataFrame, level: float = LEVEL) -> tuple[Standout, ...]:
    """What stands out, the clearest first.

    `counts` has what, value, kind, claims: how many claims of a symptom each value has.
    """
    table = _compared(counts)
    if not table.height:
        return ()
    p = at_least(*(table[c].to_numpy() for c in ("claims", "of_value", "of_kind", "total")))
    of = table["what"].to_numpy()
    corrected = np.empty_like(p)
    for what in np.unique(of):
        corrected[of == what] = holm(p[of == what])
    found = table.with_columns(p=pl.Series(corrected)).filter(pl.col("p") <= level)
    ranked = found.sort("p", "what", "value", "kind")
    return tuple(
        Standout(
            row["what"],
            row["value"],
            row["kind"],
            row["of_value"],
            row["claims"],
            row["of_value"] * row["of_kind"] / row["total"],
            row["p"],
        )
        for row in ranked.iter_rows(named=True)
    )


def _compared(counts: pl.DataFrame) -> pl.DataFrame:
    """Every value that is compared at all, with every symptom that occurs.

    Which comparisons are made hangs on how many claims a value has, not on what they are.
    """
    kinds = counts.group_by("what", "kind").agg(of_kind=pl.col("claims").sum())
    values = counts.group_by("what", "value").agg(of_value=pl.col("claims").sum())
    totals = counts.group_by("what").agg(total=pl.col("claims").sum())
    grid = values.filter(pl.col("of_value") >= LEAST).join(kinds, on="what").join(totals, on="what")
    found = grid.join(counts, on=["what", "value", "kind"], how="left")
    differ = found.filter(pl.col("of_value") < pl.col("total"))
    return differ.with_columns(pl.col("claims").fill_null(0)).sort("what", "value", "kind")
