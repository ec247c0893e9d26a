"""The backlog at a glance: decisions, classes, payers, months, what stands out, money at stake."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import polars as pl

from diagnose.claims.mapping import Mapped
from diagnose.claims.standout import LEVEL, Standout, standouts
from diagnose.claims.text import one_line

GROUPED = (
    ("Decisions", "decision"),
    ("Cause classes", "cause_class"),
    ("Payers", "payer"),
    ("Months", "month"),
    ("Films", "film"),
    ("Installers", "installer"),
    ("Lots", "lot"),
)
SHOWN = 12
"""Lines of a part on a terminal; the sheet has them all."""


@dataclass(frozen=True, slots=True)
class Line:
    """How many claims have a value, and the money that they ask and that is carried."""

    part: str
    value: str
    claims: int
    percent: float
    claimed: float
    carried: float


@dataclass(frozen=True, slots=True)
class Summary:
    """All of it. `rows` are decided and set aside together: the rows of the input."""

    rows: int
    decided: int
    aside: int
    money: str
    lines: tuple[Line, ...]
    standouts: tuple[Standout, ...]

    def data(self) -> dict[str, Any]:
        """As plain data, for JSON."""
        return asdict(self)


def summarise(
    parts: Sequence[Path], mapping: Mapped, aside: int, money: str, renamed: dict[str, str]
) -> Summary:
    """Read the decided parts once, a column at a time."""
    scan = _scan(parts, mapping, renamed)
    counts = {
        part: scan.group_by(pl.col(name).alias("value"))
        .agg(claims=pl.len(), claimed=pl.col("claimed").sum(), carried=pl.col("carried").sum())
        .sort("value", nulls_last=True)
        .collect()
        for part, name in GROUPED
    }
    decided = int(counts["Decisions"]["claims"].sum())
    lines = tuple(line for part, frame in counts.items() for line in _lines(part, frame, decided))
    kinds = [
        scan.filter(pl.col(name).is_not_null())
        .group_by(pl.col(name).alias("value"), "cause_class")
        .agg(claims=pl.len().cast(pl.Int64))
        .with_columns(what=pl.lit(part))
        .collect()
        for part, name in GROUPED[3:]
    ]
    found = standouts(pl.concat(kinds))
    return Summary(decided + aside, decided, aside, money, lines, found)


def _scan(parts: Sequence[Path], mapping: Mapped, renamed: dict[str, str]) -> pl.LazyFrame:
    scan = pl.scan_parquet(list(parts))
    named = {c.fact: renamed.get(c.column, c.column) for c in mapping.columns}

    def given(fact: str) -> pl.Expr:
        return pl.col(named[fact]) if fact in named else pl.lit(None)

    facts = ("film", "installer", "lot")
    text = {fact: given(fact).cast(pl.String).str.strip_chars() for fact in facts}
    return scan.select(
        "decision",
        "cause_class",
        "payer",
        month=pl.col("seen_month"),
        claimed=pl.col("claimed_amount"),
        carried=pl.col("amount_carried"),
        **{fact: pl.when(its != "").then(its) for fact, its in text.items()},
    )


def _lines(part: str, frame: pl.DataFrame, decided: int) -> list[Line]:
    if frame["value"].is_null().all() and part not in ("Decisions", "Cause classes", "Payers"):
        return []
    if part != "Months":
        frame = frame.sort("claims", "value", descending=[True, False], nulls_last=True)
    return [
        Line(
            part,
            "not given" if row["value"] is None else row["value"],
            row["claims"],
            round(100 * row["claims"] / max(decided, 1), 1),
            round(row["claimed"] or 0.0, 2),
            round(row["carried"] or 0.0, 2),
        )
        for row in frame.iter_rows(named=True)
    ]


def sheet(summary: Summary) -> pl.DataFrame:
    """The summary as one sheet."""
    head = [
        ("Rows", "rows read", summary.rows),
        ("Rows", "decided", summary.decided),
        ("Rows", "set aside", summary.aside),
    ]
    rows: list[tuple[Any, ...]] = [(p, v, n, None, None, None, None) for p, v, n in head]
    for line in summary.lines:
        rows.append(
            (line.part, line.value, line.claims, line.percent, line.claimed, line.carried, None)
        )
    for its in summary.standouts:
        percent = round(100 * its.of_class / its.claims, 1)
        value = f"{its.value}: {its.cause_class}, {its.expected:.1f} expected by chance"
        part = f"Stands out among {its.what.lower()}"
        rows.append((part, value, its.of_class, percent, None, None, float(f"{its.p:.2g}")))
    names = ("part", "value", "claims", "percent", "claimed", "carried", "p_corrected")
    kinds = (pl.String, pl.String, pl.Int64, *(pl.Float64,) * 4)
    return pl.DataFrame(rows, schema=dict(zip(names, kinds, strict=True)), orient="row")


def text(summary: Summary) -> str:
    """The summary for a terminal or a pipe."""
    lines = [counts(summary)]
    for part, _ in GROUPED:
        its = [line for line in summary.lines if line.part == part]
        if its:
            shown = its[-SHOWN:] if part == "Months" else its[:SHOWN]
            lines += ["", part, *(_line(line, summary.money) for line in shown)]
        if len(its) > SHOWN:
            lines.append(f"  and {len(its) - SHOWN} more, in the summary table")
    lines += ["", *_standing_out(summary.standouts)]
    return "\n".join(lines)


def counts(summary: Summary) -> str:
    """The sum that must always hold, in words."""
    return (
        f"{summary.rows:,} rows read = {summary.decided:,} decided + {summary.aside:,} set aside."
    )


def _line(line: Line, money: str) -> str:
    at_stake = f"  {line.claimed:>14,.2f} {money} claimed" if line.claimed else ""
    carried = f", {line.carried:,.2f} carried" if line.carried else ""
    name = one_line(line.value, 34)
    return f"  {name:<34} {line.claims:>9,} {line.percent:>5.1f} %{at_stake}{carried}"


def _standing_out(found: Sequence[Standout]) -> list[str]:
    if not found:
        return [f"Nothing stands out (exact test, Holm's correction, level {LEVEL:g})."]
    lines = [f"Stands out (exact test, Holm's correction, level {LEVEL:g})"]
    for its in found[:SHOWN]:
        lines.append(
            f"  {its.what.lower().removesuffix('s')} {one_line(its.value, 30)}: {its.of_class} of"
            f" {its.claims} claims are {its.cause_class}, {its.expected:.1f} expected"
            f" (p = {its.p:.2g})"
        )
    if len(found) > SHOWN:
        lines.append(f"  and {len(found) - SHOWN} more, in the summary table")
    return lines
