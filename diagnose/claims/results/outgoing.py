"""What goes out beside the rows: questions by addressee, the rows of bad rolls, sources used."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

import polars as pl

from diagnose.claims.decision.missing import MOST
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Check, CheckPlace

OWNER, SHOP, LOOK, LABORATORY = "owner", "shop", "whoever looks at the car", "laboratory"
QUESTION = re.compile(r"[^?.]*[?.]")


def addressee(check: Check) -> str:
    """Who can answer a check."""
    if "owner" in check.tool.casefold():
        return OWNER
    match check.place:
        case CheckPlace.PAPERWORK:
            return SHOP
        case CheckPlace.LAB:
            return LABORATORY
        case _:
            return LOOK


def questions(
    base: Base, frames: Iterable[pl.DataFrame], named: Mapping[str, str]
) -> Iterator[pl.DataFrame]:
    """Each open question of each row that is asked about or looked at, with whom it goes to."""
    whom = {check.ask: addressee(check) for check in base.checks.values()}
    who = [named[fact] for fact in ("claim", "customer") if fact in named]
    columns = ["ask_first", *(f"ask_for_{n}" for n in range(1, MOST + 1))]
    for frame in frames:
        open_ = frame.filter(pl.col("decision").is_in(["ask", "inspect"]))
        rows = []
        for row in open_.select("row", *who, *columns).rows(named=True):
            first = QUESTION.findall(row["ask_first"] or "")
            asked = [*first, *(row[name] for name in columns[1:] if row[name])]
            for text in dict.fromkeys(its.strip() for its in asked):
                needed = "needed" if text in {f.strip() for f in first} else "would help"
                cells = [None if row[name] is None else str(row[name]) for name in who]
                rows.append((whom.get(text, SHOP), row["row"], *cells, text, needed))
        names = ("to", "row", *who, "question", "how much it matters")
        schema = {name: pl.Int64 if name == "row" else pl.String for name in names}
        yield pl.DataFrame(rows, schema=schema, orient="row").sort("to", "row", maintain_order=True)


PRIVATE = ("customer", "vehicle")
"""Whose claim it is, which is no business of a film maker's."""


def of_rolls(frames: Iterable[pl.DataFrame], named: Mapping[str, str]) -> Iterator[pl.DataFrame]:
    """The rows of rolls that stand out, for the film maker: cells, fault, what is told.

    Without customer and plate.
    """
    private = {named[fact] for fact in PRIVATE if fact in named}
    for frame in frames:
        cells = frame.columns[: frame.columns.index("decision")]
        given = [name for name in cells if name not in private]
        mine = frame.filter(pl.col("from_the_table").is_not_null())
        yield mine.select(*given, "symptom_named", "age_months_at_claim", "from_the_table")


def sources_used(base: Base, texts: Sequence[str]) -> set[str]:
    """Ids of the sources that stand in the grounds."""
    words = {word for text in texts for word in re.findall(r"[\w-]+", text.rpartition("(")[2])}
    return words & {*base.sources}
