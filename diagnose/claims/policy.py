"""The warranty policy: who answers for what, for how many months on which surface.

Plain YAML, read with places; every problem is told at once. Dates are real dates.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge import marked
from diagnose.knowledge.base import Base
from diagnose.knowledge.conditions import Condition, ConditionError, NoneOf, OneOf, Span, parse
from diagnose.knowledge.marked import Document, Problem
from diagnose.knowledge.model import Origin
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.verify import near

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
        problems = [Problem(document.spot(p), s) for p, s in _faults(document, base)]
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


# faults

Path = tuple[str | int, ...]
Fault = tuple[Path, str]


def _keys(data: Any, at: Path, needed: Sequence[str], may: Sequence[str] = ()) -> Iterator[Fault]:
    """Keys that are missing or unknown; a value that is no mapping."""
    if not isinstance(data, dict):
        yield at, f"here stands a mapping with {', '.join(needed)}"
        return
    known = {*needed, *may}
    for key in data:
        if key not in known:
            yield (*at, key), f"'{key}' is not known here{near(str(key), known)}"
    for key in needed:
        if data.get(key) is None:
            yield at, f"'{key}' is missing"


def _faults(document: Document, base: Base) -> Iterator[Fault]:
    data = document.data
    yield from _keys(data, (), ("name", "terms"), ("money", "surfaces"))
    if not isinstance(data, dict):
        return
    surfaces = data.get("surfaces") or {}
    yield from _surface_faults(surfaces)
    known = {*surfaces, str(surfaces.get("other_surface", "all"))} - {"other_surface"}
    terms = data.get("terms")
    if not isinstance(terms, list) or not terms:
        yield ("terms",), "'terms' is a list with at least one entry"
        return
    for number, entry in enumerate(terms):
        yield from _term_faults(entry, ("terms", number), base, known)
    yield from _overlaps(terms)


def _surface_faults(surfaces: Any) -> Iterator[Fault]:
    if not isinstance(surfaces, dict):
        yield ("surfaces",), "'surfaces' is a mapping: a surface and its panels"
        return
    if surfaces and not isinstance(surfaces.get("other_surface"), str):
        yield ("surfaces",), "'other_surface' names the surface of all panels not listed"
    seen: dict[str, str] = {}
    for surface, panels in surfaces.items():
        for number, panel in enumerate(panels if isinstance(panels, list) else ()):
            at: Path = ("surfaces", surface, number)
            if panel not in PANELS:
                yield at, f"no panel is called '{panel}'{near(str(panel), set(PANELS))}"
            elif panel in seen:
                yield at, f"'{panel}' is among the {seen[panel]} panels already"
            seen[panel] = surface
        if surface != "other_surface" and not isinstance(panels, list):
            yield ("surfaces", surface), f"'{surface}' needs a list of panels"


def _term_faults(entry: Any, at: Path, base: Base, surfaces: set[str]) -> Iterator[Fault]:
    yield from _keys(entry, at, ("name", "valid_from", "valid_to", "covers"), ("excludes",))
    if not isinstance(entry, dict):
        return
    days = {key: _day(entry.get(key)) for key in ("valid_from", "valid_to")}
    for key, day in days.items():
        if entry.get(key) is not None and day is None:
            yield (*at, key), f"'{entry[key]}' is no day of the calendar: write it as 2025-03-31"
    if days["valid_from"] and days["valid_to"] and days["valid_from"] > days["valid_to"]:
        yield (*at, "valid_to"), "the terms end before they begin"
    for number, cover in enumerate(_listed(entry.get("covers"))):
        yield from _cover_faults(cover, (*at, "covers", number), base, surfaces)
    for number, exclusion in enumerate(_listed(entry.get("excludes"))):
        yield from _exclusion_faults(exclusion, (*at, "excludes", number), base)


def _listed(data: Any) -> list[Any]:
    return data if isinstance(data, list) else []


def _day(text: Any) -> date | None:
    try:
        return date.fromisoformat(text)
    except (TypeError, ValueError):
        return None


def _cover_faults(cover: Any, at: Path, base: Base, surfaces: set[str]) -> Iterator[Fault]:
    yield from _keys(cover, at, ("payer", "months", "because"), ("origins", "share"))
    if not isinstance(cover, dict):
        return
    payer = cover.get("payer")
    if payer is not None and payer not in base.payers:
        yield (*at, "payer"), f"no payer is called '{payer}'{near(str(payer), set(base.payers))}"
    origins = {o.value for o in Origin}
    for number, origin in enumerate(_listed(cover.get("origins"))):
        if origin not in origins:
            sentence = f"no origin is called '{origin}'{near(str(origin), origins)}"
            yield (*at, "origins", number), sentence
    yield from _month_faults(cover.get("months"), (*at, "months"), surfaces)
    if "share" in cover:
        yield from _share_faults(cover["share"], (*at, "share"))


def _month_faults(months: Any, at: Path, surfaces: set[str]) -> Iterator[Fault]:
    its = months if isinstance(months, dict) else {None: months}
    for surface, number in its.items():
        path = at if surface is None else (*at, surface)
        if number is not None and not _positive(number):
            yield path, f"'{number}' is no number of months"
        if surface is not None and surface not in surfaces:
            yield path, f"no surface is called '{surface}'{near(str(surface), surfaces)}"
    if isinstance(months, dict):
        for surface in sorted(surfaces - set(months)):
            yield at, f"the months on '{surface}' are missing; write 0 for none"


def _positive(number: Any) -> bool:
    return isinstance(number, int | float) and not isinstance(number, bool) and number >= 0


def _share_faults(share: Any, at: Path) -> Iterator[Fault]:
    if share in ("full", "linear"):
        return
    if isinstance(share, dict) and set(share) == {"full_until"} and _positive(share["full_until"]):
        return
    steps = share.get("steps") if isinstance(share, dict) and set(share) == {"steps"} else None
    if not isinstance(steps, list) or not steps:
        yield at, "a share is full, linear, {full_until: months} or {steps: [{until:, percent:}]}"
        return
    sound = True
    for number, step in enumerate(steps):
        fits = isinstance(step, dict) and set(step) == {"until", "percent"}
        if not (fits and _positive(step["until"]) and _positive(step["percent"])):
            sound = False
            yield (*at, "steps", number), "a step is {until: months, percent: 0 to 100}"
        elif step["percent"] > 100:
            yield (*at, "steps", number), "no more than 100 percent can be carried"
    if sound and any(a["until"] >= b["until"] for a, b in pairwise(steps)):
        yield at, "the steps must rise"


def _exclusion_faults(exclusion: Any, at: Path, base: Base) -> Iterator[Fault]:
    yield from _keys(exclusion, at, ("when", "because"))
    if not isinstance(exclusion, dict) or exclusion.get("when") is None:
        return
    try:
        condition = parse(exclusion["when"])
    except ConditionError as error:
        yield (*at, "when", *error.at), str(error)
        return
    for test in condition.tests:
        sentence = _misfit(test, base)
        if sentence:
            yield (*at, "when", test.subject), sentence


def _misfit(test: OneOf | NoneOf | Span, base: Base) -> str | None:
    known = {*base.observables, *base.findings}
    if test.subject not in known:
        return f"no check, measure or finding is called '{test.subject}'{near(test.subject, known)}"
    if test.subject in base.findings:
        fits = isinstance(test, OneOf) and set(test.words) <= {"found", "not_found"}
        return None if fits else f"{test.subject} is a finding: write found or not_found"
    answers = base.observables[test.subject].answers
    if isinstance(test, Span):
        return f"{test.subject} has answers, not a number" if answers else None
    wrong = [w for w in test.words if w not in answers]
    return (
        f"{test.subject} has no answer '{wrong[0]}'{near(wrong[0], set(answers))}"
        if wrong
        else None
    )


def _overlaps(terms: Sequence[Any]) -> Iterator[Fault]:
    dated = []
    for number, entry in enumerate(terms):
        if isinstance(entry, dict):
            start, end = _day(entry.get("valid_from")), _day(entry.get("valid_to"))
            if start and end:
                dated.append((start, end, number))
    for (_, end, _), (start, _, number) in pairwise(sorted(dated)):
        if start <= end:
            at: Path = ("terms", number, "valid_from")
            yield at, "these terms begin before the ones before them end: one day, one set of terms"
