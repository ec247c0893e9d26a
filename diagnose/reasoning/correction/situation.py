"""A complaint as a plan sees it: where the causes stand, what has failed, what may be tried.

Also as it would stand if a cause were known or a remedy had failed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import prod

from diagnose.commands import Misuse
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause, Remedy
from diagnose.knowledge.model.conditions import Values
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.conclusion import Barred
from diagnose.reasoning.correction.order import after_failure
from diagnose.reasoning.correction.pricing import WorkPlace
from diagnose.reasoning.diagnosis import CarDiagnosis, Diagnosis


class CannotSuppose(Misuse):
    """A supposition that does not fit the case; one sentence with what would."""


@dataclass(frozen=True, slots=True)
class Situation:
    """A complaint as the plan sees it: the causes as they stand and what has failed already.

    `shares`: probability of each cause that is not ruled out, the unlisted one last.
    """

    place: WorkPlace
    diagnosis: Diagnosis
    shares: Mapping[str, float]
    failed: tuple[str, ...] = ()

    @property
    def causes(self) -> tuple[Cause, ...]:
        """The causes of `shares`, without the unlisted one."""
        alive = {s.cause.id: s.cause for s in self.diagnosis.differential.standings}
        return tuple(alive[name] for name in self.shares if name != UNLISTED)


def situations(
    base: Base,
    car: CarDiagnosis,
    places: Sequence[WorkPlace],
    failed: Sequence[tuple[int | None, str]] = (),
    cause: str | None = None,
) -> tuple[Situation, ...]:
    """The complaints as they stand, or as they would if a cause were known or remedies failed.

    `failed`: (complaint's number or None for all, remedy). Raises CannotSuppose.
    """
    numbers = [place.number for place in places]
    for number, remedy in failed:
        if number is not None and number not in numbers:
            listed = ", ".join(map(str, numbers))
            raise CannotSuppose(f"there is no complaint {number} for '{remedy}': there is {listed}")
    found = []
    for diagnosis, place in zip(car.diagnoses, places, strict=True):
        its = _stands(diagnosis, place)
        its = _supposed(its, cause) if cause else its
        for number, remedy in failed:
            if number in (None, place.number):
                its = _failed(base, its, remedy)
        found.append(its)
    for _, remedy in failed:
        if not any(_known(its, remedy) for its in found):
            raise CannotSuppose(
                f"'{remedy}' mends none of the complaints, so it cannot have failed"
            )
    if cause and all(cause not in its.shares for its in found):
        raise CannotSuppose(f"'{cause}' lies behind none of the complaints, or is ruled out")
    return tuple(found)


def _stands(diagnosis: Diagnosis, place: WorkPlace) -> Situation:
    differential = diagnosis.differential
    shares = {s.cause.id: s.probability for s in differential.standings if not s.ruled_out}
    return Situation(place, diagnosis, {**shares, UNLISTED: differential.unlisted})


def _supposed(its: Situation, cause: str) -> Situation:
    if cause not in its.shares:
        return its
    shares = {name: float(name == cause) for name in its.shares}
    return Situation(its.place, its.diagnosis, shares, its.failed)


def _failed(base: Base, its: Situation, remedy: str) -> Situation:
    """The causes once a remedy has failed, which then is not tried again."""
    shares = after_failure(tuple(its.shares.values()), cures(base, its, remedy))
    updated = dict(zip(its.shares, shares, strict=True))
    return Situation(its.place, its.diagnosis, updated, (*its.failed, remedy))


def cures(base: Base, its: Situation, remedy: str) -> tuple[float, ...]:
    """The chance to hold for each cause; none where the cause forbids it."""
    tried = tried_odds(base.remedies[remedy], its.diagnosis.trace.values)
    return (*(chance_if(cause, remedy, tried) for cause in its.causes), 0.0)


def chance_to_hold(base: Base, diagnosis: Diagnosis, remedy: str) -> float:
    """The chance that a remedy ends the matter if it is done now, over all causes as they stand."""
    tried = tried_odds(base.remedies[remedy], diagnosis.trace.values)
    alive = (s for s in diagnosis.differential.standings if not s.ruled_out)
    return sum(s.probability * chance_if(s.cause, remedy, tried) for s in alive)


def tried_odds(remedy: Remedy, values: Values) -> float:
    """By what the odds to hold rise through checks that tried the remedy in small and held.

    By Bayes' rule: what will last has passed such a check, what will not seldom has.
    """
    held = (tried for tried in remedy.tried if tried.when.holds(values) is True)
    return prod(100 / tried.passes_percent for tried in held)


def chance_if(cause: Cause, remedy: str, tried: float) -> float:
    """The chance to hold if it is this cause, with the odds that a trial has raised."""
    chance = 0.0 if _forbids(cause, remedy) else cause.remedies.get(remedy, 0.0) / 100
    return chance * tried / (chance * tried + 1 - chance)


def _known(its: Situation, remedy: str) -> bool:
    """Whether a cause of the complaint lists a remedy, or forbids it."""
    return any(remedy in cause.remedies or _forbids(cause, remedy) for cause in its.causes)


def _forbids(cause: Cause, remedy: str) -> bool:
    return any(never.remedy == remedy for never in cause.never)


def barred(base: Base, its: Situation) -> tuple[Barred, ...]:
    """What must not be done: by what was found, or because a cause that leads forbids it."""
    possible = base.scales.possible_percent / 100
    found = [b for b in its.diagnosis.conclusion.barred if b.cause is None]
    for cause in its.causes:
        if its.shares[cause.id] >= possible:
            found += [Barred(n.remedy, n.because, (), cause.id) for n in cause.never]
    return tuple(dict.fromkeys(found))


def candidates(base: Base, its: Situation) -> tuple[str, ...]:
    """Remedies of the causes in play that nothing bars and that have not failed yet."""
    out = {b.remedy for b in barred(base, its)} | set(its.failed)
    ranked = sorted(its.causes, key=lambda c: -its.shares[c.id])
    in_play = base.scales.acting.in_play
    acting = [c for n, c in enumerate(ranked) if n == 0 or its.shares[c.id] >= in_play]
    symptom = its.diagnosis.complaint.symptom
    listed = (r for c in acting for r, odds in base.mending(c, symptom).items() if odds > 0)
    return tuple(dict.fromkeys(r for r in listed if r not in out))
