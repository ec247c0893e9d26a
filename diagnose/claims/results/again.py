"""Claims that were settled before, or sent in twice: marked in their rows, and not paid again.

The same claim number, or the same vehicle with the same fault at the same place in the same words,
is the same claim. A number that stands with another vehicle or fault, and a vehicle whose fault is
told in other words, are asked about. Rows are compared by hashes of
their keys, so that memory stays flat; only rows that meet are looked at as text.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import polars as pl

from diagnose.claims.results.meeting import hashed, meeting
from diagnose.claims.results.spelled import each_once, key

SETTLED = ("accept", "decline", "not our work", "no fault found", "settled before")
"""Decisions of an earlier run that end a claim."""

SENT_TWICE = "sent twice"
"""How the mark of a row begins that is the same claim as one before it."""

_NONE = pl.lit(None, pl.String)

KEYS = ("claim", "vehicle", "panel", "customer")
COMPARED = (*KEYS, "number", "symptom", "said")
HASHED = {"by_number": ("claim",), "by_car": ("vehicle", "symptom")}
"""What tells two claims as one, by the name of its hash."""

MARK = pl.Schema(
    {
        "row": pl.Int64,
        **dict.fromkeys(("decision", "because", "settled", "ask_first"), pl.String),
    }
)


def keys(frame: pl.DataFrame, named: Mapping[str, str]) -> pl.DataFrame:
    """Of each row what makes it the same claim as another: spellings apart, null where not told."""
    told = [_told(frame, named, fact, "-" if fact == "claim" else "") for fact in KEYS]
    # 'van' in a column of vehicles names none of them; a plate or a fleet number has a figure.
    # Where no vehicle is named, the customer and the day of laying stand for it.
    plate = pl.when(told[1].str.contains(r"\d")).then(told[1])
    days = [pl.col(named[f]).cast(pl.String) for f in ("laid_on", "handed_on") if f in named]
    instead = told[3] + " " + pl.coalesce(days) if days else _NONE
    told[1] = pl.coalesce(plate, instead).alias("vehicle")
    number = pl.col(named["claim"]).cast(pl.String) if "claim" in named else _NONE
    said = _told(frame, named, "symptom")
    return frame.select(
        "row",
        *told,
        number=number,
        symptom=pl.col("symptom_named").cast(pl.String),
        said=said.alias("said"),
    ).with_columns(
        **{name: hashed(*map(pl.col, on)) for name, on in HASHED.items()},
    )


def _told(frame: pl.DataFrame, named: Mapping[str, str], fact: str, between: str = "") -> pl.Expr:
    if fact not in named:
        return _NONE.alias(fact)
    return pl.lit(each_once(frame[named[fact]], lambda its: key(its, between))).alias(fact)


def _same(kind: str) -> pl.Expr:
    """Whether a key is the same in both rows, or is not known in one of them.

    A place may be told more closely the second time: the left door, and the left door's lower edge.
    """
    one, other = pl.col(kind), pl.col(f"{kind}_first")
    if kind == "panel":
        within = one.str.contains(other, literal=True) | other.str.contains(one, literal=True)
        return within.fill_null(True)
    return (one == other).fill_null(True)


def sent_twice(parts: Sequence[Path]) -> pl.DataFrame:
    """Rows that are the same claim as one before them, with what becomes of them (`MARK`)."""
    if not parts:
        return pl.DataFrame(schema=MARK)
    every = pl.scan_parquet(list(parts))
    found = [
        _later(every, "by_number").with_columns(by=pl.lit("number")),
        _later(every, "by_car")
        .filter(_same("panel") & _same("customer"))
        .with_columns(by=pl.lit("car")),
    ]
    met = pl.concat(found).sort("row", "by", descending=[False, True])
    return _marked(met.unique("row", keep="first", maintain_order=True))


def _later(every: pl.LazyFrame, by: str) -> pl.DataFrame:
    """Rows whose key stood in an earlier row, with that one beside them."""
    on = list(HASHED[by])
    met = every.join(meeting(every, by), on=by, how="semi").drop(*HASHED).collect().sort("row")
    first = met.unique(on, keep="first", maintain_order=True)
    renamed = first.select(*on, *(pl.col(c).alias(f"{c}_first") for c in first.columns))
    return met.join(renamed, on=on, how="left", maintain_order="left").filter(
        pl.col("row") > pl.col("row_first")
    )


def _marked(met: pl.DataFrame) -> pl.DataFrame:
    alike = _same("vehicle") & _same("symptom") & _same("customer")
    by_car = pl.col("by") == "car"
    # One van can come back twice with the same kind of fault: other words are asked about.
    same = pl.when(by_car).then(_same("said")).otherwise(alike)
    where = pl.format("row {}", "row_first") + pl.when(pl.col("number_first").is_not_null()).then(
        " (" + pl.col("number_first") + ")"
    ).otherwise(pl.lit(""))
    told = "The claim number stands in " + where + " too, for another vehicle or fault"
    alike_car = "The same vehicle with the same kind of fault stands in " + where
    other = pl.when(by_car).then(alike_car + ", in other words").otherwise(told)
    which, same_one = pl.lit(": which is right?"), pl.lit(": is it the same claim?")
    question = other + pl.when(by_car).then(same_one).otherwise(which)
    mark = pl.when(by_car).then(pl.lit("perhaps sent twice: ")).otherwise(pl.lit("number twice: "))
    return met.select(
        "row",
        decision=pl.when(same).then(pl.lit("decline")).otherwise(pl.lit("ask")),
        because=pl.when(same).then("Sent in already: " + where + ".").otherwise(other + "."),
        settled=pl.when(same).then(f"{SENT_TWICE}: " + where).otherwise(mark + where),
        ask_first=pl.when(same).then(pl.lit(None, pl.String)).otherwise(question),
    ).cast(MARK)


def settled_before(parts: Sequence[Path], earlier: pl.DataFrame) -> pl.DataFrame:
    """Rows that an earlier run decided (`keys` of its table with `decision`), as `MARK`.

    The same vehicle with the same kind of fault in other words may have come back: it is asked.
    """
    if not parts:
        return pl.DataFrame(schema=MARK)
    before = earlier.filter(pl.col("decision").is_in(list(SETTLED)))
    now = pl.scan_parquet(list(parts))
    found = []
    for by, on in HASHED.items():
        told = before.drop_nulls(on).unique(on, keep="first", maintain_order=True)
        renamed = told.select(*on, *(pl.col(c).alias(f"{c}_first") for c in told.columns))
        met = now.join(renamed.lazy(), on=on, how="inner").collect()
        by_number = by == "by_number"
        others = ("vehicle", "symptom") if by_number else ("panel", "customer")
        alike = met.filter(pl.all_horizontal(_same(kind) for kind in others))
        found.append(alike.with_columns(same=pl.lit(by_number) | _same("said")))
    columns = ["row", "row_first", "number_first", "decision_first", "same"]
    met = pl.concat([its.select(columns) for its in found]).sort("row", pl.col("same").not_())
    where = pl.format("{} in row {}", "decision_first", "row_first")
    question = (
        "The same vehicle with the same kind of fault was settled before ("
        + where
        + " of the earlier run), in other words: is it the same claim?"
    )
    settled = "Settled before: " + where + " of the earlier run; it is not paid again."
    same, none = pl.col("same"), pl.lit(None, pl.String)
    return (
        met.unique("row", keep="first", maintain_order=True)
        .select(
            "row",
            decision=pl.when(same).then(pl.lit("settled before")).otherwise(pl.lit("ask")),
            because=pl.when(same).then(settled).otherwise(question),
            settled=pl.when(same)
            .then("settled before: " + where)
            .otherwise("perhaps settled before: " + where),
            ask_first=pl.when(same).then(none).otherwise(question),
        )
        .cast(MARK)
    )
