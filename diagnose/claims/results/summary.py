"""The backlog at a glance: decisions, classes, payers, months, what stands out, money at stake."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from textwrap import wrap
from typing import Any

import polars as pl

from diagnose.claims.mapping.mapping import Mapped
from diagnose.claims.results.outliers import LEVEL, Standout, standouts
from diagnose.claims.results.spelled import each_once, joined, spelling
from diagnose.claims.table.text import one_line

GROUPED = (
    ("Decisions", "decision"),
    ("Cause classes", "cause_class"),
    ("Payers", "payer"),
    ("Months", "month"),
    ("Films", "film"),
    ("Installers", "installer"),
    ("Lots", "lot"),
    ("Weeks of laying", "week"),
    ("Cleaners", "cleaner"),
)
SPELLED = ("film", "installer", "lot", "cleaner")
"""What people spell in several ways."""

IN_TIME = ("Months", "Weeks of laying")
DOUBLED = "Claim numbers that stand more than once"
SHOWN = 12
"""Lines of a part on a terminal; the sheet has them all."""


@dataclass(frozen=True, slots=True)
class SummaryLine:
    """How many claims have a value, and the money of one currency that they ask and is carried."""

    part: str
    value: str
    claims: int
    percent: float
    claimed: float
    carried: float
    money: str = ""


@dataclass(frozen=True, slots=True)
class Summary:
    """All of it. `rows` are decided and set aside together: the rows of the input."""

    rows: int
    decided: int
    aside: int
    money: str
    lines: tuple[SummaryLine, ...]
    standouts: tuple[Standout, ...]

    def data(self) -> dict[str, Any]:
        """As plain data, for JSON."""
        return asdict(self)


AT_A_TIME = 4
"""Parts whose sums are added up at a time, so that memory stays flat however many there are."""

KEYS = ("decision", "cause_class", "payer", *(name for _, name in GROUPED[3:]))


def sums(frame: pl.DataFrame, mapping: Mapped) -> pl.DataFrame:
    """Claims and money of one part, by decision, class and payer, and by symptom and each value."""
    its = _columns(frame, mapping)
    groups = [("decision", "cause_class", "payer"), *((name, "kind") for name in KEYS[3:])]
    return pl.concat(
        [
            its.group_by(*names, "currency")
            .agg(
                claims=pl.len().cast(pl.Int64),
                claimed=pl.col("claimed").sum(),
                carried=pl.col("carried").sum(),
            )
            .with_columns(pl.lit(names[0]).alias("by"))
            for names in groups
        ],
        how="diagonal",
    ).select(
        "by",
        *(pl.col(name).cast(pl.String) for name in (*KEYS, "kind", "currency")),
        *("claims", "claimed", "carried"),
    )


def named(columns: Iterable[str], mapping: Mapped) -> dict[str, str]:
    """For each fact the column of a decided table that tells it."""
    renamed = {name.removeprefix("given "): name for name in columns}
    return {c.fact: renamed[c.column] for c in mapping.columns if c.column in renamed}


def _columns(frame: pl.DataFrame, mapping: Mapped) -> pl.DataFrame:
    names = named(frame.columns, mapping)

    nothing = pl.lit(None, pl.String)
    text = {
        fact: each_once(frame[names[fact]], spelling) if fact in names else nothing
        for fact in SPELLED
    }
    return frame.select(
        "decision",
        "cause_class",
        "payer",
        "currency",
        kind=pl.col("symptom_named"),
        month=pl.col("seen_month"),
        week=pl.col("laid_week"),
        claimed=pl.col("claimed_amount"),
        carried=pl.col("amount_carried"),
        **text,
    )


def summarise(
    parts: Sequence[Path],
    aside: int,
    money: str,
    doubled: Sequence[tuple[str, int, float, float]] = (),
) -> Summary:
    """Put the sums of all parts together, with the claim numbers that stand more than once."""
    # What names no amount belongs with the money of the terms, for it has no other.
    table = together(parts).with_columns(pl.col("currency").fill_null(money))
    first = table.filter(pl.col("by") == "decision")
    decided = int(first["claims"].sum())
    lines: list[SummaryLine] = []
    for part, name in GROUPED:
        its = first if name in KEYS[:3] else table.filter(pl.col("by") == name)
        lines += _lines(part, _by_value(its, name), decided, money)
    for number, count, claimed, carried in doubled:
        share = round(100 * count / max(decided, 1), 1)
        sums = (round(claimed, 2), round(carried, 2))
        lines.append(SummaryLine(DOUBLED, number, count, share, *sums, money))
    found = standouts(kinds(table))
    return Summary(decided + aside, decided, aside, money, tuple(lines), found)


def together(parts: Sequence[Path]) -> pl.DataFrame:
    """The sums of all parts, spellings of one value joined."""
    table = pl.read_parquet(parts[0])
    for start in range(1, len(parts), AT_A_TIME):
        some = (pl.read_parquet(part) for part in parts[start : start + AT_A_TIME])
        every = pl.concat([table, *some])
        same = ("by", *KEYS, "kind", "currency")
        table = every.group_by(same).agg(pl.col("claims", "claimed", "carried").sum())
    for name in SPELLED:
        mine = table["by"] == name
        if mine.any():
            table = pl.concat([table.filter(~mine), joined(table.filter(mine), name)])
    return table


def _by_value(its: pl.DataFrame, name: str) -> pl.DataFrame:
    """Claims of each value over all currencies, and the money of each currency."""
    return its.group_by(pl.col(name).alias("value"), "currency").agg(
        pl.col("claims", "claimed", "carried").sum()
    )


def kinds(table: pl.DataFrame) -> pl.DataFrame:
    """How many claims of a symptom each film, installer, lot, week and cleaner has."""
    return pl.concat(
        [
            table.filter((pl.col("by") == name) & pl.col(name).is_not_null())
            .group_by(pl.lit(part).alias("what"), pl.col(name).alias("value"), "kind")
            .agg(pl.col("claims").sum())
            for part, name in GROUPED[3:]
        ]
    )


def _lines(part: str, frame: pl.DataFrame, decided: int, money: str) -> list[SummaryLine]:
    if frame["value"].is_null().all() and part not in ("Decisions", "Cause classes", "Payers"):
        return []
    in_all = pl.col("claims").sum().over("value")
    first = ["value"] if part in IN_TIME else ["in_all", "value"]
    frame = frame.with_columns(in_all=in_all).sort(
        *first, "claims", "currency",
        descending=[*(name == "in_all" for name in first), True, False], nulls_last=True,
    )  # fmt: skip
    return [
        SummaryLine(
            part,
            "not given" if row["value"] is None else row["value"],
            row["claims"],
            round(100 * row["claims"] / max(decided, 1), 1),
            round(row["claimed"] or 0.0, 2),
            round(row["carried"] or 0.0, 2),
            row["currency"] or money,
        )
        for row in frame.iter_rows(named=True)
    ]


def sums_of(line: SummaryLine) -> tuple[float, float]:
    """The money of a line: asked and carried."""
    return line.claimed, line.carried


def sheet(summary: Summary) -> pl.DataFrame:
    """The summary as one sheet."""
    head = [
        ("Rows", "rows read", summary.rows),
        ("Rows", "decided", summary.decided),
        ("Rows", "set aside", summary.aside),
    ]
    rows: list[tuple[Any, ...]] = [(p, v, n, None, None, None, None, None) for p, v, n in head]
    for line in summary.lines:
        rows.append(
            (line.part, line.value, line.claims, line.percent, line.money, *sums_of(line), None)
        )
    for its in summary.standouts:
        percent = round(100 * its.of_kind / its.claims, 1)
        value = f"{its.value}: {its.kind}, {its.expected:.1f} expected by chance"
        part = f"Stands out among {its.what.lower()}"
        p = float(f"{its.p:.2g}")
        rows.append((part, value, its.of_kind, percent, None, None, None, p))
    names = ("part", "value", "claims", "percent", "money", "claimed", "carried", "p_corrected")
    kinds = (pl.String, pl.String, pl.Int64, pl.Float64, pl.String, *(pl.Float64,) * 3)
    return pl.DataFrame(rows, schema=dict(zip(names, kinds, strict=True)), orient="row")


def text(summary: Summary, width: int = 100) -> str:
    """The summary for a terminal of this width, or a pipe."""
    lines = wrap(counts(summary), width)
    row = _row_of(summary, width)
    for part in (*(part for part, _ in GROUPED), DOUBLED):
        its = [line for line in summary.lines if line.part == part]
        if its:
            shown = its[-SHOWN:] if part in IN_TIME else its[:SHOWN]
            lines += ["", row.head(part), *(text for line in shown for text in row.lines(line))]
        if len(its) > SHOWN:
            lines.append(f"  and {len(its) - SHOWN} more, in the summary table")
    lines.append("")
    for sentence in _standing_out(summary.standouts):
        lines += wrap(sentence, width, subsequent_indent="    ")
    return "\n".join(lines)


SETTLING = ("accept", "decline", "not our work", "no fault found", "settled before")
"""Decisions that settle a claim; the others are questions."""


def counts(summary: Summary) -> str:
    """The sum that must always hold, in words; a question is no decision."""
    settled = sum(x.claims for x in summary.lines if x.part == "Decisions" and x.value in SETTLING)
    return (
        f"{summary.rows:,} rows read = {settled:,} decided + {summary.decided - settled:,} with a"
        f" question + {summary.aside:,} set aside."
    )


CLAIMS, PERCENT, MONEY = 8, 8, 16
"""Widths of the numbers of a line."""

NAME, NARROW = 48, 72
"""The widest name; the width under which money stands on a line of its own."""


@dataclass(frozen=True, slots=True)
class _Row:
    """How a line is laid out: width of the name, of which money there is, and where."""

    name: int
    money: str
    sums: tuple[str, ...]
    below: bool

    def head(self, part: str) -> str:
        if self.below or not self.sums:
            return part
        said = (f"{self.money} {sum_}".strip() for sum_ in self.sums)
        heads = "".join(f"{text:>{MONEY}}" for text in said)
        return f"{part:<{self.name + 2}}{'claims':>{CLAIMS}}{'':{PERCENT}}{heads}"

    def lines(self, line: SummaryLine) -> list[str]:
        name = f"  {one_line(line.value, self.name):<{self.name}}"
        first = f"{name}{line.claims:>{CLAIMS},}{line.percent:>{PERCENT - 2}.1f} %"
        sums = [getattr(line, sum_) for sum_ in self.sums]
        money = line.money or self.money
        if self.below:
            said = zip(sums, self.sums, strict=True)
            return [first, *(f"    {money} {s:,.2f} {sum_}" for s, sum_ in said if s)]
        wide = [f" {s:>{MONEY - 1},.2f}" if s else " " * MONEY for s in sums]
        other = f" {money}" if not self.money and any(sums) else ""
        return [(first + "".join(wide) + other).rstrip()]


def _row_of(summary: Summary, width: int) -> _Row:
    sums = tuple(
        name for name in ("claimed", "carried") if any(getattr(x, name) for x in summary.lines)
    )
    below = width < NARROW
    left = width - 2 - CLAIMS - PERCENT - (0 if below else MONEY * len(sums))
    each = {line.money or summary.money for line in summary.lines if line.claimed or line.carried}
    money = each.pop() if len(each) == 1 else "" if each else summary.money
    return _Row(max(10, min(NAME, left - (0 if money else 4))), money, sums, below)


def _chance(p: float) -> str:
    return f"p = {p:.2g}" if p else "p under 1e-300"


def _standing_out(found: Sequence[Standout]) -> list[str]:
    if not found:
        return [f"Nothing stands out (exact test, Holm's correction, level {LEVEL:g})."]
    lines = [f"Stands out (exact test, Holm's correction, level {LEVEL:g})"]
    for its in found[:SHOWN]:
        lines.append(
            f"  {its.what.lower().removesuffix('s')} {one_line(its.value, 30)}: {its.of_kind} of"
            f" {its.claims} claims are {its.kind}, {its.expected:.1f} expected"
            f" ({_chance(its.p)})"
        )
    if len(found) > SHOWN:
        lines.append(f"  and {len(found) - SHOWN} more, in the summary table")
    return lines
