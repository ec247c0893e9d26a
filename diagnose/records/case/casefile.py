"""A case as a YAML file: read with every problem at its place, and as a journal of events."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from diagnose.knowledge import marked
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.reading.parsed import Parse
from diagnose.knowledge.reading.reader import Fault, Meaning, read_file
from diagnose.records.case.case_faults import answer_of, meanings
from diagnose.records.case.case_text import (
    CaseText,
    ComplaintText,
    EventText,
    OutcomeText,
    PhotoText,
    Said,
)
from diagnose.records.case.journal import (
    FACTS,
    Case,
    Complaint,
    Customer,
    Event,
    EventKind,
    Outcome,
    fold,
    outcome_data,
)

EMPTY = "the file is empty"


@dataclass(frozen=True, slots=True)
class CaseFile:
    """What one file says. Without a journal `events` is empty."""

    case: Case
    events: tuple[Event, ...] = ()
    customer: Customer | None = None


def read_case(
    name: str, text: str, base: Base, parse: Parse = marked.read
) -> tuple[CaseFile | None, list[Problem]]:
    """Read a file given by name and text; all its problems, sorted by place.

    There is no CaseFile where a problem is an error; a warning alone does not stand in the way.
    """
    every = tuple(CaseText.model_fields)
    agrees: Meaning[CaseText] = Meaning(lambda said: _agrees(said, base), every, whole=True)
    checks = (*meanings(base), agrees)
    read = read_file(name, text, CaseText, checks, EMPTY, parse)
    if read.content is None:
        return None, list(read.problems)
    return _case_file(read.content, base), list(read.problems)


def as_events(case_file: CaseFile, at: datetime) -> tuple[Event, ...]:
    """The journal of a file, or events at one given time that add up to its case."""
    if case_file.events:
        return case_file.events
    said = [{"kind": EventKind.OPENED}, *_of_vehicle(case_file.case)]
    for complaint in case_file.case.complaints:
        said += [{**event, "complaint": complaint.number} for event in _of_complaint(complaint)]
    return tuple(Event(number, at, **event) for number, event in enumerate(said, 1))


def _of_vehicle(case: Case) -> Iterator[dict[str, Any]]:
    for fact, text in case.facts.items():
        yield {"kind": EventKind.NOTED, "key": fact, "text": text}
    for photo, caption in case.photos:
        yield {"kind": EventKind.PHOTO_ADDED, "key": photo, "text": caption}
    for check, answer in case.circumstances.items():
        yield {"kind": EventKind.ANSWERED, "key": check, "answer": answer}


def _of_complaint(complaint: Complaint) -> Iterator[dict[str, Any]]:
    yield {"kind": EventKind.COMPLAINED, "key": complaint.symptom, "text": complaint.panel}
    for check, answer in complaint.answers.items():
        yield {"kind": EventKind.ANSWERED, "key": check, "answer": answer}
    for check in complaint.set_aside:
        yield {"kind": EventKind.SET_ASIDE, "key": check}
    for photo, caption in complaint.photos:
        yield {"kind": EventKind.PHOTO_ADDED, "key": photo, "text": caption}
    for remedy in complaint.remedies_done:
        yield {"kind": EventKind.REMEDY_DONE, "key": remedy}
    if complaint.held is not None:
        yield {"kind": EventKind.CHECKED_AGAIN, "key": "held" if complaint.held else "not_held"}
    if complaint.outcome:
        yield {"kind": EventKind.CLOSED, "data": outcome_data(complaint.outcome)}


def _case_file(said: CaseText, base: Base) -> CaseFile:
    case = _case(said, base)
    events = tuple(_event(event, number, base) for number, event in enumerate(said.journal, 1))
    customer = Customer(said.customer.name, said.customer.plate) if said.customer else None
    return CaseFile(fold(case.id, events) if events else case, events, customer)


def _case(said: CaseText, base: Base) -> Case:
    return Case(
        said.case,
        {fact: getattr(said, fact) for fact in FACTS if fact in said.model_fields_set},
        _answers(said.circumstances, base),
        tuple(_complaint(c, place, base) for place, c in enumerate(said.complaints, 1)),
        _photos(said.photos),
    )


def _complaint(said: ComplaintText, place: int, base: Base) -> Complaint:
    return Complaint(
        said.number or place,
        said.symptom,
        said.panel,
        _answers(said.answers, base),
        said.set_aside,
        _photos(said.photos),
        said.remedies_done,
        said.held,
        _outcome(said.outcome) if said.outcome else None,
    )


def _outcome(said: OutcomeText) -> Outcome:
    return Outcome(**dict(said))


def _photos(said: Sequence[PhotoText]) -> tuple[tuple[str, str], ...]:
    return tuple((photo.photo, photo.caption) for photo in said)


def _answers(said: Mapping[str, Said], base: Base) -> dict[str, Answer]:
    return {check: answer_of(base.checks[check], words) for check, words in said.items()}


def _event(said: EventText, number: int, base: Base) -> Event:
    return Event(
        number,
        datetime.fromisoformat(said.at),
        said.kind,
        said.key,
        said.text,
        None if said.answer is None else answer_of(base.checks[said.key], said.answer),
        said.complaint,
        said.undoes,
        said.data,
    )


def _agrees(said: CaseText, base: Base) -> Iterator[Fault]:
    """What stands above the journal must be what it adds up to."""
    named = [fault for meaning in meanings(base) for fault in meaning.check(said)]
    if not said.journal or any(fault.severity == "error" for fault in named):
        return
    case = _case(said, base)
    told = _case_file(said, base).case
    parts = ("facts", "circumstances", "complaints", "photos")
    differing = [part for part in parts if getattr(told, part) != getattr(case, part)]
    if differing:
        yield Fault(
            f"the journal does not add up to the {' and '.join(differing)} that stand above it:"
            " take 'journal' out to keep what stands above",
            ("journal",),
        )
