"""A proposed mapping as a file for the clerk to correct."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl
import yaml

from diagnose.claims.mapping.facts import facts
from diagnose.claims.mapping.filled import understood_anyway
from diagnose.claims.mapping.likeness import words_of
from diagnose.claims.mapping.mapping import Column, Mapped
from diagnose.claims.mapping.propose import Proposed
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.table.text import NOTHING, one_line
from diagnose.knowledge.base import Base

STRANGE, SAMPLES = 12, 4
"""Words of a column that are named as not understood; values that are shown beside a column."""


def not_understood(base: Base, mapping: Mapped, frame: pl.DataFrame) -> dict[str, list[str]]:
    """For each column of choices the words that say nothing to the program."""
    known = facts(base)
    remarks = Remarks(base)
    found = {}
    for column in mapping.columns:
        fact = known[column.fact]
        strict = understood_anyway(fact)
        strange = [
            word
            for word in (words_of(frame[column.column]) if fact.choices else [])
            if word not in column.values
            and word.casefold() not in NOTHING
            and word.casefold().replace("_", " ") not in strict
            and not remarks.meant(fact.id, column.column, word)
        ]
        if strange:
            found[column.column] = strange
    return found


HEAD = """\
# Which column tells which fact. Correct what is wrong. What may stand beside column and fact:
#   values: {your word: an answer's id}      where your words differ
#   unit: °F                                 where a number is not in the check's own unit;
#                                            for an amount the currency that stands beside it
#   decimal: comma                           or point, where 1.250 and 1,250 could be either
#   date: day.month.year                     or a list of several; year-month-day always counts
"""


def write(proposed: Proposed, frame: pl.DataFrame, strange: Mapping[str, Sequence[str]]) -> str:
    """The mapping as a file, which `read` takes, with some cells beside each column."""
    mapping = proposed.mapping
    lines = [HEAD]
    if strange:
        lines.append("# Not understood, so they say nothing; add them to 'values':\n")
    for name, words in strange.items():
        listed = ", ".join(f"'{one_line(word, 30)}'" for word in words[:STRANGE])
        more = f" and {len(words) - STRANGE} more" if len(words) > STRANGE else ""
        lines.append(f"#   {one_line(name, 30)}: {listed}{more}\n")
    lines.append("columns:\n" if mapping.columns else "columns: []\n")
    for column in mapping.columns:
        how = f"# {proposed.sure[column.column]}\n"
        lines += [_samples(frame[column.column]), how, _dumped(_entry(column))]
    if mapping.ignored:
        lines.append("ignored:\n")
    for name in mapping.ignored:
        lines += [_samples(frame[name]), _dumped(name)]
    return "".join(lines)


def _entry(column: Column) -> dict[str, Any]:
    entry: dict[str, Any] = {"column": column.column, "fact": column.fact}
    entry |= {"values": dict(column.values)} if column.values else {}
    entry |= {"unit": column.unit} if column.unit else {}
    entry |= {"decimal": column.decimal} if column.decimal else {}
    if column.date != ("year-month-day",):
        entry["date"] = column.date[0] if len(column.date) == 1 else list(column.date)
    return entry


def _dumped(entry: Any) -> str:
    return yaml.safe_dump([entry], sort_keys=False, allow_unicode=True, width=100)


def _samples(cells: pl.Series) -> str:
    texts = cells.cast(pl.String).drop_nulls().str.strip_chars()
    seen = texts.filter(texts != "").unique(maintain_order=True).head(SAMPLES).to_list()
    return f"# such as: {'; '.join(one_line(text, 24) for text in seen) or 'nothing'}\n"
