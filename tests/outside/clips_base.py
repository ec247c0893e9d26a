"""The shipped rule base carried over to CLIPS: evidence first, then what is concluded from it.

The constructs of the evidence are those of tests.reasoning.clips_rules. To these come here the
conclusions: what is barred, who pays, what is proposed, which cautions show.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from types import ModuleType
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause
from diagnose.knowledge.model.conditions import Values
from diagnose.reasoning.evidence.weigh import Differential
from tests.reasoning.clips_rules import _left, _pattern, clips_environment, constructs, slots

Fired = frozenset[tuple[str, str, int]]

TEMPLATES = (
    "(deftemplate standing (slot cause) (slot leads))",
    "(deftemplate barred (slot remedy) (slot firm) (slot cause) (slot number))",
    "(deftemplate pays (slot cause) (slot payer))",
    "(deftemplate otherpayer (slot cause))",
    "(deftemplate proposed (slot remedy) (slot cause) (slot step))",
    "(deftemplate refused (slot id))",
    "(deftemplate shown (slot id))",
)


@dataclass(frozen=True, slots=True)
class Judged:
    """What CLIPS makes of one row: what fired, what was found, what follows."""

    fired: Fired
    findings: frozenset[tuple[str, str]]
    followed: frozenset[tuple[str, ...]]


class ClipsBase:
    """One symptom of a base as a CLIPS environment."""

    def __init__(self, clips: ModuleType, base: Base, symptom: str) -> None:
        self._clips = clips
        self._base = base
        lines = (*constructs(base, symptom), *conclusions(base, symptom))
        self._environment = clips_environment(clips, lines)

    def run(self, values: Values, differential: Differential | None = None) -> Judged:
        """Everything that follows; conclusions only where the standings are given.

        `values` must hold the measures besides the answers, for CLIPS reckons none.
        """
        its = self._environment
        its.reset()
        its.find_template("car").assert_fact(**slots(self._base, values))
        its.run()
        for cause, leads in standings(self._base, differential) if differential else ():
            said = {"cause": self._clips.Symbol(cause), "leads": self._clips.Symbol(leads)}
            its.find_template("standing").assert_fact(**said)
        its.run()
        return _judged(its)


def _judged(environment: Any) -> Judged:
    facts: dict[str, set[tuple[Any, ...]]] = {}
    for fact in environment.facts():
        name = fact.template.name
        facts.setdefault(name, set()).add(tuple(fact[s.name] for s in fact.template.slots))
    followed = {
        (name, *map(str, slots_of))
        for name in ("barred", "pays", "proposed", "shown")
        for slots_of in facts.get(name, ())
    }
    fired = frozenset((str(p), str(o), int(n)) for p, o, n in facts.get("fired", ()))
    findings = frozenset((str(n), str(state)) for n, state in facts.get("finding", ()))
    return Judged(fired, findings, frozenset(followed))


def standings(base: Base, differential: Differential) -> Iterator[tuple[str, str]]:
    """The causes in play, and whether each leads."""
    for standing in differential.standings:
        if standing.ruled_out:
            continue
        if standing.probability >= base.scales.acting.in_play or standing is differential.leading:
            leads = standing.probability >= base.scales.possible_percent / 100
            yield standing.cause.id, "yes" if leads else "no"


def conclusions(base: Base, symptom: str) -> Iterator[str]:
    """Templates and rules of what follows from where the causes stand."""
    yield from TEMPLATES
    for cause in base.behind(symptom):
        yield from _nevers(cause)
        yield from _payers(base, cause)
        yield from _proposals(base, cause, symptom)
    for remedy in base.remedies.values():
        for number, bar in enumerate(remedy.barred_when):
            said = f"(barred (remedy {remedy.id}) (firm yes) (cause nil) (number {number}))"
            yield _rule(f"bar.{remedy.id}.{number}", -1, _left(base, bar.when.tests, ""), said)
        for caution in remedy.cautions:
            left = f"(proposed (remedy {remedy.id})) (not (refused (id {caution})))"
            yield _rule(f"show.{caution}.{remedy.id}", -3, left, f"(shown (id {caution}))")
    for caution in base.symptoms[symptom].cautions:
        left = f"(not (refused (id {caution})))"
        yield _rule(f"show.{caution}.with_it", -3, left, f"(shown (id {caution}))")
    for caution_ in base.cautions.values():
        for test in caution_.when.tests if caution_.when else ():
            name = f"refuse.{caution_.id}.{test.subject}"
            yield _rule(name, -1, _pattern(base, test, False), f"(refused (id {caution_.id}))")


def _nevers(cause: Cause) -> Iterator[str]:
    for number, never in enumerate(cause.never):
        left = f"(standing (cause {cause.id}) (leads ?leads))"
        said = f"(remedy {never.remedy}) (firm ?leads) (cause {cause.id}) (number {number})"
        yield _rule(f"never.{cause.id}.{number}", -1, left, f"(barred {said})")


def _payers(base: Base, cause: Cause) -> Iterator[str]:
    """The exceptions one after the other by their salience; the first that holds stops the rest."""
    stands = f"(standing (cause {cause.id})) (not (otherpayer (cause {cause.id})))"
    for number, other in enumerate(cause.responsibility.unless):
        left = f"{stands} {_left(base, other.when.tests, '')}"
        said = f"(pays (cause {cause.id}) (payer {other.payer}))"
        both = f"{said} (otherpayer (cause {cause.id}))"
        yield _rule(f"other.{cause.id}.{number}", 100 - number, left, both)
    said = f"(pays (cause {cause.id}) (payer {cause.responsibility.payer}))"
    yield _rule(f"payer.{cause.id}", -2, stands, said)


def _proposals(base: Base, cause: Cause, symptom: str) -> Iterator[str]:
    """A remedy that names what it mends is proposed for these complaints only."""
    kinds = {symptom, base.symptoms[symptom].group}
    mends = {r: base.remedies[r].mends for r in cause.remedies}
    steps = [(r, "remedy") for r, its in mends.items() if not its or kinds & set(its)]
    steps += [(r, "beside") for r in cause.also]
    for remedy, step in steps:
        left = f"(standing (cause {cause.id})) (not (barred (remedy {remedy}) (firm yes)))"
        said = f"(proposed (remedy {remedy}) (cause {cause.id}) (step {step}))"
        yield _rule(f"propose.{cause.id}.{remedy}.{step}", -2, left, said)


def _rule(name: str, salience: int, left: str, right: str) -> str:
    return f"(defrule {name} (declare (salience {salience})) {left} => (assert {right}))"
