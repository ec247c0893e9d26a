"""Claim numbers that stand more than once in a backlog, so that none is paid twice.

Numbers are compared by a hash of 64 bits in parcels of bounded size, and only those that meet are
looked at as text; so memory stays flat, and nothing is named that is not really doubled.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import polars as pl

from diagnose.claims.results.meeting import PARCEL, hashed, meeting

MOST = 1000
"""Doubled numbers that are named."""


def numbers(frame: pl.DataFrame, column: str) -> pl.DataFrame:
    """The claim numbers of decided rows, with a hash and the money claimed and carried."""
    number = pl.col(column).cast(pl.String).str.strip_chars()
    return (
        frame.select(number=number, claimed="claimed_amount", carried="amount_carried")
        .filter(pl.col("number") != "")
        .with_columns(hash=hashed(pl.col("number")))
    )


def doubled(parts: Sequence[Path], parcel: int = PARCEL) -> list[tuple[str, int, float, float]]:
    """Each number that stands more than once, how often, and the money claimed and carried.

    `parts` hold what `numbers` gave. The most frequent first, then by number; at most MOST.
    """
    if not parts:
        return []
    rows = pl.scan_parquet(list(parts))
    again = rows.join(meeting(rows, "hash", parcel), on="hash", how="semi")
    counted = again.group_by("number").agg(
        pl.len().cast(pl.Int64).alias("count"), pl.col("claimed").sum(), pl.col("carried").sum()
    )
    every = counted.filter(pl.col("count") > 1).sort(["count", "number"], descending=[True, False])
    return every.head(MOST).collect().rows()
