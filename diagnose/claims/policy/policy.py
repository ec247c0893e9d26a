"""The warranty policy: who answers for what, for how many months on which surface.

Plain YAML, read with places; every problem is told at once. Dates are real dates.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnose.claims.policy.faults import meanings
from diagnose.claims.policy.policy_text import (
    OTHER,
    CoverText,
    ExclusionText,
    PolicyText,
    SurenessText,
    TermsText,
)
from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import Origin
from diagnose.knowledge.model.conditions import Condition
from diagnose.knowledge.reading.reader import read_file

EMPTY = "the file is empty: copy the example and change it"

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CarriedShare:
    """How much is carried: `steps` of (until month, percent), or falling from a month on.

    With `steps` empty: all until `full_until`, then evenly down to nothing at the last month;
    `full_until` None is all of it until the last month.
    """

    full_until: float | None = None
    steps: tuple[tuple[float, float], ...] = ()

    def percents(self, age: Floats, begun: Floats, months: Floats) -> Floats:
        """Percent carried at ages in full months; 0 where more months have begun than count.

        The day on which a step or the term is full still belongs to it.
        """
        if self.steps:
            under = [begun <= until for until, _ in self.steps]
            found = np.select(under, [np.full(age.shape, p) for _, p in self.steps], 0.0)
        elif self.full_until is None:
            found = np.full(age.shape, 100.0)
        else:
            falls = np.maximum(months - self.full_until, 1e-9)
            found = np.clip(100.0 * (months - age) / falls, 0.0, 100.0)
        return np.where(begun <= months, found, 0.0)


PARTS = ("labour", "film")
"""What a claim is made up of, where its parts stand in columns of their own."""


@dataclass(frozen=True, slots=True)
class Need:
    """What must be shown before a cover pays, in words and as a condition."""

    says: str
    when: Condition


@dataclass(frozen=True, slots=True)
class Cover:
    """A payer who answers for faults of some origins; `months` by surface.

    `needs`: what must be shown, None for what the rule base asks of the payer. `carries`: which
    parts of the amount.
    """

    payer: str
    origins: tuple[str, ...]
    months: Mapping[str, float]
    share: CarriedShare
    because: str
    needs: tuple[Need, ...] | None = None
    carries: tuple[str, ...] = PARTS


@dataclass(frozen=True, slots=True)
class Exclusion:
    """What is not covered where it holds, and where it bears: everywhere, where nothing is named.

    It bears on a row whose leading payer, origin, cause and symptom are among those named. Where it
    is not known whether it holds, the clerk asks, or pays as if it did not (`if_unknown`).
    """

    when: Condition
    because: str
    payers: tuple[str, ...] = ()
    origins: tuple[str, ...] = ()
    causes: tuple[str, ...] = ()
    symptoms: tuple[str, ...] = ()
    if_unknown: str = "ask"


MOST_AGAINST = 15.0
"""Percent of those who do not answer up to which a claim is accepted where a policy names none."""

LEAST_CAUSE = 15.0
"""Percent of the leading cause where a policy names none: about twice one of a dozen causes."""


@dataclass(frozen=True, slots=True)
class Sureness:
    """From how many percent a claim is decided.

    `accept`, `decline`: of those who answer, or do not. `cause`: of the leading cause, under which
    nothing is accepted; `against`: of those who do not answer, over which nothing is.
    """

    accept: float
    decline: float
    cause: float
    against: float = 100.0


@dataclass(frozen=True, slots=True)
class Terms:
    """What counts for film laid from `valid_from` to `valid_to`, both included."""

    name: str
    valid_from: date
    valid_to: date
    covers: tuple[Cover, ...]
    excludes: tuple[Exclusion, ...]
    not_our_work: tuple[Exclusion, ...] = ()
    no_fault: tuple[Exclusion, ...] = ()
    deductible: float = 0.0
    cap: float | None = None
    notice_days: float | None = None
    first_owner_only: bool = False


@dataclass(frozen=True, slots=True)
class Policy:
    """All terms, by date; `surface_of` gives the surface of each panel that is named.

    `shop_pays_first`: a claim is accepted once it is sure enough that one of those who answer
    caused it; who of them bears it, and on what proof, they settle among themselves.
    """

    name: str
    money: str
    surface_of: Mapping[str, str]
    other_surface: str
    terms: tuple[Terms, ...]
    version: str
    sureness: Sureness
    shop_pays_first: bool = False

    @property
    def surfaces(self) -> tuple[str, ...]:
        """Every surface that the policy knows."""
        return tuple(dict.fromkeys((*self.surface_of.values(), self.other_surface)))

    def surface(self, panel: str) -> str | None:
        """The surface of a panel; None where the panel could be any."""
        if panel in ("whole_vehicle", "other"):
            return None
        return self.surface_of.get(panel, self.other_surface)


def read(name: str, text: str, base: Base) -> tuple[Policy | None, list[Problem]]:
    """Read a policy, or every problem of it."""
    found = read_file(name, text, PolicyText, meanings(base), EMPTY)
    if found.content is None:
        return None, list(found.problems)
    version = hashlib.sha256(text.encode()).hexdigest()[:12]
    return _policy(found.content, version, base), list(found.problems)


def _policy(said: PolicyText, version: str, base: Base) -> Policy:
    surfaces = said.known_surfaces
    listed = {k: v for k, v in (said.surfaces or {}).items() if k != OTHER}
    terms = sorted(said.terms, key=lambda terms: terms.valid_from)
    return Policy(
        name=said.name,
        money=said.money,
        surface_of={panel: s for s, panels in listed.items() for panel in panels},
        other_surface=surfaces[-1],
        terms=tuple(_terms(each, surfaces) for each in terms),
        version=version,
        sureness=_sureness(said.sureness, base),
        shop_pays_first=said.shop_pays_first,
    )


def _sureness(said: SurenessText | None, base: Base) -> Sureness:
    """The policy's own, else by the words of the rule base."""
    scales = base.scales
    usual = (scales.probable_percent, scales.leads_clearly_percent, LEAST_CAUSE, MOST_AGAINST)
    own = (said.accept, said.decline, said.cause, said.against) if said else (None,) * len(usual)
    return Sureness(*(by if mine is None else mine for mine, by in zip(own, usual, strict=True)))


def _terms(said: TermsText, surfaces: Sequence[str]) -> Terms:
    return Terms(
        name=said.name,
        valid_from=date.fromisoformat(said.valid_from),
        valid_to=date.fromisoformat(said.valid_to),
        covers=tuple(_cover(cover, surfaces) for cover in said.covers),
        excludes=tuple(map(_exclusion, said.excludes or ())),
        not_our_work=tuple(map(_exclusion, said.not_our_work or ())),
        no_fault=tuple(map(_exclusion, said.no_fault or ())),
        deductible=said.deductible,
        cap=said.cap,
        notice_days=said.notice_days,
        first_owner_only=said.first_owner_only,
    )


def _exclusion(said: ExclusionText) -> Exclusion:
    return Exclusion(
        said.when,
        said.because,
        said.payers or (),
        tuple(origin.value for origin in said.origins or ()),
        said.causes or (),
        said.symptoms or (),
        said.if_unknown,
    )


def _cover(said: CoverText, surfaces: Sequence[str]) -> Cover:
    months = said.months
    by_surface = months if isinstance(months, dict) else dict.fromkeys(surfaces, months)
    origins = tuple(origin.value for origin in said.origins or Origin)
    needs = None if said.needs is None else tuple(Need(n.says, n.when) for n in said.needs)
    share, carries = _share(said.share), said.carries or PARTS
    return Cover(said.payer, origins, by_surface, share, said.because, needs, carries)


def _share(data: Any) -> CarriedShare:
    match data:
        case "full":
            return CarriedShare()
        case "linear":
            return CarriedShare(full_until=0.0)
        case {"full_until": months}:
            return CarriedShare(full_until=float(months))
    return CarriedShare(
        steps=tuple((float(s["until"]), float(s["percent"])) for s in data["steps"])
    )
