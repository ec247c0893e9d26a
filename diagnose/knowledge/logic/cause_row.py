"""The row of one cause on one check: what each answer weighs, and what a set of answers does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log10

from diagnose.knowledge.logic.experience import Tally
from diagnose.knowledge.logic.said import Saying
from diagnose.knowledge.model import RuleOut, Sign

DIGITS = 13
"""Decibans are rounded to these, so that equal weights are equal numbers."""


@dataclass(frozen=True, slots=True)
class CauseRow:
    """What one cause makes of one check.

    `decibans[a]` is 10·log10(P(a | cause)/b(a)); `says` what is said of answers, if anything. The
    answers of `ruled_out` cannot be with the cause and weigh nothing by themselves; `outs` says
    why. Where answers can be right together, `absent[a]` is what it weighs that `a` is not so.
    Where closed cases moved the row, `tallies` say what was counted, and `judged` holds
    P(a | cause) as it stands in the files.
    """

    observable: str
    decibans: tuple[float, ...]
    says: Saying | None
    group: str | None
    ruled_out: frozenset[int] = frozenset()
    outs: tuple[RuleOut, ...] = ()
    usual: tuple[float, ...] = ()
    absent: tuple[float, ...] = ()
    judged: tuple[float, ...] = ()
    tallies: tuple[Tally, ...] = ()

    @property
    def signs(self) -> tuple[Sign | None, ...]:
        """By answer the sign that it is; None where nothing is said of it."""
        return self.says.signs if self.says else (None,) * len(self.decibans)

    def weight(self, codes: Sequence[int]) -> float:
        """What it weighs that the answer is one of some: 10·log10(ΣP(a | cause)/Σb(a)) over them.

        A range of a number touches bins, each of which counts whole. An answer that is ruled out
        adds nothing to the upper sum; where all are, nothing is weighed, for the cause is gone.
        Where answers can be right together: that these are so, and the others are not.
        """
        if self.absent:
            both = enumerate(zip(self.decibans, self.absent, strict=True))
            return round(sum(yes if code in codes else no for code, (yes, no) in both), DIGITS)
        if len(codes) == 1:
            (code,) = codes
            return 0.0 if code in self.ruled_out else self.decibans[code]
        sizes = {self.decibans[code] for code in codes}
        left = [code for code in codes if code not in self.ruled_out]
        if not left:
            return 0.0
        if len(sizes) == 1 and len(left) == len(codes):
            return sizes.pop()
        chance = sum(self.usual[code] * 10 ** (self.decibans[code] / 10) for code in left)
        return round(10 * log10(chance / sum(self.usual[code] for code in codes)), DIGITS)

    def impossible(self, codes: Sequence[int]) -> bool:
        """Whether the cause cannot be where the answer is one of these, or they are all so."""
        if self.absent:
            return not self.ruled_out.isdisjoint(codes)
        return self.ruled_out.issuperset(codes)

    def lost(self, codes: Sequence[int]) -> bool:
        """Whether several answers are left, each ruled out for a reason of its own."""
        return len(codes) > 1 and not self.absent and self.impossible(codes)

    def sign(self, codes: Sequence[int]) -> Sign | None:
        """The sign that names all of some answers; of what is so together the weightiest."""
        if self.says is None:
            return None
        signs = self.says.signs
        if self.absent:
            named = [code for code in codes if signs[code]]
            return signs[max(named, key=lambda c: abs(self.decibans[c]))] if named else None
        found = {id(signs[code]): signs[code] for code in codes}
        return next(iter(found.values())) if len(found) == 1 else None


def portions(cells: CauseRow | None, shares: Sequence[float]) -> tuple[float, ...]:
    """P(answer | cause) of each answer; the usual `shares` where the cause says nothing."""
    if cells is None:
        return tuple(shares)
    return tuple(
        0.0 if code in cells.ruled_out else b * 10 ** (size / 10)
        for code, (b, size) in enumerate(zip(shares, cells.decibans, strict=True))
    )
