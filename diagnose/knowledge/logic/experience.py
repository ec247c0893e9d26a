"""What closed cases counted, and how counts move what was judged.

Three things can be so of a row in this shop: it is as judged; it is another one, at this symptom by
itself; it is another one, the same at all symptoms at which the same is written. Where it is
another one, what is judged is a Dirichlet prior (of answers that can be right together a Beta prior
each) worth a stated number of cases, or some times as many, and each closed case adds one. How well
each of these foretells the counts (Bayes factor) gives its part, and the mean over them stands in
for what was judged. How many rows differ at all, and what the judged is worth then, is told by the
rows of the symptom together. All of it is exact and in closed form.

An answer known in part counts in parts, as the judged row shares it out, so that it moves nothing
within what was left open. What is ruled out stays ruled out: such a case is not counted here but
put before a person.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import exp, lgamma, log

Codes = tuple[int, ...]
Seen = Mapping[Codes, float]
"""In how many cases the answer was one of these, by code; or they were all so, of several."""

Counted = tuple[tuple[float, ...], float]
"""How often each answer was met, and in how many cases."""

Cell = tuple[str, str, str]
"""Symptom, cause and check or measure."""


@dataclass(frozen=True, slots=True)
class Counts:
    """What the closed cases of one shop count; `shop` is '' for one's own.

    `causes`: by symptom, how often each was confirmed (a cause that the base does not list behind
    it too); `answers`: what was answered with them. A case counts for `weight` cases.
    """

    shop: str
    cases: int
    causes: Mapping[str, Mapping[str, float]]
    answers: Mapping[Cell, Seen]
    weight: float = 1.0
    until: str = ""

    @property
    def where(self) -> str:
        """The shop in words."""
        return self.shop or "this shop"


@dataclass(frozen=True, slots=True)
class Tally:
    """How often each answer was met with a cause in one place, of how many cases."""

    where: str
    counts: tuple[float, ...]
    cases: float


@dataclass(frozen=True, slots=True)
class Learned:
    """Portions of a row as they stand after counting, and what was counted where."""

    portions: tuple[float, ...]
    tallies: tuple[Tally, ...]


@dataclass(frozen=True)
class Experience:
    """The counts of one's own shop and of others."""

    shops: tuple[Counts, ...] = ()

    def __bool__(self) -> bool:
        """Whether anything was counted."""
        return any(shop.cases and shop.weight for shop in self.shops)

    @property
    def cases(self) -> int:
        """Closed complaints in all of it."""
        return sum(shop.cases for shop in self.shops if shop.weight)

    @property
    def says(self) -> str:
        """Whose cases these are, until when, and what each counts for."""
        return "; ".join(
            f"{shop.where} {shop.cases}"
            + (f" until {shop.until}" if shop.until else "")
            + (f", each for {shop.weight:g}" if shop.weight != 1 else "")
            for shop in self.shops
            if shop.weight
        )

    @cached_property
    def mark(self) -> str:
        """Eight hex digits that change with any count."""
        told = [
            (
                shop.shop,
                shop.weight,
                sorted((s, sorted(its.items())) for s, its in shop.causes.items()),
                sorted((cell, sorted(seen.items())) for cell, seen in shop.answers.items()),
            )
            for shop in self.shops
        ]
        return hashlib.sha256(repr(told).encode()).hexdigest()[:8]

    def confirmed(self, symptom: str) -> Mapping[str, float]:
        """How often each cause was confirmed behind a symptom, shops by their weight."""
        found: dict[str, float] = {}
        for shop in self.shops:
            for cause, number in shop.causes.get(symptom, {}).items():
                found[cause] = found.get(cause, 0.0) + shop.weight * number
        return found

    def seen(self, cells: Sequence[Cell]) -> Seen:
        """What was answered in some cells, shops by their weight."""
        return _summed([(shop, shop.weight) for shop in self.shops if shop.weight], cells)

    def tallies(self, words: str, cells: Sequence[Cell], prior: Prior) -> Iterator[Tally]:
        """What was counted in some cells, shop by shop; `words` say which cells they are."""
        for shop in self.shops:
            tally = prior.tally(_summed([(shop, 1.0)], cells))
            if shop.weight and tally[1]:
                yield Tally(f"{shop.where}{words}", *tally)


NOTHING = Experience()


def _summed(shops: Sequence[tuple[Counts, float]], cells: Sequence[Cell]) -> Seen:
    found: dict[Codes, float] = {}
    for shop, weight in shops:
        for cell in cells:
            for codes, number in shop.answers.get(cell, {}).items():
                found[codes] = found.get(codes, 0.0) + weight * number
    return found


@dataclass(frozen=True, slots=True)
class Prior:
    """What is judged as a prior worth some cases; `together`: of answers that can be right so."""

    judged: tuple[float, ...]
    worth: float
    together: bool = False

    def tally(self, seen: Seen) -> Counted:
        """How often each answer was met, and of how many cases; none that is ruled out."""
        counts, cases = [0.0] * len(self.judged), 0.0
        for codes, number in seen.items():
            parts = [1.0 if self.together else self.judged[code] for code in codes]
            whole = 1.0 if self.together else sum(parts)
            if whole:
                cases += number
                for code, part in zip(codes, parts, strict=True):
                    counts[code] += number * part / whole if self.judged[code] else 0.0
        return tuple(counts), cases

    def worth_times(self, times: float) -> Prior:
        """The same judged, worth so many times as many cases."""
        return Prior(self.judged, self.worth * times, self.together)

    def after(self, counted: Counted) -> Prior:
        """The posterior, which is the prior of what comes next; its means sum to what they did."""
        counts, cases = counted
        worth = self.worth + cases
        now = ((self.worth * p + n) / worth for p, n in zip(self.judged, counts, strict=True))
        return Prior(tuple(now), worth, self.together)

    def as_judged(self, counted: Counted) -> float:
        """Logarithm of the chance of counts where the truth is what is judged."""
        return sum(n * log(p) for p, n in self._cells(counted) if n)

    def otherwise(self, counted: Counted) -> float:
        """Logarithm of their chance where the truth is drawn around what is judged."""
        alone = sum(1 for p in self.judged if p) if self.together else 1
        whole = lgamma(self.worth + counted[1]) - lgamma(self.worth)
        each = (lgamma(self.worth * p + n) - lgamma(self.worth * p)
                for p, n in self._cells(counted) if n)  # fmt: skip
        return sum(each) - alone * whole

    def _cells(self, counted: Counted) -> Iterator[tuple[float, float]]:
        """Each chance with its count; of answers that can be right together its absence too."""
        counts, cases = counted
        for p, n in zip(self.judged, counts, strict=True):
            if p:
                yield p, n
                if self.together:
                    yield 1 - p, cases - n


Parts = tuple[float, ...]
"""The part of rows that are as judged, then of those that are not, by what the judged is worth."""


@dataclass(frozen=True)
class CountsTrial:
    """Counts held against what is judged here, and at each symptom where the same is written.

    There it may be judged otherwise, since estimates and usual shares are of a symptom. `times`:
    where the row is another one, what is judged may be worth so many times as many cases.
    """

    prior: Prior
    here: Counted
    elsewhere: tuple[tuple[Prior, Counted], ...] = ()
    times: tuple[float, ...] = (1.0,)

    @cached_property
    def odds(self) -> tuple[float, tuple[tuple[float, float], ...]]:
        """Chances of the counts, up to a factor: as judged; by each worth apart and as one.

        The largest of them is 1.
        """
        judged = self.prior.as_judged(self.here)
        judged += sum(prior.as_judged(counted) for prior, counted in self.elsewhere)
        ways = [self._apart_and_one(each) for each in self.times]
        top = max(judged, *(log_chance for way in ways for log_chance in way))
        return exp(judged - top), tuple((exp(a - top), exp(b - top)) for a, b in ways)

    def _apart_and_one(self, times: float) -> tuple[float, float]:
        its = self.prior.worth_times(times)
        here = its.otherwise(self.here)
        if not self.elsewhere:
            return here, here
        there = sum(prior.worth_times(times).otherwise(n) for prior, n in self.elsewhere)
        return here + there, its.otherwise(self._both)

    @cached_property
    def _both(self) -> Counted:
        whole = self.here
        for _, counted in self.elsewhere:
            whole = _added(whole, counted)
        return whole

    @cached_property
    def chances(self) -> Parts:
        """Of the counts, up to a factor: as judged, then by each worth, apart or as one alike."""
        judged, ways = self.odds
        return (judged, *(sum(way) / 2 for way in ways))

    def parts(self, expected: Parts) -> Parts:
        """How the counts move the parts that are expected; they sum to one."""
        return _moved(expected, self.chances)

    def mean(self, expected: Parts) -> tuple[float, ...]:
        """What to expect now, where so much is expected to be as judged, and otherwise."""
        judged, *now = self.parts(expected)
        found = [judged * p for p in self.prior.judged]
        for part, (apart, one), times in zip(now, self.odds[1], self.times, strict=True):
            for counted, chance in ((self.here, apart), (self._both, one)):
                if chance:
                    its = self.prior.worth_times(times).after(counted).judged
                    share = part * chance / (apart + one)
                    found = [f + share * p for f, p in zip(found, its, strict=True)]
        return tuple(found)


def _moved(expected: Parts, chances: Parts) -> Parts:
    now = [part * chance for part, chance in zip(expected, chances, strict=True)]
    whole = sum(now)
    return tuple([each / whole for each in now])


def _added(one: Counted, other: Counted) -> Counted:
    return tuple(a + b for a, b in zip(one[0], other[0], strict=True)), one[1] + other[1]


ROUNDS = 30
"""Steps toward the parts of rows that differ; they change by less than a thousandth after these."""


def expecting(percent: float, times: Sequence[float]) -> Parts:
    """That so many in a hundred are not as judged, each worth as likely."""
    return (1 - percent / 100, *(percent / 100 / len(times) for _ in times))


def differing(trials: Sequence[CountsTrial], expected: Parts, rows: float) -> Parts:
    """The parts of rows that are otherwise than judged, as their own counts tell.

    They are expected to be `expected`, with the weight of so many `rows` (empirical Bayes: the mode
    found by alternating between rows and parts, always in as many steps).
    """
    parts, chances = expected, [trial.chances for trial in trials]
    for _ in range(ROUNDS):
        told = [_moved(parts, each) for each in chances]
        found = [sum(its) for its in zip(*told, strict=True)] or [0.0] * len(parts)
        parts = tuple((rows * e + f) / (rows + len(trials))
                      for e, f in zip(expected, found, strict=True))  # fmt: skip
    return parts
