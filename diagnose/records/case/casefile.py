"""A case as a YAML file: read with every problem at its place, and as a journal of events."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from diagnose.knowledge import marked
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer, BadAnswer, digits, parse, parse_all
from diagnose.knowledge.logic.dates import DATES, days_of
from diagnose.knowledge.marked import Document, Problem, Spot
from diagnose.knowledge.near import near
from diagnose.knowledge.panels import PANELS
from diagnose.records.case.journal import (
    FACTS,
    UNLISTED,
    Case,
    Complaint,
    Customer,
    Event,
    Kind,
    Outcome,
    fold,
    outcome_data,
)
from diagnose.records.case.shapes import Path, Shapes

GRADES = ("plain", "tricky", "treacherous")

_ID = re.compile(r"[a-z0-9][a-z0-9_-]{0,99}")
_TOP = ("case", *FACTS, "customer", "circumstances", "photos", "complaints", "journal")
_COMPLAINT = (
    "number",
    "symptom",
    "panel",
    "answers",
    "set_aside",
    "photos",
    "remedies_done",
    "held",
    "outcome",
)
_OUTCOME = (
    "cause",
    "also_causes",
    "confirmed_by",
    "remedy",
    "held",
    "payer",
    "cost",
    "note",
)
_EVENT = ("number", "at", "kind", "key", "text", "answer", "complaint", "undoes", "data")


@dataclass(frozen=True, slots=True)
class CaseFile:
    """What one file says. Without a journal `events` is empty."""

    case: Case
    events: tuple[Event, ...] = ()
    customer: Customer | None = None


def read_case(name: str, text: str, base: Base) -> tuple[CaseFile | None, list[Problem]]:
    """Read a file given by name and text; all its problems, sorted by place.

    There is no CaseFile where a problem is an error; a warning alone does not stand in the way.
    """
    document, problems = marked.read(name, text)
    if problems:
        return None, sorted(problems)
    reader = _Reader(document, base)
    case_file = reader.case_file()
    problems = sorted(reader.problems)
    broken = any(problem.severity == "error" for problem in problems)
    return (None if broken else case_file), problems


def as_events(case_file: CaseFile, at: datetime) -> tuple[Event, ...]:
    """The journal of a file, or events at one given time that add up to its case."""
    if case_file.events:
        return case_file.events
    said = [{"kind": Kind.OPENED}, *_of_vehicle(case_file.case)]
    for complaint in case_file.case.complaints:
        said += [{**event, "complaint": complaint.number} for event in _of_complaint(complaint)]
    return tuple(Event(number, at, **event) for number, event in enumerate(said, 1))


def _of_vehicle(case: Case) -> Iterator[dict[str, Any]]:
    for fact, text in case.facts.items():
        yield {"kind": Kind.NOTED, "key": fact, "text": text}
    for photo, caption in case.photos:
        yield {"kind": Kind.PHOTO_ADDED, "key": photo, "text": caption}
    for check, answer in case.circumstances.items():
        yield {"kind": Kind.ANSWERED, "key": check, "answer": answer}


def _of_complaint(complaint: Complaint) -> Iterator[dict[str, Any]]:
    yield {"kind": Kind.COMPLAINED, "key": complaint.symptom, "text": complaint.panel}
    for check, answer in complaint.answers.items():
        yield {"kind": Kind.ANSWERED, "key": check, "answer": answer}
    for check in complaint.set_aside:
        yield {"kind": Kind.SET_ASIDE, "key": check}
    for photo, caption in complaint.photos:
        yield {"kind": Kind.PHOTO_ADDED, "key": photo, "text": caption}
    for remedy in complaint.remedies_done:
        yield {"kind": Kind.REMEDY_DONE, "key": remedy}
    if complaint.held is not None:
        yield {"kind": Kind.CHECKED_AGAIN, "key": "held" if complaint.held else "not_held"}
    if complaint.outcome:
        yield {"kind": Kind.CLOSED, "data": outcome_data(complaint.outcome)}


class _Reader(Shapes):
    """Reads the parts of a case."""

    def __init__(self, document: Document, base: Base) -> None:
        super().__init__(document)
        self.base = base

    def case_file(self) -> CaseFile:
        if self.document.data is None:
            self.problems.append(Problem(Spot(self.document.name, 1, 1), "the file is empty"))
            return CaseFile(Case(""))
        data = self.mapping((), self.document.data, _TOP, ("case", "complaints"))
        case = self.case(data)
        events = tuple(self.events(data["journal"])) if "journal" in data else ()
        if events and not self.problems:
            case = self.agreed(case, events)
        customer = self.customer(data["customer"]) if "customer" in data else None
        return CaseFile(case, events, customer)

    def case(self, data: dict[str, Any]) -> Case:
        return Case(
            self.id(data.get("case", "missing")),
            dict(self.facts(data)),
            dict(self.answers(("circumstances",), data.get("circumstances", {}), "vehicle")),
            tuple(self.complaints(data.get("complaints", []))),
            self.photos(("photos",), data.get("photos", [])),
        )

    def id(self, value: Any) -> str:
        word = self.text(("case",), value)
        if word and not _ID.fullmatch(word):
            self.wrong(("case",), f"'{word}' is no id: lower case letters, digits, - and _")
        return word

    def facts(self, data: dict[str, Any]) -> Iterator[tuple[str, str]]:
        for fact in FACTS:
            if fact in data:
                yield fact, self.fact((fact,), fact, data[fact])

    def fact(self, path: Path, fact: str, value: Any) -> str:
        if fact == "grade":
            return self.one_of(path, value, GRADES, "grade")
        text = self.text(path, value)
        if fact in DATES and text and not days_of(text):
            self.wrong(path, f"'{text}' is no date such as 2026-03-31", "warning")
        return text

    def answers(self, path: Path, value: Any, scope: str) -> Iterator[tuple[str, Answer]]:
        for check, said in self.mapping(path, value).items():
            answer = self.answer((*path, check), check, said)
            if answer is not None:
                self.in_scope((*path, check), check, scope)
                yield check, answer

    def in_scope(self, path: Path, check: str, scope: str) -> None:
        if self.base.checks[check].scope != scope:
            of = "of the whole vehicle: put it under 'circumstances'"
            at = "of one place: put it under the 'answers' of a complaint"
            self.wrong(path, f"'{check}' is {at if scope == 'vehicle' else of}", "warning")

    def answer(self, path: Path, check: str, said: Any) -> Answer | None:
        if check not in self.base.checks:
            self.wrong(path, f"'{check}' is no check{near(check, set(self.base.checks))}")
            return None
        its = said if isinstance(said, list) and said else [said]
        if any(item is None or isinstance(item, bool | list | dict) for item in its):
            self.wrong(path, f"'{check}' needs an answer, a list of them, a number, or unknown")
            return None
        texts = [item if isinstance(item, str) else digits(item) for item in its]
        try:
            if isinstance(said, list):
                return parse_all(self.base.checks[check], texts)
            return parse(self.base.checks[check], texts[0])
        except BadAnswer as error:
            self.wrong(path, str(error))
            return None

    def photos(self, path: Path, value: Any) -> tuple[tuple[str, str], ...]:
        found = []
        for at, item in self.items(path, value):
            data = self.mapping(at, item, ("photo", "caption"), ("photo",))
            photo = self.text((*at, "photo"), data.get("photo", ""))
            if not re.fullmatch(r"[0-9a-f]{64}", photo):
                self.wrong((*at, "photo"), f"'{photo}' is no photo's content hash (64 hex digits)")
            found.append((photo, self.text((*at, "caption"), data.get("caption", ""))))
        return tuple(found)

    def complaints(self, value: Any) -> Iterator[Complaint]:
        numbers: set[int] = set()
        for place, (path, item) in enumerate(self.items(("complaints",), value), 1):
            complaint = self.complaint(path, item, place)
            if complaint.number in numbers:
                self.wrong(path, f"there is a complaint {complaint.number} already")
            numbers.add(complaint.number)
            yield complaint

    def complaint(self, path: Path, item: Any, place: int) -> Complaint:
        data = self.mapping(path, item, _COMPLAINT, ("symptom", "panel"))
        return Complaint(
            self.whole((*path, "number"), data.get("number", place)) or place,
            self.symptom((*path, "symptom"), data.get("symptom", "")),
            self.panel((*path, "panel"), data.get("panel", "")),
            dict(self.answers((*path, "answers"), data.get("answers", {}), "complaint")),
            self.ids((*path, "set_aside"), data.get("set_aside", []), self.base.checks, "check"),
            self.photos((*path, "photos"), data.get("photos", [])),
            self.ids(
                (*path, "remedies_done"),
                data.get("remedies_done", []),
                self.base.remedies,
                "remedy",
            ),
            self.yes_no((*path, "held"), data.get("held")),
            self.outcome((*path, "outcome"), data["outcome"])
            if data.get("outcome") is not None
            else None,
        )

    def symptom(self, path: Path, value: Any) -> str:
        return self.one_of(path, value, self.base.symptoms, "symptom")

    def panel(self, path: Path, value: Any) -> str:
        return self.one_of(path, value, PANELS, "panel")

    def outcome(self, path: Path, value: Any) -> Outcome:
        data = self.mapping(path, value, _OUTCOME, ("cause", "confirmed_by"))
        causes = (*self.base.causes, UNLISTED)
        return Outcome(
            self.one_of((*path, "cause"), data.get("cause", ""), causes, "cause"),
            self.text((*path, "confirmed_by"), data.get("confirmed_by", "")),
            self.ids((*path, "also_causes"), data.get("also_causes", []), causes, "cause"),
            self.one_of((*path, "remedy"), data.get("remedy", ""), self.base.remedies, "remedy"),
            self.yes_no((*path, "held"), data.get("held")),
            self.one_of((*path, "payer"), data.get("payer", ""), self.base.payers, "payer"),
            self.cost((*path, "cost"), data.get("cost")),
            self.text((*path, "note"), data.get("note", "")),
        )

    def cost(self, path: Path, value: Any) -> float | None:
        if value is None or (isinstance(value, int | float) and not isinstance(value, bool)):
            return value
        self.wrong(path, "'cost' must be a number")
        return None

    def customer(self, value: Any) -> Customer:
        data = self.mapping(("customer",), value, ("name", "plate"), ("name",))
        name = self.text(("customer", "name"), data.get("name", ""))
        return Customer(name, self.text(("customer", "plate"), data.get("plate", "")))

    # The journal

    def agreed(self, case: Case, events: tuple[Event, ...]) -> Case:
        """The case as the journal gives it, which must be what the file says above it."""
        told = fold(case.id, events)
        parts = ("facts", "circumstances", "complaints", "photos")
        differing = [part for part in parts if getattr(told, part) != getattr(case, part)]
        if differing:
            self.wrong(
                ("journal",),
                f"the journal does not add up to the {' and '.join(differing)} that stand above it:"
                " take 'journal' out to keep what stands above",
            )
        return told

    def events(self, value: Any) -> Iterator[Event]:
        for number, (path, item) in enumerate(self.items(("journal",), value), 1):
            data = self.mapping(path, item, _EVENT, ("at", "kind"))
            kind = self.one_of((*path, "kind"), data.get("kind", ""), tuple(Kind), "kind of event")
            at = self.moment((*path, "at"), data.get("at", ""))
            if at and kind in tuple(Kind):
                yield self.event(path, data, number, at, Kind(kind))

    def event(
        self, path: Path, data: dict[str, Any], number: int, at: datetime, kind: Kind
    ) -> Event:
        if data.get("number", number) != number:
            self.wrong((*path, "number"), f"this is event {number} of the journal")
        key = self.text((*path, "key"), data.get("key", ""))
        text = self.text((*path, "text"), data.get("text", ""))
        self.fits(path, kind, key, text, data)
        said = data.get("answer")
        numbers = {
            name: self.whole((*path, name), data[name]) if name in data else None
            for name in ("complaint", "undoes")
        }
        return Event(
            number,
            at,
            kind,
            key,
            text,
            None if said is None else self.answer((*path, "answer"), key, said),
            **numbers,
            data=self.mapping((*path, "data"), data.get("data", {})),
        )

    def fits(self, path: Path, kind: Kind, key: str, text: str, data: dict[str, Any]) -> None:
        """Note what an event of a kind names that is not there."""
        at = (*path, "key")
        match kind:
            case Kind.NOTED:
                self.one_of(at, key, FACTS, "fact of a case")
            case Kind.COMPLAINED:
                self.symptom(at, key)
                self.panel((*path, "text"), text)
            case Kind.TAKEN_BACK | Kind.ANSWERED | Kind.SET_ASIDE:
                self.one_of(at, key, self.base.checks, "check")
            case Kind.REMEDY_DONE:
                self.one_of(at, key, self.base.remedies, "remedy")
            case Kind.CHECKED_AGAIN:
                self.one_of(at, key, ("held", "not_held"), "result of a second look")
            case Kind.CLOSED:
                self.outcome((*path, "data"), data.get("data", {}))

    def moment(self, path: Path, value: Any) -> datetime | None:
        text = self.text(path, value)
        try:
            return datetime.fromisoformat(text)
        except ValueError:
            self.wrong(path, f"'{text}' is no time such as 2026-03-31T14:05:00+00:00")
            return None
