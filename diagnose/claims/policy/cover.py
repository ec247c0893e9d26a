"""What the policy says of each row: which terms, who answers until when, and for which share."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.claims.mapping.reading import Claims
from diagnose.claims.policy.policy import Policy
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Origin
from diagnose.knowledge.panels import PANELS

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

ORIGINS = tuple(o.value for o in Origin)
UNKNOWN_TERMS, NO_TERMS = -1, -2
NO_COVER = -1
PART_BITS = {"labour": 1, "film": 2}


@dataclass(frozen=True, slots=True)
class Covered:
    """By row: the number of the terms (-1 laying day unknown, -2 no terms of that day) and cover.

    `cover`: number among all covers of the policy, -1 where the payer is not answered for.
    `months`: the term, NaN where it hangs on a surface that is not known. `age` in full months,
    NaN unknown; `begun` counts the month that has begun, so that the last day of a term is inside
    it. `within`, `past`: definitely so; neither is 'not known'. `percent` carried, NaN.
    `share`: how much of the leading payer's probability lies under this cover (or under none).
    `silent`: the terms name the payer, but not with this origin. `answered`: (payers, rows), whom
    the terms name at all; `over`: whose covers are past at this age, whatever the origin.
    `carries`: which parts of the amount, as the sum of 1 for labour and 2 for film.
    """

    terms: Ints
    cover: Ints
    months: Floats
    age: Floats
    begun: Floats
    within: Bools
    past: Bools
    percent: Floats
    share: Floats
    silent: Bools
    answered: Bools
    over: Bools
    carries: Ints


class Covering:
    """The policy as arrays."""

    def __init__(self, base: Base, policy: Policy) -> None:
        self._policy = policy
        self._payers = list(base.payers)
        self._age = base.role("age")
        self.covers = [cover for terms in policy.terms for cover in terms.covers]
        surfaces = policy.surfaces
        self._surface = np.array([_number(surfaces, policy.surface(p)) for p in PANELS] + [-1])
        self._months = np.array(
            [[c.months[s] for s in surfaces] + [_if_all_same(c.months)] for c in self.covers]
        ).reshape(len(self.covers), len(surfaces) + 1)
        self._table = self._which_cover()
        self._named = (self._table != NO_COVER).any(axis=2)
        self._longest = self._longest_of()

    def _which_cover(self) -> Ints:
        """(terms, payer, origin) to the number of the cover."""
        shape = (len(self._policy.terms), len(self._payers), len(ORIGINS))
        table = np.full(shape, NO_COVER, dtype=np.int64)
        number = 0
        for at, terms in enumerate(self._policy.terms):
            for cover in terms.covers:
                for origin in cover.origins:
                    place = (at, self._payers.index(cover.payer), ORIGINS.index(origin))
                    if table[place] == NO_COVER:
                        table[place] = number
                number += 1
        return table

    def _longest_of(self) -> Floats:
        """The longest months of any cover of each payer: (terms, payers), 0 for none."""
        found = np.zeros((len(self._policy.terms), len(self._payers)))
        for at, terms in enumerate(self._policy.terms):
            for cover in terms.covers:
                place = self._payers.index(cover.payer)
                found[at, place] = max(found[at, place], *cover.months.values())
        return found

    def terms(self, claims: Claims) -> Ints:
        """The number of the terms in force on the day of laying."""
        laid = claims.days.laid.or_(claims.days.handed).first
        found = np.full(len(laid), NO_TERMS, dtype=np.int64)
        for number, terms in enumerate(self._policy.terms):
            start, end = np.datetime64(terms.valid_from), np.datetime64(terms.valid_to)
            found[(laid >= start) & (laid <= end)] = number
        # Where there are no others, the day only tells the age, which is asked for where it counts.
        found[np.isnat(laid)] = 0 if len(self._policy.terms) == 1 else UNKNOWN_TERMS
        return found

    def of(self, claims: Claims, terms: Ints, payer: Ints, origins: Floats) -> Covered:
        """What the terms say of this payer; `origins`: how likely each is with it, (ORIGINS, rows).

        Of several covers the one under which most of the probability lies.
        """
        (_, age), (least, most) = _ages(claims, self._age)
        known, at = terms >= 0, np.maximum(terms, 0)
        cover, share = self._best(at, payer, origins)
        cover = np.where(known, cover, NO_COVER)
        named = self._named[at].T & known
        silent = known & (cover == NO_COVER) & named[payer, np.arange(len(payer))]
        with np.errstate(invalid="ignore"):
            over = named & (least > self._longest[at].T)
        has = cover >= 0
        surface = self._surface[claims.panel]
        months = np.full(len(cover), np.nan)
        if self.covers:
            months = np.where(has, self._months[np.maximum(cover, 0), surface], np.nan)
            longest = self._months[:, :-1].max(axis=1)[np.maximum(cover, 0)]
            shortest = self._months[:, :-1].min(axis=1)[np.maximum(cover, 0)]
        else:
            longest = shortest = months
        with np.errstate(invalid="ignore"):
            within = has & (most <= np.where(np.isnan(months), shortest, months))
            past = has & (least > np.where(np.isnan(months), longest, months))
        percent = self._percents(cover, age, most, months)
        carried = np.array([sum(PART_BITS[part] for part in c.carries) for c in self.covers] + [3])
        how = (within, past, percent, share, silent, named, over, carried[cover])
        return Covered(terms, cover, months, age, least, *how)

    def _best(self, terms: Ints, payer: Ints, origins: Floats) -> tuple[Ints, Floats]:
        """The cover, or none, under which most of a payer's probability lies, and how much."""
        best = np.full(len(payer), NO_COVER, dtype=np.int64)
        most = np.zeros(len(payer))
        covers = np.stack([self._table[terms, payer, o] for o in range(len(ORIGINS))])
        for cover in np.unique(covers).tolist():
            share = np.where(covers == cover, origins, 0.0).sum(axis=0)
            better = share > most
            best[better], most[better] = cover, share[better]
        return best, most

    def _percents(self, cover: Ints, age: Floats, begun: Floats, months: Floats) -> Floats:
        found = np.full(len(cover), np.nan)
        known = ~np.isnan(age) & ~np.isnan(months)
        for number, its in enumerate(self.covers):
            at = np.flatnonzero(known & (cover == number))
            found[at] = its.share.percents(age[at], begun[at], months[at])
        return found


def _number(surfaces: tuple[str, ...], surface: str | None) -> int:
    return -1 if surface is None else surfaces.index(surface)


def _if_all_same(months: object) -> float:
    values = set(dict(months).values())  # type: ignore[call-overload]
    return float(values.pop()) if len(values) == 1 else float("nan")


def _ages(claims: Claims, check: str) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """Full months and months begun, each at least and at most: by the days, else as entered."""
    full, begun = claims.days.ages(), claims.days.begun()
    entered = claims.columns.numbers.get(check)
    if entered is None:
        return full, begun
    open_ = np.isnan(full[1]) & ~claims.days.end.known | ~claims.days.start.known
    fulls = tuple(np.where(open_, its, days) for its, days in zip(entered, full, strict=True))
    begins = tuple(
        np.where(open_, np.ceil(its), days) for its, days in zip(entered, begun, strict=True)
    )
    return (fulls[0], fulls[1]), (begins[0], begins[1])
