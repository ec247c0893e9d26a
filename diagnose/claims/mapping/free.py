"""Columns of own words: which one tells the complaint, which what the shop found.

By what their cells say, read with the words of the rule base, and by whose words they are. A column
of which hardly a cell says anything is passed on.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from diagnose.claims.mapping.likeness import Cells
from diagnose.claims.mapping.remarks import Remarks
from diagnose.knowledge.base import Base

SAMPLE, FEWER = 30, 6
"""Cells of a column that are read, and how few in a table of very many columns."""

NAMES, SAYS = 0.34, 0.2
"""Share of cells that name a symptom, or say anything, from which a column is read for it."""

THEIRS = re.compile(
    r"\b(client|customer|owner|driver|keeper|punter|user|says|said|told|asked|wants|reported|grumble"
    r"|complain\w*|moan|voice)\b",
    re.IGNORECASE,
)
"""Words of a header over what the customer says, and not the shop."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """How much of a column's cells names a symptom, and says something that was found."""

    name: str
    symptoms: float
    answers: float
    length: float

    @property
    def says(self) -> bool:
        """Whether it is worth reading at all."""
        return self.symptoms >= NAMES or self.answers >= SAYS


def spoken(base: Base, its: Cells, remarks: Remarks, most: int = SAMPLE) -> Spoken:
    """What a column of words says."""
    texts = its.texts.unique(maintain_order=True).head(most).to_list()
    if not texts:
        return Spoken(its.name, 0.0, 0.0, 0.0)
    said = [remarks.below(its.name, text) for text in texts]
    symptoms = sum(bool(one.symptoms) for one in said) / len(texts)
    answers = sum(
        any(not base.checks[check].setting for check in (*one.answers, *one.numbers))
        for one in said
    )
    return Spoken(its.name, symptoms, answers / len(texts), its.length)


def free(
    columns: Sequence[Spoken], told: Mapping[str, str], named: Set[str] = frozenset()
) -> dict[str, str]:
    """What each column of words tells; `told`: facts that others tell already, by column.

    `named` are those that are called notes, which are read whatever they say.

    The complaint is the shortest of those that name symptoms, the customer's words before others;
    where there is one column only, it is what the shop wrote down.
    """
    found: dict[str, str] = {}
    open_ = [its for its in columns if its.says or its.name in named]
    naming = [its for its in open_ if its.symptoms >= NAMES]
    theirs = [its for its in naming if THEIRS.search(its.name)]
    if "symptom" not in told.values() and (theirs or len(naming) > 1):
        first = min(theirs or naming, key=lambda its: its.length)
        found[first.name] = "symptom"
    looked = "found" in told.values()
    for its in open_:
        if its.name not in found:
            weak = THEIRS.search(its.name) or (its.name in named and looked)
            found[its.name] = "remark" if weak else "found"
    return found


def worth_reading(its: Cells) -> bool:
    """Whether a column has words at all that could be read."""
    return len(its.texts) > 0 and bool(its.texts.str.contains(r"\p{L}{2}").any())
