"""A case is a journal of events; its state is what the events add up to.

Events are only ever appended. Undo is an event too, so what was known at any moment can be
reckoned by folding the journal up to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import datetime
from enum import StrEnum
from functools import reduce
from types import MappingProxyType
from typing import Any

from diagnose.knowledge.logic.answers import Answer, Answers

_NOTHING: Mapping[str, Any] = MappingProxyType({})


class EventKind(StrEnum):
    """What happened."""

    OPENED = "opened"
    NOTED = "noted"
    COMPLAINED = "complained"
    ANSWERED = "answered"
    TAKEN_BACK = "taken_back"
    SET_ASIDE = "set_aside"
    UNDONE = "undone"
    PHOTO_ADDED = "photo_added"
    CONCLUDED = "concluded"
    REMEDY_DONE = "remedy_done"
    CHECKED_AGAIN = "checked_again"
    CLOSED = "closed"
    REOPENED = "reopened"


UNDOABLE = (
    EventKind.ANSWERED,
    EventKind.TAKEN_BACK,
    EventKind.SET_ASIDE,
    EventKind.NOTED,
    EventKind.COMPLAINED,
)
"""What undo takes back."""

FACTS = (
    "title",
    "grade",
    "vehicle",
    "film",
    "lot",
    "installer",
    "laid_on",
    "handed_on",
    "seen_on",
    "place",
    "remark",
    "told",
    "not_understood",
    "lesson",
)
"""What may be noted of a case besides answers; dates are ISO 8601. Each is text as typed.

`told` is what a person said of it in own words, a line for each time; `not_understood` are the
parts of that which found no home, a line for each.
"""


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to a case, at a moment told by whoever records it.

    Fields by kind (those not named stay empty):
    NOTED key (one of FACTS), text; COMPLAINED complaint, key=symptom, text=panel (said again of a
    complaint that is there: it is rather this, and its answers stay);
    ANSWERED key=check, answer, complaint (None: of the whole vehicle);
    TAKEN_BACK key=check, complaint; SET_ASIDE key=check that cannot be done here, complaint;
    UNDONE undoes=number of the event that no longer counts;
    PHOTO_ADDED key=content hash, text=caption, complaint;
    CONCLUDED complaint, data (cause: the leading one, probability, and more at will);
    REMEDY_DONE complaint, key=remedy, text; CHECKED_AGAIN complaint, key=held/not_held, text;
    CLOSED complaint, data (an Outcome's fields); REOPENED complaint.
    """

    number: int
    at: datetime
    kind: EventKind
    key: str = ""
    text: str = ""
    answer: Answer | None = None
    complaint: int | None = None
    undoes: int | None = None
    data: Mapping[str, Any] = field(default_factory=lambda: _NOTHING)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a complaint turned out to be, and what became of it."""

    cause: str
    confirmed_by: str
    also_causes: tuple[str, ...] = ()
    remedy: str = ""
    held: bool | None = None
    payer: str = ""
    cost: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Complaint:
    """One symptom at one place of the vehicle."""

    number: int
    symptom: str
    panel: str
    answers: Answers = field(default_factory=lambda: _NOTHING)
    set_aside: tuple[str, ...] = ()
    photos: tuple[tuple[str, str], ...] = ()
    remedies_done: tuple[str, ...] = ()
    held: bool | None = None
    outcome: Outcome | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """One vehicle's record as it stands."""

    id: str
    facts: Mapping[str, str] = field(default_factory=lambda: _NOTHING)
    circumstances: Answers = field(default_factory=lambda: _NOTHING)
    complaints: tuple[Complaint, ...] = ()
    photos: tuple[tuple[str, str], ...] = ()

    @property
    def closed(self) -> bool:
        """Whether every complaint has an outcome."""
        return bool(self.complaints) and all(c.outcome for c in self.complaints)

    def answers(self, complaint: Complaint) -> Answers:
        """All that is known of a complaint: the vehicle's circumstances and its own answers."""
        return {**self.circumstances, **complaint.answers}

    def complaint(self, number: int) -> Complaint:
        """The complaint of that number; KeyError if there is none."""
        for complaint in self.complaints:
            if complaint.number == number:
                return complaint
        raise KeyError(number)


@dataclass(frozen=True, slots=True)
class Customer:
    """Whose vehicle it is; kept apart from the case."""

    name: str
    plate: str = ""


def live(events: Iterable[Event]) -> list[Event]:
    """The events that count: none that was undone later, and no undoing itself."""
    journal = list(events)
    undone = {e.undoes for e in journal if e.kind is EventKind.UNDONE}
    return [e for e in journal if e.number not in undone and e.kind is not EventKind.UNDONE]


def fold(case_id: str, events: Iterable[Event]) -> Case:
    """The state that a journal adds up to; events undone later do not count.

    Total: what speaks of a complaint that was undone counts for nothing.
    """
    return reduce(_apply, live(events), Case(case_id))


def last_undoable(events: Iterable[Event]) -> Event | None:
    """The newest event that undo would take back."""
    left = [e for e in live(events) if e.kind in UNDOABLE]
    return left[-1] if left else None


def next_complaint(events: Iterable[Event]) -> int:
    """The number of the next complaint, after all that anything still speaks of.

    One that was backed out of takes no number, unless more than its answers was kept of it.
    """
    return 1 + max((e.complaint or 0 for e in live(events)), default=0)


def fits(event: Event, case: Case) -> None:
    """Raise ValueError where an event speaks of a complaint or a fact that is not there."""
    if event.kind is EventKind.NOTED and event.key not in FACTS:
        raise ValueError(f"'{event.key}' is no fact of a case")
    of_vehicle = (EventKind.ANSWERED, EventKind.TAKEN_BACK, EventKind.PHOTO_ADDED)
    free = (EventKind.OPENED, EventKind.NOTED, EventKind.UNDONE, EventKind.COMPLAINED)
    if event.kind in free or (event.kind in of_vehicle and event.complaint is None):
        return
    if event.complaint not in {complaint.number for complaint in case.complaints}:
        raise ValueError(f"case {case.id} has no complaint {event.complaint}: {event.kind}")


def _apply(case: Case, event: Event) -> Case:
    match event.kind:
        case EventKind.OPENED | EventKind.CONCLUDED | EventKind.UNDONE:
            return case
        case EventKind.NOTED:
            return replace(case, facts={**case.facts, event.key: event.text})
        case EventKind.COMPLAINED:
            number = event.complaint or 1 + max((c.number for c in case.complaints), default=0)
            before = next((c for c in case.complaints if c.number == number), None)
            said = replace(before or Complaint(number, "", ""), symptom=event.key, panel=event.text)
            return _with_complaint(case, said)
        case EventKind.ANSWERED | EventKind.TAKEN_BACK if event.complaint is None:
            return replace(case, circumstances=_answered(case.circumstances, event))
        case EventKind.PHOTO_ADDED if event.complaint is None:
            return replace(case, photos=(*case.photos, (event.key, event.text)))
    for complaint in case.complaints:
        if complaint.number == event.complaint:
            return _with_complaint(case, _change(complaint, event))
    return case


def _change(complaint: Complaint, event: Event) -> Complaint:
    match event.kind:
        case EventKind.ANSWERED | EventKind.TAKEN_BACK:
            return replace(complaint, answers=_answered(complaint.answers, event))
        case EventKind.SET_ASIDE:
            return replace(complaint, set_aside=(*complaint.set_aside, event.key))
        case EventKind.PHOTO_ADDED:
            return replace(complaint, photos=(*complaint.photos, (event.key, event.text)))
        case EventKind.REMEDY_DONE:
            return replace(complaint, remedies_done=(*complaint.remedies_done, event.key))
        case EventKind.CHECKED_AGAIN:
            held = event.key == "held"
            closed = replace(complaint.outcome, held=held) if complaint.outcome else None
            return replace(complaint, held=held, outcome=closed)
        case EventKind.CLOSED:
            return replace(complaint, outcome=outcome_of(event.data))
        case EventKind.REOPENED:
            return replace(complaint, outcome=None, held=None)
    return complaint


def outcome_of(data: Mapping[str, Any]) -> Outcome:
    """An outcome from its fields; a field that a later program wrote is passed over."""
    known = {f.name: data[f.name] for f in fields(Outcome) if f.name in data}
    also = tuple(known.get("also_causes", ()))
    return Outcome(**{"cause": "", "confirmed_by": "", **known, "also_causes": also})


def outcome_data(outcome: Outcome) -> Mapping[str, Any]:
    """The fields of an outcome that say something, as a CLOSED event carries them."""
    said = {f.name: getattr(outcome, f.name) for f in fields(Outcome)}
    kept = ("cause", "confirmed_by")
    return {k: v for k, v in said.items() if k in kept or v not in ("", None, ())}


def _answered(answers: Answers, event: Event) -> Answers:
    rest = {check: a for check, a in answers.items() if check != event.key}
    return rest if event.answer is None else {**rest, event.key: event.answer}


def _with_complaint(case: Case, complaint: Complaint) -> Case:
    """The case with a complaint put in, or put in place of the one of the same number."""
    others = [c for c in case.complaints if c.number != complaint.number]
    return replace(case, complaints=tuple(sorted([*others, complaint], key=lambda c: c.number)))
