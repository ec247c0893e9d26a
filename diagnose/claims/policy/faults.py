"""What can be wrong with a policy: one sentence for each fault, with the way to its place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import misfit
from diagnose.knowledge.marked import Document
from diagnose.knowledge.model import Origin
from diagnose.knowledge.model.conditions import ConditionError, parse
from diagnose.knowledge.near import near
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.words.places import places_called

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


def faults(document: Document, base: Base) -> Iterator[Fault]:
    """Every fault of a policy, with the way to its place."""
    data = document.data
    yield from _keys(data, (), ("name", "terms"), ("money", "surfaces"))
    if not isinstance(data, dict):
        return
    surfaces = data.get("surfaces") or {}
    yield from _surface_faults(surfaces, base)
    known = {*surfaces, str(surfaces.get("other_surface", "all"))} - {"other_surface"}
    terms = data.get("terms")
    if not isinstance(terms, list) or not terms:
        yield ("terms",), "'terms' is a list with at least one entry"
        return
    for number, entry in enumerate(terms):
        yield from _term_faults(entry, ("terms", number), base, known)
    yield from _overlaps(terms)


def _surface_faults(surfaces: Any, base: Base) -> Iterator[Fault]:
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
                yield at, f"no panel is called '{panel}'{_hint(str(panel), base)}"
            elif panel in seen:
                yield at, f"'{panel}' is among the {seen[panel]} panels already"
            seen[panel] = surface
        if surface != "other_surface" and not isinstance(panels, list):
            yield ("surfaces", surface), f"'{surface}' needs a list of panels"


def _hint(panel: str, base: Base) -> str:
    """The panel that may be meant: misspelt, or in the words of another country."""
    places = places_called(base.words)
    called = next((id_ for id_, words in places.items() if panel.casefold() in words), "")
    return f" (did you mean {called}?)" if called else near(panel, set(PANELS))


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
            hint = near(str(origin), origins) or f": one of {', '.join(o.value for o in Origin)}"
            sentence = f"no origin is called '{origin}'{hint}"
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
        sentence = misfit(test, base.observables, base.findings)
        if sentence:
            yield (*at, "when", test.subject), sentence


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
