"""What a policy must be beyond its shape: days in order, panels, payers and surfaces known."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from diagnose.claims.policy.policy_text import OTHER, CoverText, PolicyText, TermsText
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import misfit
from diagnose.knowledge.model import Origin
from diagnose.knowledge.model.conditions import Condition
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.reading.reader import Fault, Meaning
from diagnose.knowledge.reading.salvage import Way
from diagnose.knowledge.words.places import places_called
from diagnose.near import near


def meanings(base: Base) -> Iterator[Meaning[PolicyText]]:
    """What is checked, and of which sections."""
    yield Meaning(lambda said: _surface_faults(said, base), ("surfaces",))
    yield Meaning(lambda said: _term_faults(said, base), ("terms",))
    yield Meaning(_month_faults, ("surfaces", "terms"))
    yield Meaning(lambda said: _cover_faults(said, base), ("terms",))
    yield Meaning(_twice_answered, ("terms",), whole=True)
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
    known = {"payers": base.payers, "causes": base.causes, "symptoms": base.symptoms}
    for key in ("excludes", "not_our_work", "no_fault"):
        for number, exclusion in enumerate(getattr(terms, key) or ()):
            here: Way = (*at, key, number)
            yield from _condition_faults(exclusion.when, here, base)
            for kind, its in known.items():
                for place, name in enumerate(getattr(exclusion, kind) or ()):
                    if name not in its:
                        sentence = f"no {kind[:-1]} is called '{name}'{near(name, set(its))}"
                        yield Fault(sentence, (*here, kind, place))


def _condition_faults(when: Condition, at: Way, base: Base) -> Iterator[Fault]:
    for test in when.tests:
        sentence = misfit(test, base.observables, base.findings)
        if sentence:
            yield Fault(sentence, (*at, "when", test.subject))


def _cover_faults(said: PolicyText, base: Base) -> Iterator[Fault]:
    for cover, at in _covers(said):
        for number, need in enumerate(cover.needs or ()):
            yield from _condition_faults(need.when, (*at, "needs", number), base)
        yield from _short_steps(cover, at)


def _short_steps(cover: CoverText, at: Way) -> Iterator[Fault]:
    """Steps that end before the term does: accepted, and nothing carried."""
    if not isinstance(cover.share, dict) or "steps" not in cover.share:
        return
    months = cover.months
    longest = max(months.values(), default=0) if isinstance(months, dict) else months
    last = cover.share["steps"][-1]["until"]
    if last < longest:
        yield Fault(
            f"the last step ends at {last:g} months, the term at {longest:g}: add a step up to its"
            " end, with percent: 0 if nothing is carried then",
            (*at, "share"),
        )


def _twice_answered(said: PolicyText) -> Iterator[Fault]:
    """Two covers for one payer and one origin: only one of them could count."""
    first: dict[tuple[int, str, str], int] = {}
    for cover, at in _covers(said):
        term, number = int(at[1]), int(at[3])
        for origin in cover.origins or tuple(Origin):
            pair = (term, cover.payer, origin.value)
            if first.setdefault(pair, number) != number:
                yield Fault(
                    f"{cover.payer} with {origin.value} is answered for by cover {first[pair] + 1}"
                    " already: one cover for one payer and origin",
                    at,
                )
                break


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
