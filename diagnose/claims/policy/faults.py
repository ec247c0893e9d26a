"""What a policy must be beyond its shape: days in order, panels, payers and surfaces known."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from diagnose.claims.policy.policy_text import OTHER, CoverText, PolicyText, TermsText
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import misfit
from diagnose.knowledge.near import near
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.reading.reader import Fault, Meaning
from diagnose.knowledge.reading.salvage import Way
from diagnose.knowledge.words.places import places_called


def meanings(base: Base) -> Iterator[Meaning[PolicyText]]:
    """What is checked, and of which sections."""
    yield Meaning(lambda said: _surface_faults(said, base), ("surfaces",))
    yield Meaning(lambda said: _term_faults(said, base), ("terms",))
    yield Meaning(_month_faults, ("surfaces", "terms"))
    yield Meaning(_overlaps, ("terms",), whole=True)


def _surface_faults(said: PolicyText, base: Base) -> Iterator[Fault]:
    surfaces = said.surfaces or {}
    if surfaces and not isinstance(surfaces.get(OTHER), str):
        yield Fault(f"'{OTHER}' names the surface of all panels not listed", ("surfaces",))
    seen: dict[str, str] = {}
    for surface, panels in surfaces.items():
        if isinstance(panels, str):
            if surface != OTHER:
                yield Fault(f"'{surface}' needs a list of panels", ("surfaces", surface))
            continue
        for number, panel in enumerate(panels):
            at: Way = ("surfaces", surface, number)
            if panel not in PANELS:
                yield Fault(f"no panel is called '{panel}'{_hint(panel, base)}", at)
            elif panel in seen:
                yield Fault(f"'{panel}' is among the {seen[panel]} panels already", at)
            seen[panel] = surface


def _hint(panel: str, base: Base) -> str:
    """The panel that may be meant: misspelt, or in the words of another country."""
    places = places_called(base.words)
    called = next((id_ for id_, words in places.items() if panel.casefold() in words), "")
    return f" (did you mean {called}?)" if called else near(panel, set(PANELS))


def _covers(said: PolicyText) -> Iterator[tuple[CoverText, Way]]:
    for term, terms in enumerate(said.terms):
        for number, cover in enumerate(terms.covers):
            yield cover, ("terms", term, "covers", number)


def _term_faults(said: PolicyText, base: Base) -> Iterator[Fault]:
    for number, terms in enumerate(said.terms):
        at: Way = ("terms", number)
        if terms.valid_from > terms.valid_to:
            yield Fault("the terms end before they begin", (*at, "valid_to"))
        yield from _exclusion_faults(terms, at, base)
    for cover, at in _covers(said):
        if cover.payer not in base.payers:
            hint = near(cover.payer, set(base.payers))
            yield Fault(f"no payer is called '{cover.payer}'{hint}", (*at, "payer"))


def _exclusion_faults(terms: TermsText, at: Way, base: Base) -> Iterator[Fault]:
    for number, exclusion in enumerate(terms.excludes or ()):
        for test in exclusion.when.tests:
            sentence = misfit(test, base.observables, base.findings)
            if sentence:
                yield Fault(sentence, (*at, "excludes", number, "when", test.subject))


def _month_faults(said: PolicyText) -> Iterator[Fault]:
    known = set(said.known_surfaces)
    for cover, at in _covers(said):
        if not isinstance(cover.months, dict):
            continue
        for surface in cover.months:
            if surface not in known:
                sentence = f"no surface is called '{surface}'{near(surface, known)}"
                yield Fault(sentence, (*at, "months", surface))
        for surface in sorted(known - set(cover.months)):
            sentence = f"the months on '{surface}' are missing; write 0 for none"
            yield Fault(sentence, (*at, "months"))


def _overlaps(said: PolicyText) -> Iterator[Fault]:
    if not said.terms:
        yield Fault("'terms' is a list with at least one entry", ("terms",))
    dated = sorted((t.valid_from, t.valid_to, n) for n, t in enumerate(said.terms))
    for (_, end, _), (start, _, number) in pairwise(dated):
        if start <= end:
            sentence = (
                "these terms begin before the ones before them end: one day, one set of terms"
            )
            yield Fault(sentence, ("terms", number, "valid_from"))
