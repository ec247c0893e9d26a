"""From two causes that are taken for one another to the check that tells them apart."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from math import log2
from random import Random
from typing import assert_never

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Observable
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.practice.drills.drill import APART, OPTIONS, Drill, NoDrill, Option
from diagnose.practice.session.judge import Judge
from diagnose.reasoning.evidence.tables import Tables

AS_GOOD = 0.8
"""Part of the best check's power from which another one counts as right too."""

TELLS_APART = 0.2
"""Bits under which two causes look alike on a check."""

BESIDE = 12
"""Of so many checks that tell less, those that tell most, the others on offer are drawn."""

STEM = 5
"""Letters by which two words count as one."""

APART_ENOUGH = 1.0
"""Bits that the best check must tell of a pair to be worth a drill."""


def apart_drill(judge: Judge, random: Random, pair: tuple[str, str] | None = None) -> Drill:
    """Give a drill: which one check tells these two causes apart."""
    base = judge.base
    for one, other in [pair] if pair else _pairs(judge, random):
        powers = powers_between(judge, one, other)
        best = max(powers.values(), default=0.0)
        top = _best_unnamed(base, powers, (one, other))
        if best >= APART_ENOUGH and (pair or powers[top] >= AS_GOOD * best):
            return _apart(judge, random, (one, other), powers, top)
    raise NoDrill("no check that is harmless tells these two causes apart")


def _pairs(judge: Judge, random: Random) -> Iterator[tuple[str, str]]:
    """Pairs that are taken for one another, in an order drawn by chance."""
    base = judge.base
    listed = list(base.symptoms)
    random.shuffle(listed)
    for symptom in listed:
        its = list(combinations(_usual(base, symptom), 2))
        random.shuffle(its)
        yield from (
            (a, b)
            for a, b in its
            if table_between(judge, a, b).symptom == symptom and confused(judge, symptom, a, b)
        )


def _best_unnamed(base: Base, powers: Mapping[str, float], pair: tuple[str, str]) -> str:
    """The check that tells most of those whose names do not give the answer away, if any."""
    open_ones = [name for name in powers if not _named_in(base, name, pair)]
    return max(open_ones or powers, key=lambda name: (powers[name], name))


def _usual(base: Base, symptom: str) -> list[str]:
    """The causes that anybody meets behind a symptom."""
    least = base.scales.weight("occasional")
    return [c.id for c in base.behind(symptom) if base.scales.weight(c.behind[symptom]) >= least]


def confused(judge: Judge, symptom: str, one: str, other: str) -> bool:
    """Whether the first looks at a symptom leave two causes alike: one passes for the other.

    Where most of them tell the two apart, nobody who looks takes the one for the other.
    """
    table = judge.reasoner.table(symptom)
    looks = [c for c in judge.base.symptoms[symptom].look_first if c in table.rows]
    powers = (
        _between(*(_answers_of(judge.base, table, c, cause) for cause in (one, other)))
        for c in looks
    )
    return sum(power >= TELLS_APART for power in powers) <= len(looks) / 2


def _named_in(base: Base, check: str, pair: tuple[str, str]) -> bool:
    """Whether the name of a check has a word of one of the causes: then reading is enough."""
    said = " ".join(base.causes[cause].name for cause in pair)
    return bool(_stems(base.checks[check].name) & _stems(said))


def _stems(words: str) -> set[str]:
    return {word[:STEM] for word in re.findall(r"[a-z]+", words.casefold()) if len(word) >= STEM}


def _apart(
    judge: Judge,
    random: Random,
    pair: tuple[str, str],
    powers: Mapping[str, float],
    top: str,
) -> Drill:
    base, best = judge.base, max(powers.values())
    symptom = base.symptoms[table_between(judge, *pair).symptom]
    weak = [
        name
        for name in sorted(powers, key=lambda name: (-powers[name], name))
        if powers[name] < best / 2
    ][:BESIDE]
    shown = [top, *random.sample(weak, min(OPTIONS - 2, len(weak)))]
    random.shuffle(shown)
    right = frozenset(name for name in shown if powers[name] >= AS_GOOD * best)
    names = " and ".join(_quoted(base, cause) for cause in pair)
    return Drill(
        APART,
        pair,
        f"{symptom.name}. These two are still possible: {names}. Which one check tells them apart"
        " best?",
        tuple(Option(name, base.checks[name].name) for name in shown),
        right,
        {name: what_differs(judge, name, *pair) for name in shown},
    )


def _quoted(base: Base, cause: str) -> str:
    return f"'{base.causes[cause].name}'"


def what_differs(judge: Judge, name: str, one: str, other: str) -> str:
    """What two causes make of a check: for each the answer that speaks most for it."""
    table = table_between(judge, one, other)
    p, q = (_answers_of(judge.base, table, name, cause) for cause in (one, other))
    if _between(p, q) < TELLS_APART:
        return "It looks much the same with either of the two."
    symptom = table.symptom
    parts = [_leaning(judge.base, symptom, name, one, p, q)]
    parts += [_leaning(judge.base, symptom, name, other, q, p)]
    return " ".join(part for part in parts if part)


def _leaning(
    base: Base,
    symptom: str,
    name: str,
    cause: str,
    mine: Sequence[float],
    theirs: Sequence[float],
) -> str:
    """The answer of a check that leans most toward a cause, how often it is met, and why."""
    leans = [a * log2(max(a, LEAST) / max(b, LEAST)) for a, b in zip(mine, theirs, strict=True)]
    at = max(range(len(leans)), key=lambda place: leans[place])
    if leans[at] <= 0:
        return ""
    seen = base.observables[name]
    words = answer_words(seen, at)
    row = base.rows(base.causes[cause], symptom).get(name)
    sign = row.sign(seen.outcome_codes[at]) if row else None
    why = f" {sign.because}" if sign and sign.speaks == "for" else ""
    often = f"in {100 * mine[at]:.0f} of 100, with the other in {100 * theirs[at]:.0f}"
    return f"With {_quoted(base, cause)}: {words} {often}.{why}"


def answer_words(seen: Observable, at: int) -> str:
    """An answer by its number, or a bin by its ends, such as '36 to 60 months'."""
    codes = seen.outcome_codes[at]
    match seen.kind:
        case ChoiceKind() | SeveralKind() as kind:
            return f"'{kind.covers(codes).lower()}'"
        case NumberKind() as kind:
            return kind.covers(codes)
        case kind:
            assert_never(kind)


def powers_between(judge: Judge, one: str, other: str) -> dict[str, float]:
    """How far each harmless check of what is there tells two causes apart, in bits.

    The mean of both relative entropies between what the two make of its answers, for the symptom
    that both lie behind; KeyError where there is none.
    """
    base, table = judge.base, table_between(judge, one, other)
    return {
        name: _between(*(_answers_of(base, table, name, cause) for cause in (one, other)))
        for name in table.rows
        if name in base.checks
        and base.checks[name].harm == "none"
        and base.makes_sense(base.checks[name], table.symptom)
    }


def table_between(judge: Judge, one: str, other: str) -> Tables:
    """What causes make of the checks of the symptom at which the two are met most."""
    base = judge.base
    shared = [s for s in base.symptoms if {one, other} <= {c.id for c in base.behind(s)}]
    if not shared:
        raise KeyError(f"{one} and {other} lie behind no symptom together")
    both = (base.causes[one], base.causes[other])
    met = {s: min(base.scales.weight(cause.behind[s]) for cause in both) for s in shared}
    return judge.reasoner.table(max(shared, key=lambda s: met[s]))


def _between(p: Sequence[float], q: Sequence[float]) -> float:
    return (_entropy_to(p, q) + _entropy_to(q, p)) / 2


def _answers_of(base: Base, table: Tables, name: str, cause: str) -> list[float]:
    """P(outcome | cause) of everything that a check can turn out to be."""
    usual, its = base.outcome_shares(name, table.symptom), base.observables[name]
    place = [c.id for c in table.causes].index(cause)
    row = table.rows[name][place]
    if row is None:
        return list(usual)
    sizes = [row.weight(codes) for codes in its.outcome_codes]
    raw = [share * 10 ** (size / 10) for share, size in zip(usual, sizes, strict=True)]
    return [x / sum(raw) for x in raw]


LEAST = 1e-3
"""Stands for an answer that is impossible, so that one check is not worth more than all others."""


def _entropy_to(p: Sequence[float], q: Sequence[float]) -> float:
    return sum(a * log2(a / max(b, LEAST)) for a, b in zip(p, q, strict=True) if a > LEAST)
