"""Causes that have become more frequent than the shop's own past, with the cases behind it.

Fisher's exact test, one-sided: of all closed complaints so many have the cause, and of those of the
last months, of a film, a lot or a fitter more than chance would put there. The level is shared out
over all that is looked at (Bonferroni), so that in a shop where nothing changed an alarm is raised
in at most so many of a hundred looks, whatever is looked at.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagnose.records.experience.chance import excess
from diagnose.records.store.summary import ClosedComplaint

LEVEL = 0.05
"""False alarms: of so many looks at a shop in which nothing changed, at most one."""

FEWEST = 3
"""Cars with a cause in a group before anything is said of it."""

MONTHS = 3
"""What counts as of late: the last months in which complaints were closed."""


@dataclass(frozen=True, slots=True)
class RisingCause:
    """A cause more frequent in a group than elsewhere: `count` of `of`, against `rest` of `others`.

    `by` is month, film, lot or installer; `chance` is that of such a count where nothing changed,
    taken `looks` times for all that was looked at.
    """

    by: str
    value: str
    cause: str
    count: int
    of: int
    rest: int
    others: int
    chance: float
    cases: tuple[str, ...]


def rises(outcomes: Sequence[ClosedComplaint]) -> tuple[RisingCause, ...]:
    """What has become more frequent, the least likely by chance first.

    One cause at several places of a car came once: such complaints are no chances of their own.
    """
    once = {(outcome.case_id, outcome.cause): outcome for outcome in outcomes}
    looks = list(_looks(tuple(once.values())))
    found = [rise for rise in looks if rise.chance * len(looks) <= LEVEL]
    return tuple(sorted(found, key=lambda r: (r.chance, r.by, r.value, r.cause)))


def _looks(outcomes: Sequence[ClosedComplaint]) -> Iterator[RisingCause]:
    """Everything that is looked at: what is looked at hangs on the groups, not on the causes met.

    A group and a cause are looked at where so many could be in it as would be said at all.
    """
    causes = Counter(o.cause for o in outcomes)
    for by, value, its in _groups(outcomes):
        for cause, marked in sorted(causes.items()):
            if min(marked, len(its)) >= FEWEST and len(its) < len(outcomes):
                with_it = [o for o in its if o.cause == cause]
                count = len(with_it)
                chance = excess(count, len(its), marked, len(outcomes))
                ids = tuple(dict.fromkeys(o.case_id for o in with_it))
                rest = (marked - count, len(outcomes) - len(its))
                yield RisingCause(by, value, cause, count, len(its), *rest, chance, ids)


def _groups(
    outcomes: Sequence[ClosedComplaint],
) -> Iterator[tuple[str, str, list[ClosedComplaint]]]:
    months = sorted({o.month for o in outcomes})[-MONTHS:]
    if months:
        late = [o for o in outcomes if o.month >= months[0]]
        yield "month", f"since {months[0]}", late
    for by in ("film", "lot", "installer"):
        for value in sorted({getattr(o, by) for o in outcomes} - {""}):
            yield by, value, [o for o in outcomes if getattr(o, by) == value]


def rise_words(rise: RisingCause, cause: str) -> str:
    """A rise in a sentence, with the cases behind it; `cause` by its name."""
    where = {"installer": "fitter"}.get(rise.by, rise.by)
    group = rise.value if rise.by == "month" else f"{where} {rise.value}"
    return (
        f"{cause} has become more frequent, {group}: {rise.count} of {rise.of}, else {rise.rest} of"
        f" {rise.others} (by chance {_once_in(rise.chance)}). Cases: {', '.join(rise.cases)}."
    )


def _once_in(chance: float) -> str:
    """A small chance as people say it, to two digits."""
    if chance < RAREST:
        return f"less than once in {round(1 / RAREST):,}"
    return f"once in {float(f'{1 / chance:.2g}'):,.0f}"


RAREST = 1e-6
"""A chance below it is not told more closely."""
