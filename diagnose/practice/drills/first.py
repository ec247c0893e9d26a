"""From a symptom to what is looked at first, against the five looks of the panel."""

from __future__ import annotations

from random import Random

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Symptom
from diagnose.practice.drills.drill import FIRST, OPTIONS, Drill, NoDrill, Option

FEWEST_FIRST, MOST_FIRST = 2, 4
"""How many of the options are looked at first; it varies, so that none can be counted."""


def first_drill(base: Base, random: Random) -> Drill:
    """Give a drill: which of these are looked at first with a symptom."""
    symptoms = [s for s in base.symptoms.values() if len(s.look_first) >= MOST_FIRST]
    if not symptoms:
        raise NoDrill("the rule base does not say what is looked at first")
    symptom = random.choice(symptoms)
    right = random.sample(symptom.look_first, random.randint(FEWEST_FIRST, MOST_FIRST))
    wrong = random.sample(_not_first(base, symptom), OPTIONS - len(right))
    shown = random.sample([*right, *wrong], OPTIONS)
    place = {check: n for n, check in enumerate(symptom.look_first, 1)}
    return Drill(
        FIRST,
        (symptom.id,),
        f"{symptom.name}: which of these do you look at first?",
        tuple(Option(name, base.checks[name].name) for name in shown),
        frozenset(right),
        {name: _urgency(base, name, place.get(name)) for name in shown},
    )


def _not_first(base: Base, symptom: Symptom) -> list[str]:
    """Checks that are looked at first with other symptoms and never with this one."""
    elsewhere = {c for s in base.symptoms.values() for c in s.look_first}
    return sorted(elsewhere - set(symptom.look_first) - set(symptom.shows))


def _urgency(base: Base, check: str, place: int | None) -> str:
    how = base.checks[check].how
    if place is None:
        return f"Other things are looked at first here. How it is done: {how}"
    return f"Number {place} of what is looked at first here. How it is done: {how}"
