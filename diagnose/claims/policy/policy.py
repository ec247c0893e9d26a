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

from diagnose.claims.policy.faults import faults
from diagnose.knowledge import marked
from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import Origin
from diagnose.knowledge.model.conditions import Condition, parse

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Share:
    """How much is carried: `steps` of (until month, percent), or falling from a month on.

    With `steps` empty: all until `full_until`, then evenly down to nothing at the last month;
    `full_until` None is all of it until the last month.
    """

    full_until: float | None = None
    steps: tuple[tuple[float, float], ...] = ()

    def percents(self, age: Floats, months: Floats) -> Floats:
        """Percent carried at ages in months, before the last month; 0 from it on."""
        if self.steps:
            under = [age < until for until, _ in self.steps]
            found = np.select(under, [np.full(age.shape, p) for _, p in self.steps], 0.0)
        elif self.full_until is None:
            found = np.full(age.shape, 100.0)
        else:
            falls = np.maximum(months - self.full_until, 1e-9)
            found = np.clip(100.0 * (months - age) / falls, 0.0, 100.0)
        return np.where(age < months, found, 0.0)


@dataclass(frozen=True, slots=True)
class Cover:
    """A payer who answers for faults of some origins; `months` by surface."""

    payer: str
    origins: tuple[str, ...]
    months: Mapping[str, float]
    share: Share
    because: str


@dataclass(frozen=True, slots=True)
class Exclusion:
    """What is not covered, where it holds."""

    when: Condition
    because: str


@dataclass(frozen=True, slots=True)
class Terms:
    """What counts for film laid from `valid_from` to `valid_to`, both included."""

    name: str
    valid_from: date
    valid_to: date
    covers: tuple[Cover, ...]
    excludes: tuple[Exclusion, ...]


@dataclass(frozen=True, slots=True)
class Policy:
    """All terms, by date; `surface_of` gives the surface of each panel that is named."""

    name: str
    money: str
    surface_of: Mapping[str, str]
    other_surface: str
    terms: tuple[Terms, ...]
    version: str

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
    document, problems = marked.read(name, text)
    if not problems:
        problems = [Problem(document.spot(p), s) for p, s in faults(document, base)]
    if problems:
        return None, sorted(problems)
    return _policy(document.data, hashlib.sha256(text.encode()).hexdigest()[:12]), []


def _policy(data: dict[str, Any], version: str) -> Policy:
    surfaces = dict(data.get("surfaces") or {})
    other = surfaces.pop("other_surface", "all")
    return Policy(
        name=data["name"],
        money=str(data.get("money", "")),
        surface_of={panel: s for s, panels in surfaces.items() for panel in panels},
        other_surface=other,
        terms=tuple(
            sorted(
                (_terms(t, [*surfaces, other]) for t in data["terms"]), key=lambda t: t.valid_from
            )
        ),
        version=version,
    )


def _terms(data: dict[str, Any], surfaces: Sequence[str]) -> Terms:
    return Terms(
        name=data["name"],
        valid_from=date.fromisoformat(data["valid_from"]),
        valid_to=date.fromisoformat(data["valid_to"]),
        covers=tuple(_cover(c, surfaces) for c in data["covers"]),
        excludes=tuple(
            Exclusion(parse(e["when"]), e["because"]) for e in data.get("excludes") or ()
        ),
    )


def _cover(data: dict[str, Any], surfaces: Sequence[str]) -> Cover:
    months = data["months"]
    by_surface = months if isinstance(months, dict) else dict.fromkeys(surfaces, months)
    origins = tuple(data.get("origins") or [o.value for o in Origin])
    share = data.get("share", "full")
    return Cover(data["payer"], origins, by_surface, _share(share), data["because"])


def _share(data: Any) -> Share:
    if data == "full":
        return Share()
    if data == "linear":
        return Share(full_until=0.0)
    if "full_until" in data:
        return Share(full_until=float(data["full_until"]))
    return Share(steps=tuple((float(s["until"]), float(s["percent"])) for s in data["steps"]))
