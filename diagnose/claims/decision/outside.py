"""Words of a row that name what works on film beside how it was made and laid.

A lance, a blow, a cleaner, the hands of others: whoever signs an accept over one that was read into
no answer signs without having weighed it. Such a row is asked about, with the words quoted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.mapping.reading import Claims
from diagnose.claims.mapping.remarks import Outside
from diagnose.claims.table.text import one_line, worded

Bools = NDArray[np.bool_]

Speaking = Callable[[str, Iterable[int]], Bools]
"""Of a check which answers speak for something, at the symptoms of these numbers: a row each."""

QUOTED = 120
"""Letters of a statement that are quoted."""


@dataclass(frozen=True, slots=True)
class Unweighed:
    """Rows with such words (`named`), those of which no answer holds them, and the statements."""

    named: Bools
    rows: Bools
    statements: list[tuple[NDArray[np.intp], str]] = field(default_factory=list)

    def quoted(self, texts: pl.Series, where: Bools) -> pl.Series:
        """The reasons of some rows with the words that they rest on."""
        said: dict[int, list[str]] = {}
        for rows, statement in self.statements if where.any() else ():
            for row in rows[where[rows]].tolist():
                said.setdefault(row, []).append(f"'{one_line(statement, QUOTED)}'")
        if not said:
            return texts
        words = texts.cast(pl.String).to_list()
        for row, its in said.items():
            words[row] = f"{words[row]}: {', '.join(dict.fromkeys(its))}."
        return worded(words)


def unweighed(claims: Claims, symptoms: Sequence[str], speaking: Speaking) -> Unweighed:
    """What of a row's words is in no answer that counts.

    `speaking` tells of a check which of its answers speak for something at which of the `symptoms`.
    Where none does, the answer was read and is at home nowhere: no cause is there that it could
    mean. An answer in a column counts whatever the words say: the column is what was asked.
    """
    named, open_ = (np.zeros(claims.columns.rows, dtype=bool) for _ in range(2))
    found = Unweighed(named, open_)
    for rows, its in claims.outside:
        found.named[rows] = True
        left = rows[~_held(claims, its, rows, symptoms, speaking)]
        if len(left):
            found.rows[left] = True
            found.statements.append((left, its.statement))
    return found


def _held(
    claims: Claims,
    its: Outside,
    rows: NDArray[np.intp],
    symptoms: Sequence[str],
    speaking: Speaking,
) -> Bools:
    """Where the words name the symptom, or an answer to a check that they answer speaks."""
    columns = claims.columns
    symptom = claims.symptom[rows]
    held = np.isin(symptom, [symptoms.index(name) for name in its.symptoms])
    for check in its.checks:
        speaks = speaking(check, np.unique(symptom).tolist())
        if check in columns.choices:
            code = columns.choices[check][rows]
            of_one = speaks[symptom, np.clip(code, 0, speaks.shape[1] - 1)]
            any_of = np.logical_or.reduce(speaks, axis=1)[symptom]
            held |= (code >= 0) & np.where(code < speaks.shape[1], of_one, any_of)
        if check in columns.numbers:
            told = ~np.isnan(columns.numbers[check][0][rows])
            held |= told & np.logical_or.reduce(speaks, axis=1)[symptom]
    return held
