"""What a drill is, and how it is marked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

SIGNS, APART, DRAWING, FIRST, TO_DO = "signs", "apart", "drawing", "first", "remedy"
KINDS = (SIGNS, APART, DRAWING, FIRST, TO_DO)

NAMES: Mapping[str, str] = {
    SIGNS: "which signs go with a cause",
    APART: "which check tells two causes apart",
    DRAWING: "which symptom is drawn",
    FIRST: "what to look at first",
    TO_DO: "what would you do: remedy, never, payer",
}
"""What each kind of drill asks, as menus say it."""

OPTIONS = 6
"""Options of a drill."""


class NoDrill(ValueError):
    """The rule base has nothing for such a drill."""


@dataclass(frozen=True, slots=True)
class Option:
    """One option: its id and what stands there."""

    id: str
    says: str


@dataclass(frozen=True, slots=True)
class Drill:
    """A question with options, some of them right.

    `about`: the cause, the two causes, the cause and its symptom, or the symptom whose drawing is
    shown or whose first looks are asked for; `because`: for each option why it is right, or what
    speaks for what instead.
    """

    kind: str
    about: tuple[str, ...]
    ask: str
    options: tuple[Option, ...]
    right: frozenset[str]
    because: Mapping[str, str]

    @property
    def several(self) -> bool:
        """Whether several options are to be chosen."""
        return self.kind in (SIGNS, FIRST, TO_DO)


@dataclass(frozen=True, slots=True)
class Marking:
    """What was right, missed and wrong, and a share of 1 for the whole.

    A wrong option takes back a right one, so that choosing all earns no more than choosing none.
    """

    found: tuple[str, ...]
    missed: tuple[str, ...]
    wrong: tuple[str, ...]
    share: float


def mark(drill: Drill, chosen: Iterable[str]) -> Marking:
    """Mark the chosen options."""
    picked = set(chosen)
    ids = [option.id for option in drill.options]
    found = tuple(i for i in ids if i in picked and i in drill.right)
    wrong = tuple(i for i in ids if i in picked and i not in drill.right)
    missed = tuple(i for i in ids if i not in picked and i in drill.right)
    if not drill.several:
        return Marking(found, () if found else missed, wrong, float(bool(found) and not wrong))
    share = len(found) / len(drill.right) - len(wrong) / (len(ids) - len(drill.right))
    return Marking(found, missed, wrong, max(0.0, share))
