"""Why this cause, why not that one, what was ruled out, what would change it, what is missing.

Everything comes from the record of what fired and from the weights; nothing is made up afterwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import assert_never

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import says
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.logic.said import word
from diagnose.knowledge.model import Sign
from diagnose.knowledge.model.conditions import FOUND, NoneOf, OneOf, Span, Test, Value, Values
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.diagnosis import Diagnosis
from diagnose.reasoning.evidence.chain import Held
from diagnose.reasoning.evidence.weigh import Standing, Weight
from diagnose.reasoning.explanation.said import Said
from diagnose.reasoning.explanation.silence import silence
from diagnose.reasoning.questions.question import PossibleOutcome, Question


@dataclass(frozen=True, slots=True)
class Reason:
    """A piece of evidence for or against a cause.

    `seen`: what was answered for each subject; `decibans` is positive for;
    `counted` is False where a stronger sign that sees the same is counted instead; `shop` says how
    closed cases moved it: how many showed it, of how many, and what was judged. `silent`: nobody
    gave a reason for it, and only how often it is met speaks.
    """

    because: str
    seen: tuple[Said, ...]
    decibans: float
    strength: str
    source: tuple[str, ...]
    counted: bool
    shop: str = ""
    silent: bool = False

    @property
    def weighs(self) -> str:
        """What it weighs, and what closed cases had to do with it."""
        weight = f"{self.strength}, {self.decibans:+.1f} dB"
        return f"{weight}; {self.shop}" if self.shop else weight


LITTLE = 1.0
"""Decibans under which a piece of evidence without a reason is worth no line of its own."""


NOTHING = 0.05
"""Decibans that read as 0.0."""


def weighty(reasons: Sequence[Reason]) -> tuple[list[Reason], str]:
    """What counts and is worth a line of its own; the rest of what counts in one sentence, or ''.

    What nobody gave a reason for and hardly weighs is named together with what it comes to; what
    weighs nothing, read to a tenth, is no evidence and is left out, whatever was written of it.
    """
    counted = [r for r in reasons if r.counted and abs(r.decibans) >= NOTHING]
    small = [r for r in counted if r.silent and abs(r.decibans) < LITTLE]
    if len(small) < 2:
        return counted, ""
    names = "; ".join(seen.name for r in small for seen in r.seen)
    together = f"{sum(r.decibans for r in small):+.1f} dB".replace("-", "−")
    return [r for r in counted if r not in small], f"Of little weight ({together} in all): {names}."


@dataclass(frozen=True, slots=True)
class Failed:
    """A sign for a cause that was looked for and is not there: the condition and the answer."""

    because: str
    wanted: str
    seen: Said


@dataclass(frozen=True, slots=True)
class Change:
    """The check that could most change the conclusion, and the answer that would do it."""

    observable: str
    asks: tuple[str, ...]
    answer: str
    chance: float
    leading: str
    leading_probability: float


def reasons(base: Base, standing: Standing, values: Values) -> tuple[Reason, ...]:
    """Everything that speaks for or against a cause, the weightiest first."""
    found = [_reason(base, standing, weight, values) for weight in standing.weights]
    return tuple(sorted(found, key=lambda r: (not r.counted, -abs(r.decibans), r.because)))


def _reason(base: Base, standing: Standing, weight: Weight, values: Values) -> Reason:
    seen = tuple(said_of(base, s, values[s]) for s in weight.subjects)
    sign = weight.sign
    shop = _shop(base, standing, weight, values)
    fits = sign is not None and (sign.speaks == "for") == (weight.decibans > 0)
    if sign is None or not fits:
        name = weight.subjects[0]
        observable = base.observables[name]
        row = base.rows(standing.cause, standing.symptom)[name]
        because = silence(observable, row, weight.decibans, observable.kind.codes(values[name]))
        strength: str = word(base.scales, weight.decibans)
        source: tuple[str, ...] = ("derived",)
    else:
        because, strength, source = sign.because, sign.strength, sign.source
    return Reason(
        because, seen, weight.decibans, strength, source, weight.counts, shop, silent=not fits
    )


def _shop(base: Base, standing: Standing, weight: Weight, values: Values) -> str:
    """How closed cases moved a weight; '' where none did."""
    name, *more = weight.subjects
    row = base.rows(standing.cause, standing.symptom).get(name)
    if more or row is None or not row.tallies:
        return ""
    codes = base.observables[name].kind.codes(values[name])
    if row.absent:
        codes = sorted(codes, key=lambda code: -abs(row.decibans[code]))[:1]
    return moved_words(row, codes) if codes else ""


def moved_words(row: CauseRow, codes: Sequence[int]) -> str:
    """How often some answers were met in closed cases, and how often they were judged to be."""
    told = ", ".join(
        f"in {tally.where} {_number(sum(tally.counts[c] for c in codes))} of {_number(tally.cases)}"
        for tally in row.tallies
    )
    return f"{told}, judged {100 * sum(row.judged[c] for c in codes):.2g} of 100"


def _number(count: float) -> str:
    """A count; in parts where answers were known in part."""
    return f"{round(count, 1):g}"


def failed(base: Base, standing: Standing, values: Values) -> tuple[Failed, ...]:
    """Signs for a cause that definitely do not hold, with the very condition that failed."""
    found = []
    for sign in base.signs(standing.cause, standing.symptom):
        if sign.speaks == "for":
            for test in sign.when.tests:
                value = values.get(test.subject)
                if value is not None and test.holds(value) is False:
                    found.append(_failed(base, sign, test, value))
                    break
    return tuple(found)


def _failed(base: Base, sign: Sign, test: Test, value: Value) -> Failed:
    seen = said_of(base, test.subject, value)
    return Failed(sign.because, condition_words(base, test), seen)


def rule_outs(base: Base, held: tuple[Held, ...]) -> tuple[Failed, ...]:
    """What ruled a cause out, by which answer."""
    return tuple(
        Failed(
            h.statement.because,
            ", ".join(condition_words(base, t) for t in h.statement.when.tests),
            said_of(base, s, v),
        )
        for h in held
        for s, v in list(h.matched.items())[:1]
    )


def settles(base: Base, question: Question) -> str:
    """What a check that is not done at the car would settle, in one line."""
    leading = dict.fromkeys(outcome.leading for outcome in question.outcomes)
    names = [cause_name(base, cause) for cause in leading]
    apart = (
        f"tells {' from '.join(names[:3])}" if len(names) > 1 else f"tells whether it is {names[0]}"
    )
    minutes = sum(base.checks[check].minutes for check in question.asks)
    return f"{base.observables[question.observable].name} ({minutes:g} min of work): {apart}"


def would_change(diagnosis: Diagnosis) -> Change | None:
    """The single check most likely to put another cause in the lead."""
    differential = diagnosis.differential
    leading = differential.leading
    leads = (
        leading.cause.id if leading and leading.probability >= differential.unlisted else UNLISTED
    )
    best: tuple[float, Question, PossibleOutcome] | None = None
    for question in diagnosis.choice.questions:
        others = [o for o in question.outcomes if o.leading != leads]
        if others:
            outcome = max(others, key=lambda o: o.probability)
            chance = sum(o.probability for o in others)
            if best is None or chance > best[0]:
                best = (chance, question, outcome)
    if best is None:
        return None
    chance, question, outcome = best
    return Change(
        question.observable,
        question.asks,
        outcome.label,
        chance,
        outcome.leading,
        outcome.leading_probability,
    )


def looks_like(base: Base, diagnosis: Diagnosis) -> tuple[tuple[str, str, str], ...]:
    """Symptoms that the answers say this rather is: (symptom, what tells, the answer's check)."""
    symptom = base.symptoms[diagnosis.differential.symptom]
    return tuple(
        (other.symptom, other.tells, other.check)
        for other in symptom.confused_with
        if other.check
        and OneOf(other.check, other.answers).holds(diagnosis.trace.values.get(other.check))
    )


NOT_SETTLED = "not settled"
"""How sure it is where no cause can be named."""


def how_sure(base: Base, probability: float) -> str:
    """How far a conclusion may be stated, in words; the number goes beside it."""
    scales = base.scales
    for percent, words in (
        (scales.leads_clearly_percent, "leads clearly"),
        (scales.probable_percent, "probable"),
        (scales.possible_percent, "possible"),
    ):
        if probability >= percent / 100:
            return words
    return NOT_SETTLED


def name_of(base: Base, subject: str) -> str:
    """A check, measure or finding by its name."""
    if subject in base.findings:
        return base.findings[subject].name
    return base.observables[subject].name


def cause_name(base: Base, cause: str) -> str:
    """A cause by its name; the unlisted one in words."""
    return "a cause not listed here" if cause == UNLISTED else base.causes[cause].name


def value_words(base: Base, subject: str, value: Value) -> str:
    """A value in words for a reader."""
    if subject in base.checks:
        return says(base.checks[subject], value)
    if subject in base.findings:
        return "found" if value == FOUND else "not found"
    return base.measures[subject].kind.says(value)


def said_of(base: Base, subject: str, value: Value) -> Said:
    """A check, measure or finding with its value, in words."""
    return Said(name_of(base, subject), value_words(base, subject, value))


def wanted_words(base: Base, test: Test) -> str:
    """What a test asks of its subject, in words: 'under 3 months', 'not dirty or wet'."""
    match test:
        case Span():
            ends = str(test).removeprefix(f"{test.subject} is ")
            return f"{ends} {base.observables[test.subject].kind.unit}".rstrip()
        case OneOf(words=words):
            return _either(value_words(base, test.subject, word) for word in words)
        case NoneOf(words=words):
            return f"not {_either(value_words(base, test.subject, word) for word in words)}"
        case _:
            assert_never(test)


def _either(words: Iterable[str]) -> str:
    """Answers with 'or' between; in quotes where a comma within one would part it."""
    said = tuple(words)
    quoted = len(said) > 1 and any("," in word for word in said)
    return " or ".join(f"'{word}'" if quoted else word for word in said)


def condition_words(base: Base, test: Test) -> str:
    """A test in words for a reader, such as 'Age of the wrap: under 3 months'."""
    words = wanted_words(base, test)
    return f"{name_of(base, test.subject)}: {words if isinstance(test, Span) else words.lower()}"


def answers_words(base: Base, answers: Mapping[str, object]) -> tuple[Said, ...]:
    """Answers in words, each with its check."""
    return tuple(
        Said(base.checks[c].name, says(base.checks[c], a))  # type: ignore[arg-type]
        for c, a in answers.items()
        if c in base.checks
    )


def contradictions(base: Base, diagnosis: Diagnosis) -> tuple[tuple[str, tuple[Said, ...]], ...]:
    """Answers and dates that cannot both be right: the reason, and each of them."""
    held = (
        (
            h.statement.because,
            tuple(said_of(base, s, v) for s, v in h.matched.items()),
        )
        for h in diagnosis.trace.contradictions
    )
    dates = (
        (odd.because, tuple(Said(name, words) for name, words in odd.seen))
        for odd in diagnosis.complaint.conflicts
    )
    return (*held, *dates)
