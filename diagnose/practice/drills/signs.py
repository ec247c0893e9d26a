"""From a cause to the signs that it leaves, the one that defines it among them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.practice.drills.drill import OPTIONS, SIGNS, Drill, NoDrill, Option

MOST_RIGHT = 4
"""Signs of the cause among the options, at the most; how many varies, so that none is counted."""

TELLING = 1.0
"""Decibans from which an answer is a sign worth asking for."""


@dataclass(frozen=True, slots=True)
class ShownSign:
    """An answer that a cause leaves: what stands there, why, and how much it weighs."""

    check: str
    says: str
    because: str
    decibans: float


def signs_drill(base: Base, random: Random, cause_id: str | None = None) -> Drill:
    """Give a drill: which of these are expected with this cause. Raises NoDrill.

    The weightiest sign is always there. No two right options have one reason, for then they would
    be one sign.
    """
    causes = [c for c in base.causes.values() if len(shown_by(base, c)) >= 2]
    if cause_id is not None:
        causes = [c for c in causes if c.id == cause_id]
    if not causes:
        raise NoDrill(f"there are too few signs to ask for{f' of {cause_id}' if cause_id else ''}")
    cause = random.choice(causes)
    mine = shown_by(base, cause)
    defining = max(sorted(mine), key=lambda option: mine[option].decibans)
    rest = sorted(set(mine) - {defining})
    right = [defining, *random.sample(rest, random.randint(0, min(MOST_RIGHT - 1, len(rest))))]
    others = _foreign(base, cause)
    wrong = random.sample(sorted(others), min(OPTIONS - len(right), len(others)))
    if not wrong:
        raise NoDrill(f"nothing can stand beside the signs of {cause.id}")
    words = {**{o: mine[o].says for o in right}, **{o: others[o][0] for o in wrong}}
    return Drill(
        SIGNS,
        (cause.id,),
        f"If it is this: {cause.name}. Which of these would you expect?",
        tuple(Option(o, words[o]) for o in random.sample(list(words), len(words))),
        frozenset(right),
        {**{o: mine[o].because for o in right}, **{o: others[o][1] for o in wrong}},
    )


def shown_by(base: Base, cause: Cause) -> dict[str, ShownSign]:
    """Answers that speak for a cause, as 'check=number of the answer'; one for each reason."""
    found: dict[str, tuple[str, ShownSign]] = {}
    for name, row in base.rows(cause).items():
        for code, (sign, size) in enumerate(zip(row.signs, row.decibans, strict=True)):
            if name not in base.checks or not sign or sign.speaks != "for" or size < TELLING:
                continue
            known = found.get(sign.because)
            if known is None or known[1].decibans < size:
                words = f"{base.checks[name].name}: {_answer(base, name, code)}"
                found[sign.because] = f"{name}={code}", ShownSign(name, words, sign.because, size)
    return dict(found.values())


def _answer(base: Base, name: str, code: int) -> str:
    match base.checks[name].kind:
        case ChoiceKind() | SeveralKind() | NumberKind() as kind:
            return kind.covers((code,))


def _foreign(base: Base, cause: Cause) -> Mapping[str, tuple[str, str]]:
    """Answers that speak for other causes of the same symptoms, on checks not used here.

    Each with its words, and with that cause and its reason.
    """
    signs = base.signs(cause)
    touched = {s for sign in signs for s in sign.when.subjects()} | set(base.rows(cause))
    return {
        option: (shown.says, f"It speaks for '{other.name}': {shown.because}")
        for other in base.causes.values()
        if other.id != cause.id and set(other.behind) & set(cause.behind)
        for option, shown in shown_by(base, other).items()
        if shown.check not in touched
    }
