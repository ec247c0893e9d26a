"""What a panel estimated of rows, and how it joins what stands with a cause.

Each of several people who put down a row by themselves errs in a way of their own, so that the mean
of them foretells better than any one (Clemen & Winkler 1999). It is taken over the logarithms (a
logarithmic opinion pool): what one of them holds for all but impossible stays rare. What rules a
cause out is said with its reason, and no estimate takes it back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from diagnose.knowledge.model import Estimates, Observable, WholeCases
from diagnose.knowledge.model.kinds import SeveralKind


@dataclass(frozen=True, slots=True)
class Estimated:
    """Parts of one by the answers of a check; None for an answer that was not before the panel.

    `group`: what the row is counted with where the cause itself says nothing. `over_all`: it was
    not estimated at the symptom, but over all symptoms of the cause.
    """

    parts: tuple[float | None, ...]
    group: str | None = None
    over_all: bool = False

    def joined(self, judged: Sequence[float], share: float, together: bool) -> tuple[float, ...]:
        """Portions of a row, in which what is estimated counts for `share` and the rest as judged.

        `together`: answers can be right together, so that each has a part by itself. An answer that
        was not before the panel, and one that rules out, stay as judged.
        """
        own = 1 - share
        now: list[float | None] = []
        room = whole = 0.0
        for j, p in zip(judged, self.parts, strict=True):
            if p is None or not j:
                now.append(None)
                continue
            both = j**own * p**share
            if together:
                both /= both + (1 - j) ** own * (1 - p) ** share
            else:
                room += j
                whole += both
            now.append(both)
        if together:
            room = whole = 1.0
        whole = whole or 1.0
        return tuple(
            [j if n is None else room * n / whole for j, n in zip(judged, now, strict=True)]
        )


Met = Mapping[str, tuple[float, ...]]
"""By check the shares of its answers at a symptom, as estimates of its causes come to."""

NOT_MET: Met = MappingProxyType({})


def estimated(
    its: Estimates, cause: str, observables: Mapping[str, Observable]
) -> Mapping[str, Estimated]:
    """By check what was estimated of the rows of a cause at a symptom."""
    found: dict[str, Estimated] = {}
    for table in its.rows:
        if cause in table.of_100:
            told = dict(zip(table.answers, table.numbers(cause), strict=True))
            labels = observables[table.check].labels
            parts = tuple(told[label] / 100 if label in told else None for label in labels)
            found[table.check] = Estimated(parts, table.group)
    return found


@dataclass(frozen=True, slots=True)
class Leaning:
    """How much oftener, or more rarely, a cause shows each answer than callbacks in general do.

    `times`: of each answer of a check, its part with the cause by its usual part; where answers can
    be right together its odds by the usual odds. None for what was not before the panel.
    """

    times: tuple[float | None, ...]
    together: bool
    group: str | None = None

    def at(self, shares: Sequence[float]) -> Estimated:
        """The row where answers are met by these shares: at one symptom."""
        if self.together:
            return Estimated(tuple(map(_by_odds, shares, self.times)), self.group, over_all=True)
        parts = [None if t is None else b * t for b, t in zip(shares, self.times, strict=True)]
        asked = sum([b for b, t in zip(shares, self.times, strict=True) if t is not None])
        room = asked / sum([p for p in parts if p is not None])
        scaled = tuple([None if p is None else p * room for p in parts])
        return Estimated(scaled, self.group, over_all=True)


EstimatedOfCause = Mapping[str, Estimated | Leaning]
"""By check what was estimated of one cause's rows: at a symptom, else over all of its symptoms."""

NOTHING_ESTIMATED: EstimatedOfCause = MappingProxyType({})


def _by_odds(share: float, times: float | None) -> float | None:
    if times is None:
        return None
    odds = share / (1 - share) * times
    return odds / (1 + odds)


def leanings(
    its: Estimates, observables: Mapping[str, Observable]
) -> Mapping[str, Mapping[str, Leaning]]:
    """By cause and check what was estimated over all symptoms."""
    found: dict[str, dict[str, Leaning]] = {}
    for table in its.rows:
        observable = observables[table.check]
        together = isinstance(observable.kind, SeveralKind)
        usual = table.usual_numbers()
        for cause in table.of_100:
            each = zip(table.numbers(cause), usual, strict=True)
            times: tuple[float | None, ...] = tuple([_times(n, b, together) for n, b in each])
            if table.answers != observable.labels:
                told = dict(zip(table.answers, times, strict=True))
                times = tuple(told.get(label) for label in observable.labels)
            found.setdefault(cause, {})[table.check] = Leaning(times, together, table.group)
    return found


def _times(number: float, usual: float, together: bool) -> float:
    """Numbers of a hundred, one by the other; or their odds."""
    if together:
        return number / (100 - number) / (usual / (100 - usual))
    return number / usual


def met(
    its: Estimates,
    observables: Mapping[str, Observable],
    weights: Mapping[str, float],
    share: float,
) -> Met:
    """By check how often each answer is met at a symptom: the mean over its causes by `weights`.

    `share` of it is estimated, the rest as over all callbacks, for the causes of which nothing was
    estimated answer like those. Of a check of which some answers were not before the panel nothing
    is said.
    """
    found: dict[str, tuple[float, ...]] = {}
    for table in its.rows:
        observable = observables[table.check]
        if set(table.answers) != set(observable.labels):
            continue
        known = [cause for cause in table.of_100 if cause in weights]
        if not known:
            continue
        weighed = ([weights[c] * n for n in table.numbers(c)] for c in known)
        here = dict(zip(table.answers, map(sum, zip(*weighed, strict=True)), strict=True))
        together = isinstance(observable.kind, SeveralKind)
        whole = sum(weights[c] for c in known) if together else sum(here.values()) / 100
        found[table.check] = tuple(
            (1 - share) * b + share * here[label] / whole / 100
            for label, b in zip(observable.labels, observable.shares, strict=True)
        )
    return found


Moved = Mapping[str, tuple[float, ...]]
"""By check, for each of its answers, how many times its number whole complaints make of it."""

NOT_MOVED: Moved = MappingProxyType({})


def moved(its: WholeCases, observables: Mapping[str, Observable]) -> Moved:
    """What whole complaints, as a panel judges them, make of the rows of a cause."""
    found = {}
    for check in its.shows:
        times = its.times(check)
        found[check] = tuple(times.get(label, 1.0) for label in observables[check].labels)
    return found


def as_moved(
    portions: Sequence[float], times: Sequence[float], together: bool
) -> tuple[float, ...]:
    """Portions of a row with each in so many times; what was 0 stays 0, and what was whole whole.

    `together`: answers can be right together, so that the odds of each are taken so many times.
    """
    if together:
        return tuple(p * t / (1 - p + p * t) for p, t in zip(portions, times, strict=True))
    raw = [p * t for p, t in zip(portions, times, strict=True)]
    room = sum(portions) / sum(raw)
    return tuple(r * room for r in raw)
