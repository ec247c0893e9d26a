"""A case is what its journal adds up to."""

from dataclasses import replace
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.logic.answers import UNKNOWN
from diagnose.records.case.journal import (
    Complaint,
    Event,
    EventKind,
    Outcome,
    fold,
    last_undoable,
    live,
    next_complaint,
    outcome_data,
    outcome_of,
)
from tests.records.journals import journals


def _journal(at: datetime, *said: dict) -> tuple[Event, ...]:
    return tuple(Event(number, at, **fields) for number, fields in enumerate(said, 1))


OPENED = {"kind": EventKind.OPENED}
LIFTS = {"kind": EventKind.COMPLAINED, "key": "edge_lifting", "text": "bonnet", "complaint": 1}
IN_GAP = {"kind": EventKind.ANSWERED, "key": "zone", "answer": "gap", "complaint": 1}
ON_FLAT = {"kind": EventKind.ANSWERED, "key": "zone", "answer": "flat", "complaint": 1}
TITLE = {"kind": EventKind.NOTED, "key": "title", "text": "Door return lifts"}
CLOSED = {
    "kind": EventKind.CLOSED,
    "complaint": 1,
    "data": {"cause": "laid_cold", "confirmed_by": "the log of the bay"},
}


def test_the_last_answer_counts(at: datetime) -> None:
    """An answer given again takes the place of the one before."""
    case = fold("c", _journal(at, OPENED, LIFTS, IN_GAP, ON_FLAT))

    assert case.complaint(1).answers == {"zone": "flat"}


def test_undo_brings_the_earlier_answer_back(at: datetime) -> None:
    """What was known before an answer is known again once it is undone."""
    undo = {"kind": EventKind.UNDONE, "undoes": 4}
    case = fold("c", _journal(at, OPENED, LIFTS, IN_GAP, ON_FLAT, undo))

    assert case.complaint(1).answers == {"zone": "gap"}


def test_an_answer_taken_back_is_as_never_asked(at: datetime) -> None:
    """Taken back differs from unknown: nothing is on file."""
    back = {"kind": EventKind.TAKEN_BACK, "key": "zone", "complaint": 1}
    unknown = {**IN_GAP, "answer": UNKNOWN}

    assert fold("c", _journal(at, OPENED, LIFTS, IN_GAP, back)).complaint(1).answers == {}
    assert fold("c", _journal(at, OPENED, LIFTS, unknown)).complaint(1).answers == {"zone": UNKNOWN}


def test_a_complaint_may_be_rather_another_symptom(at: datetime) -> None:
    """Said again under its number it keeps its answers; undone, the first word for it counts."""
    rather = {**LIFTS, "key": "bubbles"}
    undo = {"kind": EventKind.UNDONE, "undoes": 4}

    (now,) = fold("c", _journal(at, OPENED, LIFTS, IN_GAP, rather)).complaints
    (before,) = fold("c", _journal(at, OPENED, LIFTS, IN_GAP, rather, undo)).complaints
    assert (now.symptom, now.number, now.answers) == ("bubbles", 1, {"zone": "gap"})
    assert (before.symptom, before.answers) == ("edge_lifting", {"zone": "gap"})


def test_vehicle_and_place_are_kept_apart_and_known_together(at: datetime) -> None:
    """What holds of the whole vehicle is known at each complaint."""
    cast = {"kind": EventKind.ANSWERED, "key": "film_class", "answer": "cast_pvc"}
    case = fold("c", _journal(at, OPENED, cast, LIFTS, IN_GAP))

    assert case.circumstances == {"film_class": "cast_pvc"}
    assert case.answers(case.complaint(1)) == {"film_class": "cast_pvc", "zone": "gap"}


def test_what_speaks_of_an_undone_complaint_counts_for_nothing(at: datetime) -> None:
    """A case with a complaint taken away can still be read, whatever was said of it."""
    photo = {"kind": EventKind.PHOTO_ADDED, "key": "ab" * 32, "complaint": 1}
    case = fold("c", _journal(at, OPENED, LIFTS, photo, {"kind": EventKind.UNDONE, "undoes": 2}))

    assert case.complaints == ()


def test_a_complaint_that_was_backed_out_of_takes_no_number(at: datetime) -> None:
    """The next one is the first; but what still speaks of the old one slips to none."""
    undone = {"kind": EventKind.UNDONE, "undoes": 2}
    photo = {"kind": EventKind.PHOTO_ADDED, "key": "ab" * 32, "complaint": 1}

    assert next_complaint(_journal(at, OPENED, LIFTS, undone)) == 1
    assert next_complaint(_journal(at, OPENED, LIFTS, photo, undone)) == 2


def test_closing_and_reopening(at: datetime) -> None:
    """A case is closed while each complaint has an outcome."""
    second = {**LIFTS, "key": "bubbles", "complaint": 2}
    reopened = {"kind": EventKind.REOPENED, "complaint": 1}

    assert fold("c", _journal(at, OPENED, LIFTS, CLOSED)).closed
    assert not fold("c", _journal(at, OPENED, LIFTS, CLOSED, second)).closed
    assert not fold("c", _journal(at, OPENED, LIFTS, CLOSED, reopened)).closed
    assert not fold("c", _journal(at, OPENED)).closed


def test_an_outcome_of_a_later_program_can_be_read() -> None:
    """A field that is not known yet is passed over."""
    outcome = outcome_of({"cause": "laid_cold", "confirmed_by": "log", "weather": "frost"})

    assert outcome == Outcome("laid_cold", "log")


def test_an_outcome_reads_back_from_its_fields() -> None:
    """Only what says something is written, and nothing is lost by that."""
    outcome = Outcome("laid_cold", "log", ("gap_not_cleaned",), held=False, cost=0.0)

    assert outcome_of(outcome_data(outcome)) == outcome


@pytest.mark.parametrize(
    ("said", "number"),
    [
        ((OPENED,), None),
        ((OPENED, TITLE), 2),
        ((OPENED, LIFTS, IN_GAP, CLOSED), 3),
        ((OPENED, LIFTS, IN_GAP, {"kind": EventKind.UNDONE, "undoes": 3}), 2),
        ((OPENED, LIFTS, {"kind": EventKind.UNDONE, "undoes": 2}), None),
        ((OPENED, LIFTS, IN_GAP, {"kind": EventKind.SET_ASIDE, "key": "lot", "complaint": 1}), 4),
        ((OPENED, LIFTS, IN_GAP, {"kind": EventKind.TAKEN_BACK, "key": "zone", "complaint": 1}), 4),
    ],
)
def test_what_undo_takes_back_next(at: datetime, said: tuple, number: int | None) -> None:
    """Undo walks back through what was entered, past what it cannot take back."""
    event = last_undoable(_journal(at, *said))

    assert (event.number if event else None) == number


@given(journals())
def test_folding_is_total_and_ignores_the_clock(journal: tuple[Event, ...]) -> None:
    """Any journal adds up to a case, and moments play no part in it."""
    shifted = [replace(event, at=journal[0].at) for event in journal]

    assert fold("c", shifted) == fold("c", journal)


@given(journals(), st.data())
def test_undoing_an_event_is_as_if_it_never_was(
    journal: tuple[Event, ...], data: st.DataObject
) -> None:
    """Undo gives exactly the case without the event."""
    number = data.draw(st.integers(1, len(journal)))
    undo = Event(len(journal) + 1, journal[0].at, EventKind.UNDONE, undoes=number)
    without = [event for event in live(journal) if event.number != number]

    assert fold("c", [*journal, undo]) == fold("c", without)


@given(journals(), st.data())
def test_what_was_known_at_a_moment_does_not_change(
    journal: tuple[Event, ...], data: st.DataObject
) -> None:
    """The start of a journal adds up to the same, whatever comes after, unless that undoes it."""
    end = data.draw(st.integers(1, len(journal)))
    start = journal[:end]
    undone = {event.undoes for event in journal[end:]}
    case = fold("c", start)
    for event in journal[end:]:
        if event.kind is EventKind.NOTED and not undone & {e.number for e in start}:
            case = fold("c", [*start, event])

            assert case.complaints == fold("c", start).complaints


@given(journals())
def test_each_complaint_has_its_own_number(journal: tuple[Event, ...]) -> None:
    """Complaints stand in the order of their numbers, each once."""
    complaints: tuple[Complaint, ...] = fold("c", journal).complaints

    assert [c.number for c in complaints] == sorted({c.number for c in complaints})
