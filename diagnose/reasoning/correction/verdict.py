"""Who carries the cost: what was found, what is missing, and what would turn it.

The probabilities of the causes are summed by payer. A payer is named where it leads; where two
lie within ten decibans, where none is likely enough, or where something found knocks it out, the
matter is undetermined. Two causes that each have their own proof are shared. No legal judgement.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import takewhile
from math import inf, log10

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Evidence, RequiredPaper
from diagnose.knowledge.model.conditions import Condition, NoneOf, OneOf, Values
from diagnose.reasoning.diagnosis import Diagnosis
from diagnose.reasoning.evidence.weigh import Standing
from diagnose.reasoning.payer import on_file, pays


class Verdict(StrEnum):
    """How far a payer may be named."""

    NAMED = "named"
    PAPERS_MISSING = "papers_missing"
    SHARED = "shared"
    UNDETERMINED = "undetermined"


class Hand(StrEnum):
    """Whether a paper is there."""

    AT_HAND = "at_hand"
    TO_GET = "to_get"
    NOT_THERE = "not_there"


@dataclass(frozen=True, slots=True)
class PossiblePayer:
    """A possible payer: probability, the causes by which it pays, and the evidence."""

    payer: str
    probability: float
    causes: tuple[str, ...]
    on_file: tuple[str, ...]
    missing: tuple[str, ...]
    against: tuple[str, ...]
    open_checks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Turn:
    """A check whose answer may change who pays: chance, the answer, and to whom it would go."""

    check: str
    answer: str
    chance: float
    payer: str


@dataclass(frozen=True, slots=True)
class ListedPaper:
    """Something the payer asks to see, and whether it is there."""

    says: str
    hand: Hand


@dataclass(frozen=True, slots=True)
class Carries:
    """Who carries the cost of a complaint; `payers` has two for `shared`, none if undetermined."""

    verdict: Verdict
    payers: tuple[str, ...]
    because: str
    sides: tuple[PossiblePayer, ...]
    turns: tuple[Turn, ...]
    papers: tuple[ListedPaper, ...]


def carries(base: Base, diagnosis: Diagnosis, facts: Mapping[str, str]) -> Carries:
    """Who carries the cost of a complaint; `facts` are those noted in the case."""
    sides = _sides(base, diagnosis)
    verdict, payers, because = _verdict(base, diagnosis, sides)
    shown = payers or tuple(side.payer for side in sides[:2])
    papers = tuple(
        paper for payer in shown for paper in checklist(base, payer, diagnosis.trace.values, facts)
    )
    turns = tuple(_turns(base, diagnosis, sides[0].payer)) if sides else ()
    best = sorted(turns, key=lambda t: (-t.chance, t.check))[:3]
    return Carries(verdict, payers, because, sides, tuple(best), papers)


def _sides(base: Base, diagnosis: Diagnosis) -> tuple[PossiblePayer, ...]:
    values = diagnosis.trace.values
    shares: dict[str, list[Standing]] = {}
    for standing in diagnosis.differential.standings:
        if not standing.ruled_out:
            shares.setdefault(pays(standing.cause, values).payer, []).append(standing)
    found = [_side(base, payer, its, values) for payer, its in shares.items()]
    likely = (side for side in found if side.probability >= base.scales.acting.in_play)
    return tuple(sorted(likely, key=lambda s: (-s.probability, s.payer)))


def _side(base: Base, payer_id: str, its: list[Standing], values: Values) -> PossiblePayer:
    evidence = on_file(base.payers[payer_id], values)
    return PossiblePayer(
        payer=payer_id,
        probability=sum(s.probability for s in its),
        causes=tuple(s.cause.id for s in its if s.probability >= base.scales.acting.in_play),
        on_file=evidence.there,
        missing=evidence.missing,
        against=evidence.against,
        open_checks=tuple(_open(base, evidence.unknown, values)),
    )


def _open(base: Base, unknown: tuple[Evidence, ...], values: Values) -> Iterator[str]:
    """Checks that would show what a payer's answer still needs."""
    for evidence in unknown:
        for subject in evidence.when.subjects() if evidence.when else ():
            if subject in base.checks and subject not in values:
                yield subject


def _verdict(
    base: Base, diagnosis: Diagnosis, sides: tuple[PossiblePayer, ...]
) -> tuple[Verdict, tuple[str, ...], str]:
    possible = base.scales.possible_percent / 100
    both = _proved_together(base, diagnosis)
    if both:
        said = "two causes are shown, each by its own marks, and they fall to different sides"
        return Verdict.SHARED, both, said
    if not sides or sides[0].probability < possible:
        return Verdict.UNDETERMINED, (), f"no side is as likely as {possible:.0%}"
    first = sides[0]
    if first.against:
        who = base.payers[first.payer].name
        said = f"likeliest is {who}, but what was found speaks against it: {first.against[0]}"
        return Verdict.UNDETERMINED, (), said
    near = base.scales.acting.payers_apart_decibans
    if len(sides) > 1 and apart(first.probability, sides[1].probability) < near:
        return Verdict.UNDETERMINED, (), _between(base, sides)
    if first.missing:
        return (
            Verdict.PAPERS_MISSING,
            (first.payer,),
            f"likely, but not all that it needs is shown yet: {first.missing[0]}",
        )
    shown = "what it needs was found" if first.on_file else "nothing found speaks against it"
    return Verdict.NAMED, (first.payer,), f"it leads, and {shown}"


def _between(base: Base, sides: tuple[PossiblePayer, ...]) -> str:
    one, other = (base.payers[side.payer].name for side in sides[:2])
    return f"it lies between '{one}' and '{other}', neither ten times as likely as the other"


def apart(one: float, other: float) -> float:
    """How far two probabilities lie apart, in decibans."""
    return 10 * log10(one / other) if other > 0 else inf


def _proved_together(base: Base, diagnosis: Diagnosis) -> tuple[str, ...]:
    """Two payers whose causes are each shown by their own signs and papers."""
    values, acting = diagnosis.trace.values, base.scales.acting
    shown: dict[str, None] = {}
    for standing in diagnosis.differential.standings:
        payer = pays(standing.cause, values).payer
        own = sum(w.decibans for w in standing.weights if w.counts and w.decibans > 0)
        evidence = on_file(base.payers[payer], values)
        proved = not evidence.missing and not evidence.against
        shows = own >= acting.proof_decibans and standing.probability >= acting.in_play
        if shows and proved and payer != base.role("no_cost"):
            shown[payer] = None
    return tuple(shown)[:2] if len(shown) > 1 else ()


def _turns(base: Base, diagnosis: Diagnosis, payer: str) -> Iterator[Turn]:
    """Checks still open by which the cost would go to somebody else."""
    by_cause = {t.check: t for t in _turns_by_cause(base, diagnosis, payer)}
    by_rule = {t.check: t for t in _turns_by_rule(base, diagnosis, payer)}
    for check in {**by_cause, **by_rule}:
        both = [t for t in (by_cause.get(check), by_rule.get(check)) if t]
        yield max(both, key=lambda t: t.chance)


def _turns_by_cause(base: Base, diagnosis: Diagnosis, payer: str) -> Iterator[Turn]:
    """Answers that would put a cause in the lead for which somebody else pays."""
    values = diagnosis.trace.values
    for question in diagnosis.choice.questions:
        turned = [
            (o, pays(base.causes[o.leading], values).payer)
            for o in question.outcomes
            if o.leading in base.causes
        ]
        others = [(o, who) for o, who in turned if who != payer]
        if others:
            likeliest, who = max(others, key=lambda pair: pair[0].probability)
            chance = sum(o.probability for o, _ in others)
            yield Turn(question.observable, likeliest.label, chance, who)


def _turns_by_rule(base: Base, diagnosis: Diagnosis, payer: str) -> Iterator[Turn]:
    """Answers by which an exception of the leading cause would hold; chances as usually met."""
    values, leading = diagnosis.trace.values, diagnosis.differential.leading
    closed = diagnosis.complaint.asked.closed
    exceptions = leading.cause.responsibility.unless if leading else ()
    for other in takewhile(lambda its: not its.when.holds(values), exceptions):
        check = _last_open(other.when, values)
        if check in base.checks and check not in closed and other.payer != payer:
            answers = _answers_that_hold(base, other.when, check, values)
            if answers:
                usual = base.checks[check].answers
                total = sum(a.usual for a in usual.values())
                chance = sum(usual[a].usual for a in answers) / total
                yield Turn(check, answers[0], chance, other.payer)


def _last_open(when: Condition, values: Values) -> str:
    """The only subject that a condition still waits for, or ''."""
    waits = [t.subject for t in when.tests if t.holds(values.get(t.subject)) is None]
    failed = any(t.holds(values.get(t.subject)) is False for t in when.tests)
    return waits[0] if len(waits) == 1 and not failed else ""


def _answers_that_hold(base: Base, when: Condition, check: str, values: Values) -> list[str]:
    words = [t for t in when.tests if t.subject == check and isinstance(t, OneOf | NoneOf)]
    if not words:
        return []
    return [a for a in base.checks[check].answers if when.holds({**values, check: a})]


def checklist(
    base: Base, payer: str, values: Values, facts: Mapping[str, str]
) -> tuple[ListedPaper, ...]:
    """What a payer asks to see, in the order of the rule base, and what of it is at hand."""
    return tuple(
        ListedPaper(paper.says, _hand(paper, values, facts))
        for paper in base.papers.values()
        if paper.payer == payer
    )


def _hand(paper: RequiredPaper, values: Values, facts: Mapping[str, str]) -> Hand:
    noted = bool(paper.fact and facts.get(paper.fact, "").strip())
    known = bool(paper.answered) and all(check in values for check in paper.answered)
    shown = paper.when.holds(values) if paper.when else None
    if shown or (noted and shown is not False) or known:
        return Hand.AT_HAND
    return Hand.NOT_THERE if shown is False else Hand.TO_GET
