"""What a case file must be beyond its shape: what it names is there, and numbers are in order."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer, BadAnswer, parse, parse_all
from diagnose.knowledge.logic.dates import DATES, days_of
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.words import UNLISTED
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.reading.reader import Fault, Meaning
from diagnose.knowledge.reading.salvage import Way
from diagnose.knowledge.reading.shape import tuples
from diagnose.near import near
from diagnose.records.case.case_text import CaseText, EventText, OutcomeText, Said
from diagnose.records.case.journal import FACTS, EventKind

RESULTS = ("held", "not_held")


def meanings(base: Base) -> Iterator[Meaning[CaseText]]:
    """What is checked, and of which sections."""
    yield Meaning(_dates, ())
    yield Meaning(lambda said: _circumstances(said, base), ("circumstances",))
    yield Meaning(lambda said: _complaints(said, base), ("complaints",))
    yield Meaning(_numbers, ("complaints",), whole=True)
    yield Meaning(lambda said: _events(said, base), ("journal",))
    yield Meaning(_event_numbers, ("journal",), whole=True)


def _dates(said: CaseText) -> Iterator[Fault]:
    for fact in DATES:
        text = getattr(said, fact)
        if text and not days_of(text):
            yield Fault(f"'{text}' is no date such as 2026-03-31", (fact,), "warning")


def _circumstances(said: CaseText, base: Base) -> Iterator[Fault]:
    yield from _wrong_answers(said.circumstances, base, ("circumstances",), "vehicle")


def _wrong_answers(
    answers: Mapping[str, Said], base: Base, way: Way, scope: str
) -> Iterator[Fault]:
    for check, words in answers.items():
        at = (*way, check)
        wrong = list(_wrong_answer(check, words, base, at))
        yield from wrong
        if not wrong and base.checks[check].scope != scope:
            of = "of the whole vehicle: put it under 'circumstances'"
            place = "of one place: put it under the 'answers' of a complaint"
            sentence = f"'{check}' is {place if scope == 'vehicle' else of}"
            yield Fault(sentence, at, "warning")


def _wrong_answer(check: str, words: Said, base: Base, way: Way) -> Iterator[Fault]:
    if check not in base.checks:
        yield from _not_among(check, base.checks, "check", way)
        return
    try:
        answer_of(base.checks[check], words)
    except BadAnswer as error:
        yield Fault(str(error), way)


def _not_among(word: str, known: Collection[str], what: str, way: Way) -> Iterator[Fault]:
    if word and word not in known:
        yield Fault(f"'{word}' is no {what}{near(word, set(known))}", way)


def _all_among(
    words: Sequence[str], known: Collection[str], what: str, way: Way
) -> Iterator[Fault]:
    for number, word in enumerate(words):
        yield from _not_among(word, known, what, (*way, number))


def _complaints(said: CaseText, base: Base) -> Iterator[Fault]:
    for number, complaint in enumerate(said.complaints):
        way: Way = ("complaints", number)
        yield from _not_among(complaint.symptom, base.symptoms, "symptom", (*way, "symptom"))
        yield from _not_among(complaint.panel, PANELS, "panel", (*way, "panel"))
        yield from _wrong_answers(complaint.answers, base, (*way, "answers"), "complaint")
        yield from _all_among(complaint.set_aside, base.checks, "check", (*way, "set_aside"))
        done = (*way, "remedies_done")
        yield from _all_among(complaint.remedies_done, base.remedies, "remedy", done)
        if complaint.outcome:
            yield from _wrong_outcome(complaint.outcome, base, (*way, "outcome"))


def _wrong_outcome(outcome: OutcomeText, base: Base, way: Way) -> Iterator[Fault]:
    causes = (*base.causes, UNLISTED)
    yield from _not_among(outcome.cause, causes, "cause", (*way, "cause"))
    yield from _all_among(outcome.also_causes, causes, "cause", (*way, "also_causes"))
    yield from _not_among(outcome.remedy, base.remedies, "remedy", (*way, "remedy"))
    yield from _not_among(outcome.payer, base.payers, "payer", (*way, "payer"))


def _numbers(said: CaseText) -> Iterator[Fault]:
    seen: set[int] = set()
    for place, complaint in enumerate(said.complaints, 1):
        number = complaint.number or place
        if number in seen:
            yield Fault(f"there is a complaint {number} already", ("complaints", place - 1))
        seen.add(number)


def _event_numbers(said: CaseText) -> Iterator[Fault]:
    for number, event in enumerate(said.journal, 1):
        if event.number not in (None, number):
            way = ("journal", number - 1, "number")
            yield Fault(f"this is event {number} of the journal", way)


def _events(said: CaseText, base: Base) -> Iterator[Fault]:
    for place, event in enumerate(said.journal):
        way: Way = ("journal", place)
        yield from _misnamed(event, base, way)
        if event.answer is not None and event.key in base.checks:
            yield from _wrong_answer(event.key, event.answer, base, (*way, "answer"))


def _misnamed(event: EventText, base: Base, way: Way) -> Iterator[Fault]:
    """What an event of its kind names that is not there."""
    at = (*way, "key")
    match event.kind:
        case EventKind.NOTED:
            yield from _not_among(event.key, FACTS, "fact of a case", at)
        case EventKind.COMPLAINED:
            yield from _not_among(event.key, base.symptoms, "symptom", at)
            yield from _not_among(event.text, PANELS, "panel", (*way, "text"))
        case EventKind.TAKEN_BACK | EventKind.ANSWERED | EventKind.SET_ASIDE:
            yield from _not_among(event.key, base.checks, "check", at)
        case EventKind.REMEDY_DONE:
            yield from _not_among(event.key, base.remedies, "remedy", at)
        case EventKind.CHECKED_AGAIN:
            yield from _not_among(event.key, RESULTS, "result of a second look", at)
        case EventKind.CLOSED:
            outcome = OutcomeText.model_validate(tuples(event.data))
            yield from _wrong_outcome(outcome, base, (*way, "data"))


def answer_of(check: Check, words: Said) -> Answer:
    """What was answered; raises BadAnswer."""
    return parse(check, words) if isinstance(words, str) else parse_all(check, words)
