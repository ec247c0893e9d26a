"""What both faces of the callback say: why a check is asked, how it is done, how things stand."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import assert_never

from diagnose.dialogue.dialogue import Dialogue
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer, BadAnswer, parse, parse_all, says
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.conditions import Values
from diagnose.knowledge.model.kinds import NOTHING, ChoiceKind, Kind, NumberKind, SeveralKind
from diagnose.knowledge.panels import PANELS
from diagnose.reasoning.diagnosis import Diagnosis
from diagnose.reasoning.evidence.weigh import Differential, Standing
from diagnose.reasoning.explanation import explain, said
from diagnose.reasoning.explanation.misfit import Misfit, misfit
from diagnose.reasoning.questions.question import STOP_WORDS, Question, Stop
from diagnose.records.case.journal import Case, Complaint, Event, EventKind
from diagnose.report.content.case import change_words
from diagnose.report.formats.blocks import whole_percent

KEYS = (
    ("u", "could not tell"),
    ("n", "cannot check this here"),
    ("w", "why is this asked"),
    ("h", "how is it done"),
    ("y", "why this cause"),
    ("x", "what would change it"),
    ("l", "closed cases like this one"),
    ("b", "back (undo)"),
    ("c", "change an earlier answer"),
    ("s", "stop and conclude"),
    ("a", "the same, and another complaint on this vehicle"),
    ("q", "leave; go on later"),
)

HARM = {
    "minor": "this check leaves a small mark on film or paint.",
    "destructive": "this check destroys film or paint where it is done.",
}
"""What a check that harms does, in words said before it."""

_BETWEEN = re.compile(r"\s*[,|+]\s*|\s+(?:or|and)\s+", re.IGNORECASE)

NOT_LISTED = "something not listed here"


def number_asked(number: NumberKind) -> str:
    """What kind of number is wanted; a bare ratio has no unit, a count is of pieces."""
    unit = {"": " in pieces", "ratio": ""}.get(number.measured_in, f" in {number.unit}")
    words = f" Or in a word: {', '.join(number.words)}." if number.words else ""
    return f"A number{unit}, {number.low:g} to {number.high:g}.{words}"


def several_asked(kind: Kind) -> str:
    """How more than one answer is given, where a list of answers is shown."""
    match kind:
        case ChoiceKind():
            return "several numbers with 'or' (1 or 3): one of these, and not known which"
        case SeveralKind():
            return "all that is so, several numbers with 'and' (1 and 3)"
        case NumberKind():
            return "two numbers with 'to' (10 to 15), or a tolerance (12 ± 1): as far as known"
        case _:
            assert_never(kind)


def answers_listed(check: Check) -> dict[str, str]:
    """The answers of a check with their words; last that nothing is so, where several can be."""
    found = {word: answer.says for word, answer in check.answers.items()}
    kind = check.kind
    return {**found, NOTHING: kind.nothing} if isinstance(kind, SeveralKind) else found


def heard(check: Check, text: str) -> Answer:
    """The answer meant by what is typed under a list of answers; raises BadAnswer.

    Numbers of the list stand for answers, alone or several together.
    """
    listed = answers_listed(check)
    parts = [pick(part, list(listed), list(listed.values())) for part in _BETWEEN.split(text)]
    chosen = [part for part in parts if part is not None]
    if chosen and len(chosen) == len(parts) and not isinstance(check.kind, NumberKind):
        return parse_all(check, chosen)
    return parse(check, text)


def pick(text: str, ids: Sequence[str], names: Sequence[str]) -> str | None:
    """The id meant by a number, an id or a name; None if none is."""
    folded = text.casefold().strip()
    if folded.isascii() and folded.isdigit() and 1 <= int(folded) <= len(ids):
        return ids[int(folded) - 1]
    for word, name in zip(ids, names, strict=True):
        if folded in (word, name.casefold(), word.replace("_", " ")):
            return word
    return None


MANY = 16
"""Outcomes of a check that are all told of, however rare."""

RARE = 0.02
"""Of more, this chance or more is told of."""


def why_asked(base: Base, check: Check, question: Question | None) -> tuple[str, ...]:
    """Why a check is asked: what each answer would do."""
    if question is None:
        return (f"{check.name}: asked at every callback, since much else hangs on it.",)
    observable = base.observables[question.observable]
    lines = [
        f"{check.name} {worth_words(question)}, with waiting and harm counted in: more than any"
        " other check that is left. What it saves is what a wrong end costs."
    ]
    if question.observable != check.id:
        more = f" and {len(question.asks) - 1} more" if len(question.asks) > 1 else ""
        lines.append(f"It goes into {observable.name}, which still wants this{more}.")
    rare = RARE if len(question.outcomes) > MANY else 0.0
    for outcome in (o for o in question.outcomes if o.probability >= rare):
        answer = observable.kind.label_says(outcome.label)
        leading = explain.cause_name(base, outcome.leading)
        lines.append(
            f"  {answer} (chance {whole_percent(outcome.probability)}): then {leading} leads with"
            f" {whole_percent(outcome.leading_probability)}"
        )
    return tuple(lines)


def worth_words(question: Question) -> str:
    """Why a check is asked, in one line."""
    return f"saves about {question.saves:.0f} min of work on average, takes {question.takes:.0f}"


def how_done(check: Check) -> tuple[str, ...]:
    """How a check is done, with what, and how it goes wrong."""
    wait = f", then {check.waits_minutes:g} min of waiting" if check.waits_minutes else ""
    lines = [check.how, f"With: {check.tool}. Takes {check.minutes:g} min{wait}."]
    if check.mistake:
        lines.append(f"Done wrongly: {check.mistake}")
    return tuple(lines)


def cautions(base: Base, check: Check) -> tuple[str, ...]:
    """What to beware of before a check is done, whole."""
    harm = (f"Mind: {HARM[check.harm]}",) if check.harm in HARM else ()
    return (*harm, *(f"Caution: {base.cautions[name].say}" for name in check.cautions))


def cautions_named(base: Base, check: Check) -> str:
    """The same by name, where there is no room for more, and where the whole can be read."""
    named = [base.cautions[name].name.lower() for name in check.cautions]
    harm = ["marks the film" if check.harm == "minor" else "destroys"] if check.harm in HARM else []
    return f"Caution: {'; '.join([*harm, *named])} (h tells)"


def why_cause(base: Base, diagnosis: Diagnosis) -> tuple[str, ...]:
    """Why the leading cause leads, and what speaks against it."""
    leading = diagnosis.differential.leading
    if leading is None:
        return ("Every listed cause is ruled out by the answers.",)
    return why_one(base, leading, diagnosis.trace.values)


def why_one(base: Base, standing: Standing, values: Values) -> tuple[str, ...]:
    """Why a cause stands where it does: for, against, looked for in vain, ruled out."""
    cause = standing.cause
    chance = whole_percent(standing.probability)
    lines = [f"{cause.name}: {chance} (before any answer {whole_percent(standing.prior)})."]
    lines.append(cause.mechanism)
    reasons = explain.reasons(base, standing, values)
    parts = (
        ("Speaks for it:", _reasons([r for r in reasons if r.decibans > 0])),
        ("Speaks against it:", _reasons([r for r in reasons if r.decibans < 0])),
        ("Looked for and not so:", [_failed(f) for f in explain.failed(base, standing, values)]),
        ("Ruled out:", [_failed(f) for f in explain.rule_outs(base, standing.ruled_out)]),
    )
    for title, found in parts:
        lines += ["", title, *found] if found else []
    if not reasons and not standing.ruled_out:
        lines += ["", "Nothing seen yet speaks for or against it: it stands by how common it is."]
    return tuple(lines)


def _reasons(reasons: Sequence[explain.Reason]) -> list[str]:
    counted, little = explain.weighty(reasons)
    return [*map(_reason, counted), *([f"  {little}"] if little else [])]


def _failed(failed: explain.Failed) -> str:
    return f"  {failed.because} ({failed.wanted}; seen: {failed.seen.words})"


def _reason(reason: explain.Reason) -> str:
    return f"  {reason.because} ({said.told(reason.seen)}; {reason.weighs})"


def enough_words(base: Base, diagnosis: Diagnosis, stop: Stop) -> tuple[str, ...]:
    """Why to stop; where nothing listed fits, what fits least and what to do."""
    found = misfit(base, diagnosis) if stop is Stop.NOTHING_FITS else None
    if found:
        return (STOP_WORDS[stop], *_misfit_lines(found))
    at_stake = diagnosis.choice.at_stake
    if stop in (Stop.NOTHING_TELLS, Stop.SAME_TO_DO) and at_stake >= 1:
        return (f"{STOP_WORDS[stop]} At stake: {at_stake:.0f} minutes of work.",)
    return (STOP_WORDS[stop],)


def sure_words(base: Base, diagnosis: Diagnosis) -> str:
    """How sure the leading cause is, and what it is in plain words."""
    differential = diagnosis.differential
    leading = differential.leading
    if leading is None or differential.unlisted > leading.probability:
        return (
            f"Likeliest: a cause that is not listed here ({whole_percent(differential.unlisted)})."
        )
    sure = explain.how_sure(base, leading.probability)
    chance = whole_percent(leading.probability)
    return f"{leading.cause.name}: {sure}, {chance}. {leading.cause.plainly}"


def later_words(base: Base, diagnosis: Diagnosis) -> tuple[str, ...]:
    """What would tell more but is no question at the car, each with what it would settle."""
    later = diagnosis.choice.later
    head = ("To find out more, elsewhere or by cutting:",) if later else ()
    return (*head, *(f"- {explain.settles(base, question)}" for question in later))


def _misfit_lines(found: Misfit) -> Iterator[str]:
    yield found.says
    if found.strays:
        yield "What fits least with the rest:"
    for stray in found.strays:
        yield f"- {stray.name}: {stray.words}"
    yield "What to do now:"
    for way in found.ways:
        yield f"- {way}"


def what_changes(base: Base, diagnosis: Diagnosis) -> tuple[str, ...]:
    """What would change the conclusion, and which answers ruled causes out."""
    lines = [change_words(base, diagnosis)]
    for standing in diagnosis.differential.standings:
        for out in explain.rule_outs(base, standing.ruled_out)[:1]:
            lines.append(f"Ruled out, {standing.cause.name.lower()}: {out.because} ({out.seen})")
    return tuple(lines)


def shares(differential: Differential, most: int) -> tuple[tuple[str, float], ...]:
    """The likeliest causes by name with their probability, then what is not listed."""
    alive = [s for s in differential.standings if not s.ruled_out][:most]
    named = tuple((s.cause.name, s.probability) for s in alive)
    return (*named, (NOT_LISTED, differential.unlisted))


def place_words(base: Base, symptom: str, panel: str) -> str:
    """A symptom and its place in few words: 'Edge lifting · Front door, left'."""
    known = base.symptoms.get(symptom)
    return f"{known.name if known else symptom} · {PANELS.get(panel, panel)}"


def complaint_words(base: Base, complaint: Complaint) -> str:
    """A complaint in few words."""
    return place_words(base, complaint.symptom, complaint.panel)


def case_words(base: Base, case: Case) -> str:
    """A case in one line: its complaints, and how many answers it has."""
    count = len(case.circumstances) + sum(len(c.answers) for c in case.complaints)
    named = "; ".join(complaint_words(base, c) for c in case.complaints)
    return f"{named or 'no complaint yet'} ({count} answer{'s' * (count != 1)})"


def taken_back(base: Base, event: Event) -> str:
    """What was taken back, in one sentence."""
    check = base.checks.get(event.key)
    match event.kind:
        case EventKind.ANSWERED if check:
            answer = says(check, event.answer) if event.answer is not None else ""
            return f"Taken back: {check.name}: {answer}."
        case EventKind.SET_ASIDE if check:
            return f"Taken back that it cannot be done here: {check.name}."
        case EventKind.TAKEN_BACK if check:
            return f"It stands again: {check.name}."
        case EventKind.COMPLAINED:
            return f"Taken back: {place_words(base, event.key, event.text)}."
    return "Taken back: what was said last."


def told(check: Check, error: BadAnswer) -> str:
    """What is wrong with an answer as a sentence, without the name that files know the check by."""
    words = str(error).removeprefix(f"{check.id}: ").replace(check.id, check.name.lower())
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something that does not fit: two answers, or the answers and the symptom.

    `answers` are (check, name, words); `symptom` is the one that this may rather be, else ''.
    """

    id: str
    short: str
    says: str
    answers: tuple[tuple[str, str, str], ...]
    symptom: str = ""


def doubts(base: Base, diagnosis: Diagnosis) -> tuple[Doubt, ...]:
    """What does not fit, each with the answers that it rests on."""
    values = diagnosis.trace.values
    found = [
        Doubt(
            held.owner,
            "Two answers do not fit together",
            f"Two answers do not fit together. {held.statement.because}",
            tuple(
                (subject, explain.name_of(base, subject), explain.value_words(base, subject, value))
                for subject, value in held.matched.items()
            ),
        )
        for held in diagnosis.trace.contradictions
    ]
    for odd in diagnosis.complaint.conflicts:
        told = tuple((odd.subject, name, words) for name, words in odd.seen)
        found.append(Doubt(f"dates_{odd.subject}", "The dates do not fit", odd.because, told))
    for symptom, tells, check in explain.looks_like(base, diagnosis):
        name = base.symptoms[symptom].name.lower()
        seen = (check, base.checks[check].name, explain.value_words(base, check, values[check]))
        found.append(
            Doubt(
                symptom,
                f"May rather be {name}",
                f"This may rather be {name}: {tells}",
                (seen,),
                symptom,
            )
        )
    return tuple(found)


def changeable(base: Base, subject: str, dialogue: Dialogue) -> tuple[str, ...]:
    """The answered checks behind a subject: itself, or what a measure is reckoned from."""
    if subject in base.checks:
        return (subject,)
    answered = {check.id for check, _ in dialogue.answered()}
    inputs = base.measures[subject].inputs.values() if subject in base.measures else ()
    return tuple(i for i in inputs if isinstance(i, str) and i in answered)
