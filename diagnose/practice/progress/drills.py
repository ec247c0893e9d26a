"""Reverse drills: cause to signs, two causes to the check between them, drawing to symptom.

And forwards: what to look at first with a symptom.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import combinations
from math import log2
from random import Random
from typing import assert_never

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause, Observable, Symptom
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.practice.progress.schedule import CAUSE, Reviews, cause_card, causes_of, pair_card
from diagnose.practice.session.judge import Judge
from diagnose.reasoning.evidence.tables import Tables

SIGNS, APART, DRAWING, FIRST = "signs", "apart", "drawing", "first"
KINDS = (SIGNS, APART, DRAWING, FIRST)

OPTIONS = 6
"""Options of a drill."""

AS_GOOD = 0.8
"""Part of the best check's power from which another one counts as right too."""

TELLS_APART = 0.2
"""Bits under which two causes look alike on a check."""

APART_ENOUGH = 1.0
"""Bits that the best check must tell of a pair to be worth a drill."""


class NoDrill(ValueError):
    """The rule base has nothing for such a drill."""


@dataclass(frozen=True, slots=True)
class Option:
    """One option: its id and what stands there."""

    id: str
    says: str


@dataclass(frozen=True, slots=True)
class Drill:
    """A question with options, some of them right.

    `about`: the cause, the two causes, or the symptom whose drawing is shown; `because`: for each
    option why it is right, or what speaks for what instead.
    """

    kind: str
    about: tuple[str, ...]
    ask: str
    options: tuple[Option, ...]
    right: frozenset[str]
    because: Mapping[str, str]

    @property
    def several(self) -> bool:
        """Whether several options are to be chosen."""
        return self.kind in (SIGNS, FIRST)


@dataclass(frozen=True, slots=True)
class Marking:
    """What was right, missed and wrong, and a share of 1 for the whole.

    A wrong option takes back a right one, so that choosing all earns no more than choosing none.
    """

    found: tuple[str, ...]
    missed: tuple[str, ...]
    wrong: tuple[str, ...]
    share: float


def mark(drill: Drill, chosen: Iterable[str]) -> Marking:
    """Mark the chosen options."""
    picked = set(chosen)
    ids = [option.id for option in drill.options]
    found = tuple(i for i in ids if i in picked and i in drill.right)
    wrong = tuple(i for i in ids if i in picked and i not in drill.right)
    missed = tuple(i for i in ids if i not in picked and i in drill.right)
    if not drill.several:
        return Marking(found, () if found else missed, wrong, float(bool(found) and not wrong))
    share = len(found) / len(drill.right) - len(wrong) / (len(ids) - len(drill.right))
    return Marking(found, missed, wrong, max(0.0, share))


def reviews(drill: Drill, marking: Marking) -> Reviews:
    """What a drill says of its card; a drawing, and what to look at first, have none."""
    rating = 1 if marking.share < 0.5 else 2 if marking.share < 1 else 3
    if drill.kind == SIGNS:
        return {cause_card(drill.about[0]): rating}
    return {pair_card(*drill.about): rating} if drill.kind == APART else {}


def due_signs(judge: Judge, due: Sequence[str], random: Random) -> Drill:
    """A drill about the first due cause that allows one, else about any cause."""
    for card in due:
        if card.startswith(CAUSE):
            with suppress(NoDrill):
                return signs_drill(judge.base, random, causes_of(card)[0])
    return signs_drill(judge.base, random)


def due_apart(judge: Judge, due: Sequence[str], random: Random) -> Drill:
    """A drill about the first due pair that allows one, else about any two causes."""
    for card in due:
        one, *other = causes_of(card)
        if other:
            with suppress(NoDrill, KeyError):
                return apart_drill(judge, random, (one, other[0]))
    return apart_drill(judge, random)


# Cause to signs


def signs_drill(base: Base, random: Random, cause_id: str | None = None) -> Drill:
    """Give a drill: which of these are expected with this cause; half of them are."""
    causes = [c for c in base.causes.values() if len(_seen(base, c)) >= 2]
    if cause_id is not None:
        causes = [c for c in causes if c.id == cause_id]
    if not causes:
        raise NoDrill(f"there are too few signs to ask for{f' of {cause_id}' if cause_id else ''}")
    cause = random.choice(causes)
    mine = _seen(base, cause)
    right = random.sample(sorted(mine), min(OPTIONS // 2, len(mine)))
    others = _foreign(base, cause, {option.split("=")[0] for option in mine})
    wrong = random.sample(sorted(others), min(OPTIONS - len(right), len(others)))
    if not wrong:
        raise NoDrill(f"nothing can stand beside the signs of {cause_id}")
    shown = random.sample([*right, *wrong], len(right) + len(wrong))
    return Drill(
        SIGNS,
        (cause.id,),
        f"If it is this: {cause.name}. Which of these would you expect?",
        tuple(Option(o, _option_words(base, o)) for o in shown),
        frozenset(right),
        {**{o: mine[o] for o in right}, **{o: others[o] for o in wrong}},
    )


def _seen(base: Base, cause: Cause) -> dict[str, str]:
    """Answers that speak for a cause, as 'check=answer', each with its reason."""
    return {
        f"{test.subject}={word}": sign.because
        for sign in base.signs(cause)
        if sign.speaks == "for" and (test := sign.when.only()) and test.subject in base.checks
        for word in base.checks[test.subject].answers
        if test.holds(word)
    }


def _foreign(base: Base, cause: Cause, mine: set[str]) -> dict[str, str]:
    """Answers that speak for other causes of the same symptoms, on checks not used here.

    Each with that cause and its reason.
    """
    touched = {s for sign in base.signs(cause) for s in sign.when.subjects()} | mine
    return {
        option: f"It speaks for {_quoted(base, other.id)}: {because}"
        for other in base.causes.values()
        if other.id != cause.id and set(other.behind) & set(cause.behind)
        for option, because in _seen(base, other).items()
        if option.split("=")[0] not in touched
    }


def _option_words(base: Base, option: str) -> str:
    name, _, word = option.partition("=")
    return f"{base.checks[name].name}: {base.checks[name].answers[word].says}"


# Two causes to the check between them


def apart_drill(judge: Judge, random: Random, pair: tuple[str, str] | None = None) -> Drill:
    """Give a drill: which one check tells these two causes apart."""
    base = judge.base
    pairs = [pair] if pair else _pairs(base, random)
    for one, other in pairs:
        powers = powers_between(judge, one, other)
        best = max(powers.values(), default=0.0)
        if best >= APART_ENOUGH:
            return _apart(judge, random, (one, other), powers, best)
    raise NoDrill("no check that is harmless tells these two causes apart")


def _pairs(base: Base, random: Random) -> list[tuple[str, str]]:
    """Pairs that anybody can meet: both are at least occasional behind one symptom."""
    least = base.scales.weight("occasional")
    found = {
        (a.id, b.id): None
        for symptom in base.symptoms
        for a, b in combinations(base.behind(symptom), 2)
        if min(base.scales.weight(c.behind[symptom]) for c in (a, b)) >= least
    }
    listed = list(found)
    random.shuffle(listed)
    return listed


def _apart(
    judge: Judge,
    random: Random,
    pair: tuple[str, str],
    powers: Mapping[str, float],
    best: float,
) -> Drill:
    base = judge.base
    top = max(powers, key=lambda name: (powers[name], name))
    weak = [name for name, power in sorted(powers.items()) if power < best / 2]
    shown = [top, *random.sample(weak, min(OPTIONS - 2, len(weak)))]
    random.shuffle(shown)
    right = frozenset(name for name in shown if powers[name] >= AS_GOOD * best)
    names = " and ".join(_quoted(base, cause) for cause in pair)
    symptom = base.symptoms[_table_between(judge, *pair).symptom]
    return Drill(
        APART,
        pair,
        f"{symptom.name}. These two are still possible: {names}. Which one check tells them apart"
        " best?",
        tuple(Option(name, base.checks[name].name) for name in shown),
        right,
        {name: _difference(judge, name, *pair) for name in shown},
    )


def _quoted(base: Base, cause: str) -> str:
    return f"'{base.causes[cause].name}'"


def _difference(judge: Judge, name: str, one: str, other: str) -> str:
    """What two causes make of a check: for each the answer that speaks most for it."""
    table = _table_between(judge, one, other)
    p, q = (_answers_of(judge.base, table, name, cause) for cause in (one, other))
    if _between(p, q) < TELLS_APART:
        return "It looks much the same with either of the two."
    parts = [_leaning(judge.base, name, one, p, q), _leaning(judge.base, name, other, q, p)]
    return " ".join(part for part in parts if part)


def _leaning(
    base: Base, name: str, cause: str, mine: Sequence[float], theirs: Sequence[float]
) -> str:
    """The answer of a check that leans most toward a cause, and how often it is met with each."""
    leans = [a * log2(max(a, LEAST) / max(b, LEAST)) for a, b in zip(mine, theirs, strict=True)]
    at = max(range(len(leans)), key=lambda place: leans[place])
    if leans[at] <= 0:
        return ""
    seen = base.observables[name]
    words = answer_words(seen, at)
    return (
        f"With {_quoted(base, cause)}: {words} in {mine[at]:.0%},"
        f" with the other in {theirs[at]:.0%}."
    )


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
    """How far each harmless check tells two causes apart, in bits.

    The mean of both relative entropies between what the two make of its answers, for the symptom
    that both lie behind; KeyError where there is none.
    """
    base, table = judge.base, _table_between(judge, one, other)
    return {
        name: _between(*(_answers_of(base, table, name, cause) for cause in (one, other)))
        for name in table.rows
        if name in base.checks and base.checks[name].harm == "none"
    }


def _table_between(judge: Judge, one: str, other: str) -> Tables:
    base = judge.base
    shared = [s for s in base.symptoms if {one, other} <= {c.id for c in base.behind(s)}]
    if not shared:
        raise KeyError(f"{one} and {other} lie behind no symptom together")
    return judge.reasoner.table(shared[0])


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


# Drawing to symptom


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


# Symptom to what is looked at first


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
