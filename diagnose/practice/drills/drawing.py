"""From a drawing to the symptom that it shows."""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

from diagnose.knowledge.base import Base
from diagnose.practice.drills.drill import DRAWING, OPTIONS, Drill, NoDrill, Option


def drawing_drill(base: Base, drawn: Iterable[str], random: Random) -> Drill:
    """Give a drill: which symptom is drawn.

    Beside it stand those that are taken for it, then others of its group.
    """
    symptoms = [base.symptoms[name] for name in drawn if name in base.symptoms]
    if len(symptoms) < 2:
        raise NoDrill("there are too few drawings")
    symptom = random.choice(symptoms)
    told_apart = {other.symptom: other.tells for other in symptom.confused_with}
    taken_for = [other.symptom for other in symptom.confused_with if other.symptom in base.symptoms]
    rest = [s for s in base.symptoms.values() if s.id != symptom.id and s.id not in taken_for]
    random.shuffle(rest)
    rest.sort(key=lambda other: other.group != symptom.group)
    wrong = [*dict.fromkeys(taken_for), *(s.id for s in rest)][: OPTIONS - 1]
    shown = random.sample([symptom.id, *wrong], len(wrong) + 1)
    return Drill(
        DRAWING,
        (symptom.id,),
        "Which symptom is drawn here?",
        tuple(Option(name, base.symptoms[name].name) for name in shown),
        frozenset((symptom.id,)),
        {**{name: base.symptoms[name].look for name in shown}, **told_apart},
    )
