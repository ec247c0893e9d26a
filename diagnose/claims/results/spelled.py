"""Spellings of one lot, film or fitter, as one: R-7714B, r7714b and R 7714 B."""

from __future__ import annotations

from collections.abc import Callable

import polars as pl

from diagnose.claims.table.text import NOTHING

_TITLE = r"^(?:(?:lot|batch|roll|no|nr)\b[\s.:#-]*|\p{L}\s*:\s*)"
"""What stands before a lot and is no part of it."""


def key(name: str | pl.Expr, between: str = "") -> pl.Expr:
    """Letters and digits of a text, small; null where there are none or the cell says nothing.

    `between` stands for what is left out: 1.2 and 12 are two claims, R-7 and R7 are one lot.
    """
    its = pl.col(name) if isinstance(name, str) else name
    text = its.cast(pl.String).str.strip_chars().str.to_lowercase()
    text = text.str.replace(_TITLE, "")
    bare = text.str.replace_all(r"[^\p{L}\p{N}]+", between)
    return pl.when((bare == "") | text.is_in(list(NOTHING))).then(None).otherwise(bare)


def each_once(cells: pl.Series, how: Callable[[pl.Expr], pl.Expr]) -> pl.Series:
    """What an expression of text makes of a column in which the same texts stand in many rows."""
    texts = cells.cast(pl.String)
    distinct = texts.unique().drop_nulls()
    made = distinct.to_frame().select(how(pl.col(distinct.name))).to_series()
    return texts.replace_strict(distinct, made, default=None, return_dtype=pl.String)


def spelling(text: pl.Expr) -> pl.Expr:
    """A text as it is written, null where it says nothing."""
    text = text.str.strip_chars()
    return pl.when(key(text).is_not_null()).then(text)


def joined(counts: pl.DataFrame, name: str) -> pl.DataFrame:
    """`name` as its most frequent spelling, with the others in brackets; `claims` counts rows.

    All other columns stay; rows of the same spelling are not put together here.
    """
    keyed = counts.with_columns(key(name).alias("_key"))
    each = keyed.group_by("_key", name).agg(pl.col("claims").sum()).drop_nulls("_key")
    ranked = each.sort("_key", "claims", name, descending=[False, True, False])
    shown = ranked.group_by("_key", maintain_order=True).agg(pl.col(name))
    first = pl.col(name).list.first()
    others = pl.col(name).list.slice(1).list.sort().list.join(", ")
    said = shown.select(
        "_key",
        pl.when(pl.col(name).list.len() > 1)
        .then(first + " (also " + others + ")")
        .otherwise(first)
        .alias("_said"),
    )
    return (
        keyed.join(said, on="_key", how="left")
        .with_columns(pl.col("_said").alias(name))
        .drop("_key", "_said")
    )
