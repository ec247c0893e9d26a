"""What a list of cases shows, kept beside the journal so that thousands are listed at once."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from diagnose.knowledge.logic.answers import known
from diagnose.knowledge.model.conditions import Values
from diagnose.records.case.journal import FACTS, Case, Complaint, Event, EventKind, fold, live
from diagnose.records.store.rows import DamagedRow, digest, values_from_json, values_to_json

ASKING, CONCLUDED, CLOSED = "asking", "concluded", "closed"


@dataclass(frozen=True, slots=True)
class Filter:
    """Which cases; what is empty or None does not restrict. `month` is like 2026-03."""

    symptom: str = ""
    panel: str = ""
    cause: str = ""
    film: str = ""
    lot: str = ""
    installer: str = ""
    month: str = ""
    closed: bool | None = None
    text: str = ""


@dataclass(frozen=True, slots=True)
class CaseSummary:
    """One line of a list. `complaints` are pairs of symptom and panel; `opened` is ISO 8601."""

    id: str
    opened: str
    month: str
    standing: str
    title: str
    vehicle: str
    film: str
    lot: str
    installer: str
    complaints: tuple[tuple[str, str], ...] = ()
    causes: tuple[str, ...] = ()

    @property
    def closed(self) -> bool:
        """Whether every complaint has an outcome."""
        return self.standing == CLOSED


@dataclass(frozen=True, slots=True)
class ClosedComplaint:
    """One complaint with its confirmed cause, as statistics and learning take it.

    `month` is the case's, `closed` the ISO date of the outcome; `concluded` and `probability` are
    the tool's last leading cause before it ('' and None where it was not asked).
    """

    case_id: str
    number: int
    month: str
    symptom: str
    panel: str
    film: str
    lot: str
    installer: str
    cause: str
    closed: str
    remedy: str = ""
    payer: str = ""
    held: bool | None = None
    cost: float | None = None
    concluded: str = ""
    probability: float | None = None


@dataclass(frozen=True, slots=True)
class KnownComplaint:
    """A complaint with its confirmed cause and all that was answered and can be evidence.

    `values` is None in records of an earlier version, in which they stand in the journal only.
    """

    case_id: str
    number: int
    symptom: str
    cause: str
    values: Values | None


@dataclass(frozen=True, slots=True)
class _Standing:
    """What the journal tells beyond the case's state."""

    closed: dict[int, str] = field(default_factory=dict)
    conclusions: dict[int, Event] = field(default_factory=dict)
    asked_since: bool = False


def write(connection: sqlite3.Connection, case_id: str, journal: Sequence[Event]) -> Case:
    """Bring the summary of a case up to its journal; within the caller's transaction."""
    case = fold(case_id, journal)
    standing = _standing(journal)
    changed = connection.execute("SELECT max(row) FROM events WHERE case_id = ?", (case_id,))
    values = (case_id, changed.fetchone()[0], *_line(case, journal, standing))
    _replace(connection, "summaries", [values])
    connection.execute("DELETE FROM complaints WHERE case_id = ?", (case_id,))
    _replace(connection, "complaints", [_part(case, c, standing) for c in case.complaints])
    connection.execute("DELETE FROM known WHERE case_id = ?", (case_id,))
    closed = [c for c in case.complaints if c.outcome]
    told = [(case.id, c.number, values_to_json(known(case.answers(c)))) for c in closed]
    _replace(connection, "known", told)
    return case


def _replace(connection: sqlite3.Connection, table: str, rows: Sequence[tuple[Any, ...]]) -> None:
    for row in rows:
        marks = ", ".join("?" * (len(row) + 1))
        statement = f"REPLACE INTO {table} VALUES ({marks})"  # noqa: S608 (a fixed name)
        connection.execute(statement, (*row, digest(*row)))


def _standing(journal: Sequence[Event]) -> _Standing:
    closed: dict[int, str] = {}
    conclusions: dict[int, Event] = {}
    asked_since = False
    for event in live(journal):
        match event.kind:
            case EventKind.CONCLUDED:
                conclusions[event.complaint or 0] = event
                asked_since = False
            case EventKind.CLOSED:
                closed[event.complaint or 0] = event.at.date().isoformat()
            case (
                EventKind.COMPLAINED
                | EventKind.ANSWERED
                | EventKind.TAKEN_BACK
                | EventKind.SET_ASIDE
            ):
                asked_since = True
    return _Standing(closed, conclusions, asked_since)


def _line(case: Case, journal: Sequence[Event], standing: _Standing) -> tuple[str, ...]:
    opened = journal[0].at
    told = {fact: case.facts.get(fact, "") for fact in FACTS}
    word = ASKING if standing.asked_since or not standing.conclusions else CONCLUDED
    return (
        opened.isoformat(),
        _month(told["seen_on"]) or f"{opened:%Y-%m}",
        CLOSED if case.closed else word,
        *(told[fact] for fact in ("title", "vehicle", "film", "lot", "installer")),
        json.dumps([_brief(complaint) for complaint in case.complaints], ensure_ascii=False),
        " ".join(_searchable(case, told)).casefold(),
    )


def _brief(complaint: Complaint) -> tuple[str, str, str]:
    cause = complaint.outcome.cause if complaint.outcome else ""
    return complaint.symptom, complaint.panel, cause


def _month(day: str) -> str:
    try:
        return f"{date.fromisoformat(day):%Y-%m}"
    except ValueError:
        return ""


def _searchable(case: Case, told: dict[str, str]) -> Iterator[str]:
    yield case.id
    yield from told.values()
    yield from (caption for _, caption in case.photos)
    for complaint in case.complaints:
        yield from (complaint.symptom, complaint.panel, *complaint.remedies_done)
        yield from (caption for _, caption in complaint.photos)
        outcome = complaint.outcome
        if outcome:
            yield from (outcome.cause, *outcome.also_causes, outcome.confirmed_by, outcome.note)


def _part(case: Case, complaint: Complaint, standing: _Standing) -> tuple[Any, ...]:
    outcome = complaint.outcome
    said = standing.conclusions.get(complaint.number)
    data = said.data if said else {}
    return (
        case.id,
        complaint.number,
        complaint.symptom,
        complaint.panel,
        outcome.cause if outcome else "",
        standing.closed.get(complaint.number, "") if outcome else "",
        outcome.remedy if outcome else "",
        outcome.payer if outcome else "",
        _yes_no(outcome.held if outcome and outcome.held is not None else complaint.held),
        _number(outcome.cost) if outcome else None,
        str(data.get("cause", "")),
        _number(data.get("probability")),
    )


def _yes_no(value: bool | None) -> int | None:
    return None if value is None else int(value)


def _number(value: Any) -> float | None:
    return float(value) if isinstance(value, int | float) else None


_EQUAL = ("film", "lot", "installer", "month")
_OF_COMPLAINT = ("symptom", "panel", "cause")


def _where(wanted: Filter) -> tuple[str, list[Any]]:
    """The condition on a case, and its values."""
    parts = ["1"]
    values: list[Any] = []
    for name in _EQUAL:
        if getattr(wanted, name):
            parts.append(f"s.{name} = ? COLLATE NOCASE")
            values.append(getattr(wanted, name))
    of_complaint = [name for name in _OF_COMPLAINT if getattr(wanted, name)]
    if of_complaint:
        tests = " AND ".join(f"{name} = ?" for name in of_complaint)
        parts.append(f"s.case_id IN (SELECT case_id FROM complaints WHERE {tests})")  # noqa: S608
        values += [getattr(wanted, name) for name in of_complaint]
    if wanted.closed is not None:
        parts.append(f"s.standing {'=' if wanted.closed else '<>'} '{CLOSED}'")
    for word in wanted.text.casefold().split():
        parts.append(
            "(instr(s.search, ?) OR s.case_id IN"
            " (SELECT case_id FROM customers WHERE instr(folded, ?)))"
        )
        values += [word, word]
    return " AND ".join(parts), values


def read(connection: sqlite3.Connection, wanted: Filter) -> tuple[CaseSummary, ...]:
    """The cases of a filter, the last changed first; raises DamagedRow."""
    where, values = _where(wanted)
    lines = connection.execute(
        f"SELECT s.* FROM summaries s WHERE {where} ORDER BY s.changed DESC",  # noqa: S608
        values,
    )
    return tuple(_summary(_sound(line)) for line in lines)


def values_of(connection: sqlite3.Connection, fact: str) -> tuple[str, ...]:
    """What is on file for a fact of the list: film, lot or installer."""
    assert fact in _EQUAL
    rows = connection.execute(f"SELECT DISTINCT {fact} FROM summaries ORDER BY {fact}")  # noqa: S608
    return tuple(row[0] for row in rows if row[0])


def _sound(row: tuple[Any, ...]) -> tuple[Any, ...]:
    if digest(*row[:-1]) != row[-1]:
        raise DamagedRow(f"case {row[0]}, its line in the list")
    return row


def faults(connection: sqlite3.Connection) -> Iterator[str]:
    """Each row of the list whose content does not fit its digest, one sentence each."""
    for table in ("summaries", "complaints", "known"):
        for row in connection.execute(f"SELECT * FROM {table}"):  # noqa: S608 (a fixed name)
            try:
                _sound(row)
            except DamagedRow as error:
                yield f"{error}: its content does not fit its digest"


def _summary(line: tuple[Any, ...]) -> CaseSummary:
    case_id, _, opened, month, standing, title, vehicle, film, lot, installer, parts, _, _ = line
    told = json.loads(parts)
    complaints = tuple((symptom, panel) for symptom, panel, _ in told)
    causes = tuple(cause for _, _, cause in told if cause)
    facts = (title, vehicle, film, lot, installer)
    return CaseSummary(case_id, opened, month, standing, *facts, complaints, causes)


def outcomes(connection: sqlite3.Connection, wanted: Filter) -> tuple[ClosedComplaint, ...]:
    """Every complaint that has an outcome, of the cases of a filter; raises DamagedRow."""
    where, values = _where(wanted)
    rows = connection.execute(
        "SELECT s.month, s.film, s.lot, s.installer, c.* FROM complaints c"  # noqa: S608
        f" JOIN summaries s USING (case_id) WHERE c.cause <> '' AND {where}"
        " ORDER BY c.closed, c.case_id, c.number",
        values,
    )
    return tuple(_closed(row[:4], _sound(row[4:])) for row in rows)


def _closed(of_case: tuple[Any, ...], row: tuple[Any, ...]) -> ClosedComplaint:
    month, film, lot, installer = of_case
    case_id, number, symptom, panel, cause, closed, remedy, payer, held, cost, said, sure, _ = row
    return ClosedComplaint(
        case_id, number, month, symptom, panel, film, lot, installer, cause, closed, remedy,
        payer, None if held is None else bool(held), cost, said, sure,
    )  # fmt: skip


def known_complaints(connection: sqlite3.Connection, wanted: Filter) -> tuple[KnownComplaint, ...]:
    """What was answered of every complaint that has an outcome; raises DamagedRow."""
    where, values = _where(wanted)
    rows = connection.execute(
        "SELECT c.case_id, c.number, c.symptom, c.cause, k.answers, k.digest FROM complaints c"  # noqa: S608
        " JOIN summaries s USING (case_id) LEFT JOIN known k USING (case_id, number)"
        f" WHERE c.cause <> '' AND {where} ORDER BY c.case_id, c.number",
        values,
    )
    return tuple(_known(*row) for row in rows)


def _known(
    case_id: str, number: int, symptom: str, cause: str, told: str | None, of_content: str
) -> KnownComplaint:
    if told is None:
        return KnownComplaint(case_id, number, symptom, cause, None)
    _sound((case_id, number, told, of_content))
    return KnownComplaint(case_id, number, symptom, cause, values_from_json(told))
