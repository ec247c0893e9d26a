"""A bad roll shows: claims that share a lot, a fitter, a week or a cleaner tell of each other.

What stands out is found by the exact test over symptoms, not over causes: that three cars of one
lot crack says nothing yet of why. For lots it is an answer to a check ('do other jobs of the same
roll show it'), taken where nobody answered it; for the others it is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import polars as pl

from diagnose.claims.results.outliers import Standout
from diagnose.claims.results.spelled import key

TOLD = "told by the table"
"""A column that stands in no table of a clerk's: what the other rows answer."""

LEAST = 3
"""Claims of one symptom from which a lot speaks of its others."""


def rows_of(parts: Sequence[Path], column: str, found: Sequence[Standout]) -> pl.DataFrame:
    """Row, lot and what is told of it, for each row of a lot with a symptom that stands out."""
    told = [
        {
            "lot": its.value,
            "symptom_named": its.kind,
            "told": f"lot {its.value}: {its.of_kind} of {its.claims} claims are {its.kind},"
            f" {its.expected:.1f} expected",
        }
        for its in found
        if its.what == "Lots" and its.of_kind >= LEAST
    ]
    schema = {"lot": pl.String, "symptom_named": pl.String, "told": pl.String}
    named = pl.DataFrame(told, schema=schema)
    bare = named.with_columns(key(pl.col("lot").str.replace(r" \(also .*\)$", "")).alias("_key"))
    rows = pl.scan_parquet(list(parts)).select(
        "row", pl.col("symptom_named").cast(pl.String), key(column).alias("_key")
    )
    return rows.join(bare.lazy(), on=["_key", "symptom_named"], how="inner").collect().sort("row")
