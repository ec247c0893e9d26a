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


@dataclass(frozen=True, slots=True)
class Covered:
    """By row: the number of the terms (-1 laying day unknown, -2 no terms of that day) and cover.

    `cover`: number among all covers of the policy, -1 where the payer is not answered for.
    `months`: the term, NaN where it hangs on a surface that is not known. `age` in full months,
    NaN unknown. `within`, `past`: definitely so; neither is 'not known'. `percent` carried, NaN.
    """

    terms: Ints
    cover: Ints
    months: Floats
    age: Floats
    within: Bools
    past: Bools
    percent: Floats


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

    def terms(self, claims: Claims) -> Ints:
        """The number of the terms in force on the day of laying."""
        found = np.full(len(claims.laid_on), NO_TERMS, dtype=np.int64)
        for number, terms in enumerate(self._policy.terms):
            start, end = np.datetime64(terms.valid_from), np.datetime64(terms.valid_to)
            found[(claims.laid_on >= start) & (claims.laid_on <= end)] = number
        found[np.isnat(claims.laid_on)] = UNKNOWN_TERMS
        return found

    def of(self, claims: Claims, terms: Ints, payer: Ints, origin: Ints) -> Covered:
        """What the terms say where this payer and this origin lead."""
        age = ages(claims, self._age)
        cover = np.where(terms >= 0, self._table[np.maximum(terms, 0), payer, origin], NO_COVER)
        has = cover >= 0
        surface = self._surface[claims.panel]
        months = np.full(len(cover), np.nan)
        if self.covers:
            months = np.where(has, self._months[np.maximum(cover, 0), surface], np.nan)
            most = self._months[:, :-1].max(axis=1)[np.maximum(cover, 0)]
            least = self._months[:, :-1].min(axis=1)[np.maximum(cover, 0)]
        else:
            most = least = months
        with np.errstate(invalid="ignore"):
            within = has & (age < np.where(np.isnan(months), least, months))
            past = has & (age >= np.where(np.isnan(months), most, months))
        return Covered(terms, cover, months, age, within, past, self._percents(cover, age, months))

    def _percents(self, cover: Ints, age: Floats, months: Floats) -> Floats:
        found = np.full(len(cover), np.nan)
        known = ~np.isnan(age) & ~np.isnan(months)
        for number, its in enumerate(self.covers):
            at = np.flatnonzero(known & (cover == number))
            found[at] = its.share.percents(age[at], months[at])
        return found


def _number(surfaces: tuple[str, ...], surface: str | None) -> int:
    return -1 if surface is None else surfaces.index(surface)


def _if_all_same(months: object) -> float:
    values = set(dict(months).values())  # type: ignore[call-overload]
    return float(values.pop()) if len(values) == 1 else float("nan")


def ages(claims: Claims, check: str) -> Floats:
    """Full months from laying to the day it was seen; else the age that was entered; else NaN."""
    entered = claims.columns.numbers.get(check)
    if entered is None:
        return claims.age
    low, high = entered
    exact = np.where(low == high, low, np.nan)
    return np.where(np.isnan(claims.age), exact, claims.age)
