"""Lots, films, installers and months whose claims differ from the others', by an exact test.

For each value and each cause class: of N claims K are of the class; the value has n of them, k of
the class. Under no difference k is hypergeometric; the upper tail is Fisher's exact test, one-sided
(Fisher 1935). All comparisons together are corrected by Holm (1979), so that the chance of naming
any value wrongly stays under the level. A backlog does not say how many jobs a value had, so the
test speaks of kinds of fault among claims, not of how many claims there are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

LEVEL = 0.05

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Standout:
    """A value with more claims of a class than chance gives; `p` is corrected."""

    what: str
    value: str
    cause_class: str
    claims: int
    of_class: int
    expected: float
    p: float


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

    `counts` has what, value, cause_class, claims: how many claims of a class each value has.
    """
    table = _compared(counts)
    if not table.height:
        return ()
    from scipy.stats import hypergeom  # type: ignore[import-untyped]

    k, n, of_class, total = (
        table[c].to_numpy() for c in ("claims", "of_value", "of_class", "total")
    )
    p = np.clip(hypergeom.sf(k - 1, total, of_class, n), 0.0, 1.0)
    found = table.with_columns(p=pl.Series(holm(p))).filter(pl.col("p") <= level)
    ranked = found.sort("p", "what", "value", "cause_class")
    return tuple(
        Standout(
            row["what"],
            row["value"],
            row["cause_class"],
            row["of_value"],
            row["claims"],
            row["of_value"] * row["of_class"] / row["total"],
            row["p"],
        )
        for row in ranked.iter_rows(named=True)
    )


def _compared(counts: pl.DataFrame) -> pl.DataFrame:
    """Every value with every class that occurs, values with two claims or more.

    Which comparisons are made hangs on how many claims a value has, not on what they are.
    """
    kinds = counts.group_by("what", "cause_class").agg(of_class=pl.col("claims").sum())
    values = counts.group_by("what", "value").agg(of_value=pl.col("claims").sum())
    totals = counts.group_by("what").agg(total=pl.col("claims").sum())
    grid = values.filter(pl.col("of_value") >= 2).join(kinds, on="what").join(totals, on="what")
    found = grid.join(counts, on=["what", "value", "cause_class"], how="left")
    differ = found.filter(pl.col("of_value") < pl.col("total"))
    return differ.with_columns(pl.col("claims").fill_null(0)).sort("what", "value", "cause_class")
