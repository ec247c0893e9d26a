"""From a cause to what is done: the first remedy, what must never be done, and who pays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause
from diagnose.practice.drills.drill import TO_DO, Drill, NoDrill, Option

EACH = 3
"""Options for each of the three things."""

FIRST_STEP, NEVER, PAYS = "first", "never", "pays"

_HEADS: Mapping[str, str] = {FIRST_STEP: "Do first", NEVER: "Never", PAYS: "Pays as a rule"}


@dataclass(frozen=True, slots=True)
class _Part:
    """One of the three things: the right choice, and what may stand beside it, with reasons."""

    right: str
    reason: str
    others: Mapping[str, str]


def to_do_drill(base: Base, random: Random, cause_id: str | None = None) -> Drill:
    """Give a drill: what would you do with this fault of this cause. Raises NoDrill."""
    places = [
        (cause, symptom)
        for cause in base.causes.values()
        if cause_id in (None, cause.id)
        for symptom in cause.behind
        if cause.never and base.mending(cause, symptom)
    ]
    random.shuffle(places)
    for cause, symptom in places:
        parts = _parts(base, cause, symptom)
        if all(len(part.others) >= EACH - 1 for part in parts.values()):
            return _drill(base, random, cause, symptom, parts)
    raise NoDrill("the rule base does not say enough of what is done about it")


def _parts(base: Base, cause: Cause, symptom: str) -> dict[str, _Part]:
    mending = base.mending(cause, symptom)
    never = {n.remedy: n.because for n in cause.never}
    elsewhere = {
        remedy: base.remedies[remedy].applies
        for other in base.behind(symptom)
        for remedy in (*base.mending(other, symptom), *(n.remedy for n in other.never))
        if remedy not in (*cause.remedies, *cause.also, *never)
    }
    first, chance = next(iter(mending.items()))
    worst = next(iter(never))
    fine = {r: f"It may be done here. {base.remedies[r].applies}" for r in mending} | {
        r: f"It is not what harms here. It helps elsewhere: {applies}"
        for r, applies in elsewhere.items()
    }
    rule = cause.responsibility
    barred = {rule.payer, *(u.payer for u in rule.unless)}
    payers = {p.id: f"Carries: {p.carries}" for p in base.payers.values() if p.id not in barred}
    tried = f"It ends it in {chance:g} of 100. {base.remedies[first].applies}"
    lacks = {r: f"It is for something else: {applies}" for r, applies in elsewhere.items()}
    return {
        FIRST_STEP: _Part(first, tried, {**lacks, **never}),
        NEVER: _Part(worst, never[worst], fine),
        PAYS: _Part(rule.payer, rule.because, payers),
    }


def _drill(
    base: Base, random: Random, cause: Cause, symptom: str, parts: Mapping[str, _Part]
) -> Drill:
    options, right, because = [], set(), dict[str, str]()
    for head, part in parts.items():
        beside = random.sample(sorted(part.others), EACH - 1)
        for name in random.sample([part.right, *beside], EACH):
            option = f"{head}:{name}"
            options.append(Option(option, f"{_HEADS[head]}: {_name(base, head, name)}"))
            because[option] = part.reason if name == part.right else part.others[name]
        right.add(f"{head}:{part.right}")
    return Drill(
        TO_DO,
        (cause.id, symptom),
        f"{base.symptoms[symptom].name}, and it is this: {cause.name}. What would you do?"
        " One each: what first, what never, who pays as a rule.",
        tuple(options),
        frozenset(right),
        because,
    )


def _name(base: Base, head: str, name: str) -> str:
    return base.payers[name].name if head == PAYS else base.remedies[name].name
