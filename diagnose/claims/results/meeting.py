"""Hashes that stand in more than one row of a backlog, so that few rows are looked at as text."""

from __future__ import annotations

import polars as pl

PARCEL = 500_000
"""Rows whose hashes are held at a time, so that memory stays flat."""


def hashed(*keys: pl.Expr) -> pl.Expr:
    """One hash of 64 bits for some texts together; null where one of them is not known."""
    known = pl.all_horizontal(key.is_not_null() for key in keys)
    return pl.when(known).then(pl.concat_str(keys, separator="\n").hash(seed=1))


def meeting(rows: pl.LazyFrame, column: str, parcel: int = PARCEL) -> pl.LazyFrame:
    """The hashes of a column that stand more than once: that column alone."""
    parcels = rows.select(pl.len()).collect().item() // parcel + 1
    its = rows.select(column).filter(pl.col(column).is_not_null())
    found = [
        its.filter(pl.col(column) % parcels == number)
        .group_by(column)
        .len()
        .filter(pl.col("len") > 1)
        .select(column)
        .collect()
        for number in range(parcels)
    ]
    return pl.concat(found).lazy()
