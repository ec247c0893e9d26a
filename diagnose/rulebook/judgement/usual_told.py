"""The most usual cars told: one cause at each of its symptoms, or all that lose their own case."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from math import log10
from textwrap import wrap
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Value, Values
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.explanation.explain import cause_name, name_of, value_words
from diagnose.reasoning.questions.question import STOP_WORDS
from diagnose.rulebook.change.replay import MOST_CHECKS, Play, Replay, Told
from diagnose.rulebook.change.why import heard
from diagnose.rulebook.judgement.usual import Won, won_at

WIDTH = 98
"""Characters in a line."""

MOST_WEIGHTS = 6
"""Weights that are told of what decides between two causes."""


FELT = 0.5
"""Decibans from which a weight is told."""


@dataclass(frozen=True, slots=True)
class Weighs:
    """What one answer, or the share behind the symptom, adds to the odds of one cause over another.

    `subject` is a check, a measure or several; '' is the share.
    """

    subject: str
    says: str
    decibans: float


@dataclass(frozen=True, slots=True)
class UsualCase:
    """The most usual car of a cause at a symptom, played: against whom, by what, what is asked."""

    won: Won
    rival: str
    by: tuple[Weighs, ...]
    play: Play


def played(replay: Replay, cause: str) -> tuple[UsualCase, ...]:
    """The most usual car of a cause at each of its symptoms."""
    symptoms = replay.base.causes[cause].behind
    won = chain.from_iterable(won_at(replay, symptom, [cause]) for symptom in symptoms)
    return tuple(_case(replay, its) for its in won)


def _case(replay: Replay, won: Won) -> UsualCase:
    symptom, answers = won.car.symptom, won.car.answers
    others = [c for c in won.chances if c[0] != won.leading]
    rival = max(others, key=lambda c: c[1])[0] if won.wins else won.car.cause
    (play,) = replay.asked(symptom, [answers], MOST_CHECKS)
    return UsualCase(won, rival, tuple(_by(replay, won, rival)), play)


def _by(replay: Replay, won: Won, rival: str) -> list[Weighs]:
    """What decides between the leading cause and another, the largest first."""
    base, symptom = replay.base, won.car.symptom
    its = heard(replay, symptom, won.car.answers, Told(won.chances, ""))
    sums: dict[tuple[str, ...], float] = {}
    for cause, sign in ((won.leading, 1), (rival, -1)):
        for weight in its.weights.get(cause, ()):
            if weight.counts:
                sums[weight.subjects] = sums.get(weight.subjects, 0.0) + sign * weight.decibans
    found = [Weighs(" + ".join(s), _seen(base, s, its.values), size) for s, size in sums.items()]
    shares = _shares(base, symptom)
    odds = 10 * log10(shares[won.leading] / shares[rival])
    found.append(Weighs("", "how often it lies behind it", odds))
    found.sort(key=lambda w: -abs(w.decibans))
    return [w for w in found[:MOST_WEIGHTS] if abs(w.decibans) >= 0.5]


def _shares(base: Base, symptom: str) -> dict[str, float]:
    names = [*(cause.id for cause in base.behind(symptom)), UNLISTED]
    return dict(zip(names, base.priors(symptom), strict=True))


def _seen(base: Base, subjects: Sequence[str], values: Values) -> str:
    return " and ".join(f"{name_of(base, s)} “{_says(base, s, values[s])}”" for s in subjects)


def _says(base: Base, subject: str, value: Value) -> str:
    """An answer, a finding, or the bin in which a number lies, in words."""
    observable = base.observables.get(subject)
    if observable is None or isinstance(value, str):
        return value_words(base, subject, value)
    return observable.kind.covers(observable.kind.codes(value))


def data(base: Base, cases: Sequence[UsualCase]) -> list[dict[str, Any]]:
    """Played cars as plain data."""
    return [
        {
            **won_data(base, case.won),
            "rival": case.rival,
            "by": [{"subject": w.subject, "decibans": w.decibans} for w in case.by],
            "asked": list(case.play.checks),
            "stop": case.play.stop,
            "asked_leading": _leading(case.play),
        }
        for case in cases
    ]


def won_data(base: Base, won: Won) -> dict[str, Any]:
    """Who wins with a car, as plain data."""
    car = won.car
    return {
        "symptom": car.symptom,
        "cause": car.cause,
        "wins": won.wins,
        "probability": won.chance(car.cause),
        "leading": won.leading,
        "leading_probability": won.chance(won.leading),
        "answers": {n: _says(base, n, value) for n, value in car.answers.items()},
        "own": sorted(car.own),
    }


def text(base: Base, cases: Sequence[UsualCase]) -> str:
    """Played cars for a terminal."""
    return "\n\n".join("\n".join(_told(base, case)) for case in cases) + "\n"


def _told(base: Base, case: UsualCase) -> Iterator[str]:
    won = case.won
    symptom = base.symptoms[won.car.symptom]
    verb = "wins" if won.wins else f"loses to {_cause(base, won.leading)},"
    rest = f"before {_cause(base, case.rival)}, " if won.wins else ""
    yield from wrap(
        f"At {symptom.name} [{symptom.id}] it {verb} {won.chance(won.leading):.0%} {rest}to"
        f" {won.chance(case.rival):.0%}.",
        WIDTH,
    )
    values, own = won.car.answers, won.car.own
    yield from _part("It shows", (_seen(base, [n], values) for n in values if n in own))
    others = len(values) - len(own)
    yield from _part("And", [f"what is usual there in {others} other checks"] if others else [])
    yield from _part("What decides", (f"{w.says} {_signed(w.decibans)} dB" for w in case.by))
    asked = (
        _seen(base, [n], values) if n in values else f"{name_of(base, n)}, which is not known"
        for n in case.play.checks
    )
    yield from _part("Asked", asked)
    stop = f" {STOP_WORDS[case.play.stop]}" if case.play.stop else ""
    leading = _leading(case.play)
    yield from _part(
        "Then", [f"{_cause(base, leading)} {dict(case.play.chances)[leading]:.0%}.{stop}"]
    )


def _signed(decibans: float) -> str:
    return f"{decibans:+.1f}".replace("-", "−")


def _part(title: str, items: Iterator[str] | Sequence[str]) -> Iterator[str]:
    said = "; ".join(items)
    if said:
        yield from wrap(f"{title}: {said}", WIDTH, initial_indent="  ", subsequent_indent="    ")


def _leading(play: Play) -> str:
    return max(play.chances, key=lambda c: round(c[1], 12))[0]


def _cause(base: Base, cause: str) -> str:
    return cause_name(base, cause) if cause == UNLISTED else f"{base.causes[cause].name} [{cause}]"


def declared(base: Base, won: Won) -> bool:
    """Whether the base says that nobody tells the cause of a car from the one that leads."""
    return base.inseparable_at(won.car.symptom, won.car.cause, won.leading) is not None


def losers_text(base: Base, every: Sequence[Won]) -> str:
    """A table of the causes that lose their own most usual case, by symptom."""
    lost = [won for won in every if not won.wins]
    rows = [("At", "loses", "", "to", "")]
    rows += [
        (
            won.car.symptom,
            won.car.cause,
            f"{won.chance(won.car.cause):.0%}",
            won.leading + " (inseparable)" * declared(base, won),
            f"{won.chance(won.leading):.0%}",
        )
        for won in lost
    ]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = ["  ".join(c.ljust(w) for c, w in zip(r, widths, strict=True)).rstrip() for r in rows]
    apart = sum(declared(base, won) for won in lost)
    rest = f" {apart} more {'is' if apart == 1 else 'are'} declared inseparable." if apart else ""
    won = len(every) - len(lost)
    said = f"{won} of {len(every)} most usual cars are won by their own cause.{rest}"
    return "\n".join([*(lines if lost else []), *([""] if lost else []), said]) + "\n"
