"""A case as a file: read with every problem at its place, written the same each time."""

from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN
from diagnose.knowledge.reading.load import read
from diagnose.measures.quantity import Quantity
from diagnose.records.case.casefile import CaseFile, as_events, read_case
from diagnose.records.case.casewrite import write_case
from diagnose.records.case.journal import Case, Complaint, Customer, Event, EventKind, Outcome, fold
from tests.examples import examples
from tests.records.journals import PHOTO, answers, journals, texts

ROOT = Path(__file__).parents[2]

DOOR = """\
case: door_return
title: Door return lifts
grade: plain
vehicle: van
film: film A
lot: L-2207
installer: Harbour Lane Wraps
seen_on: '2026-03-01'
circumstances:
  film_class: cast_pvc
  age_months: 4
complaints:
  - symptom: edge_lifting
    panel: front_door_left
    answers:
      zone: unknown
      panel_temp_c: 14..16.5
    outcome:
      cause: gap_not_cleaned
      confirmed_by: 'white cloth: grey after one wipe'
      remedy: clean_and_relay
      held: true
      payer: installer
      cost: 60
lesson: Clean the gap first.
"""


def _read(text: str, base: Base) -> CaseFile:
    case_file, problems = read_case("door.yaml", text, base)
    assert case_file is not None, problems
    return case_file


def test_a_file_says_what_it_says(base: Base) -> None:
    """Every part of a file is found again in the case."""
    case = _read(DOOR, base).case

    assert case.id == "door_return"
    assert case.facts["lot"] == "L-2207"
    assert case.facts["lesson"] == "Clean the gap first."
    assert case.circumstances == {"film_class": "cast_pvc", "age_months": Quantity(4, 4)}
    assert case.complaints == (
        Complaint(
            1,
            "edge_lifting",
            "front_door_left",
            {"zone": UNKNOWN, "panel_temp_c": Quantity(14, 16.5)},
            outcome=Outcome(
                "gap_not_cleaned",
                "white cloth: grey after one wipe",
                (),
                "clean_and_relay",
                True,
                "installer",
                60,
            ),
        ),
    )


def test_a_file_in_the_written_form_comes_back_byte_for_byte(base: Base) -> None:
    """Reading and writing changes nothing, not even a quote."""
    assert write_case(_read(DOOR, base)) == DOOR


@pytest.mark.parametrize("said", ["15 ± 1", "14..16", "14 to 16 °C", "57.2..60.8 °F"])
def test_ways_to_say_a_range(base: Base, said: str) -> None:
    """A range may be written as people write it, in either unit."""
    text = DOOR.replace("14..16.5", said)
    value = _read(text, base).case.complaints[0].answers["panel_temp_c"]

    assert isinstance(value, Quantity)
    assert (value.low, value.high) == pytest.approx((14, 16))


PROBLEMS = {
    "symptom": ("edge_lifting", "edge_liftin", 13, 5, "did you mean edge_lifting?"),
    "panel": ("front_door_left", "front_dor_left", 14, 5, "did you mean front_door_left?"),
    "check": ("zone: unknown", "zon: unknown", 16, 7, "'zon' is no check (did you mean zone?)"),
    "answer": ("film_class: cast_pvc", "film_class: cast_pv", 10, 3, "did you mean cast_pvc?"),
    "number": ("14..16.5", "warm", 17, 7, "panel_temp_c"),
    "range": ("14..16.5", "300", 17, 7, "lies outside -20 to 120 °C"),
    "cause": ("cause: gap_not_cleaned", "cause: gap_clean", 19, 7, "did you mean gap_not"),
    "remedy": ("remedy: clean_and_relay", "remedy: relay", 21, 7, "is no remedy"),
    "payer": ("payer: installer", "payer: instaler", 23, 7, "did you mean installer?"),
    "held": ("held: true", "held: yes", 22, 7, "must be true or false"),
    "cost": ("cost: 60", "cost: sixty", 24, 7, "must be a number"),
    "grade": ("grade: plain", "grade: plane", 3, 1, "did you mean plain?"),
    "fact": ("lot: L-2207", "lot: 2207", 6, 1, "put it in quotes"),
    "empty": ("lot: L-2207", "lot:", 6, 1, "'lot' has no value"),
    "key": ("film: film A", "flim: film A", 5, 1, "did you mean film?"),
    "id": ("case: door_return", "case: Door return", 1, 1, "is no id"),
    "missing": ("    panel: front_door_left\n", "", 13, 5, "'panel' is missing"),
    "proof": ("confirmed_by: 'white cloth", "proof: 'white cloth", 18, 5, "'confirmed_by'"),
    "shape": ("  film_class: cast_pvc\n  age_months: 4\n", "  - 4\n", 9, 1, "keys with values"),
    "list": ("complaints:\n  - symptom", "complaints:\n    symptom", 12, 1, "must be a list"),
    "bare": ("zone: unknown", "zone:", 16, 7, "needs an answer"),
    "boolean": ("zone: unknown", "zone: true", 16, 7, "needs an answer"),
}  # fmt: skip


@pytest.mark.parametrize("name", PROBLEMS)
def test_a_problem_is_shown_at_its_place(base: Base, name: str) -> None:
    """Each fault gets file, line, column, and the nearest known word where there is one."""
    old, new, line, column, sentence = PROBLEMS[name]
    assert DOOR.count(old) == 1
    case_file, problems = read_case("door.yaml", DOOR.replace(old, new), base)

    assert case_file is None
    assert any(
        str(problem).startswith(f"door.yaml:{line}:{column}: ") and sentence in problem.sentence
        for problem in problems
    ), [str(problem) for problem in problems]


def test_all_problems_are_told_at_once(base: Base) -> None:
    """Someone who mends a file mends it once."""
    text = DOOR.replace("zone:", "zon:").replace("held: true", "held: yes").replace("film:", "flm:")
    _, problems = read_case("door.yaml", text, base)

    assert [problem.spot.line for problem in problems] == [5, 16, 22]


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("seen_on: '2026-03-01'", "seen_on: early March", "is no date"),
        ("      zone: unknown\n", "      film_class: cast_pvc\n", "of the whole vehicle"),
    ],
)
def test_a_warning_does_not_stand_in_the_way(base: Base, old: str, new: str, sentence: str) -> None:
    """What is odd but can be read is read, and said."""
    case_file, problems = read_case("door.yaml", DOOR.replace(old, new), base)

    assert case_file is not None
    assert [p.severity for p in problems] == ["warning"]
    assert sentence in problems[0].sentence


@pytest.mark.parametrize("text", ["", "- 1\n", "a: [", "x: &a 1\ny: *a\n", "case: c\ncase: d\n"])
def test_what_is_no_case_is_refused_with_a_sentence(base: Base, text: str) -> None:
    """Whatever a file holds, it is either a case or problems."""
    case_file, problems = read_case("odd.yaml", text, base)

    assert case_file is None
    assert problems


def test_a_file_without_a_journal_becomes_events(base: Base, at: datetime) -> None:
    """The events all have the given moment and add up to the case."""
    case_file = _read(DOOR, base)
    journal = as_events(case_file, at)

    assert {event.at for event in journal} == {at}
    assert [event.number for event in journal] == list(range(1, len(journal) + 1))
    assert fold("door_return", journal) == case_file.case


def test_a_stored_journal_is_kept_as_it_is(base: Base, at: datetime) -> None:
    """A file with a journal keeps its moments."""
    case_file = _read(DOOR, base)
    with_journal = CaseFile(case_file.case, as_events(case_file, at))
    again = _read(write_case(with_journal), base)

    assert again == with_journal
    assert as_events(again, datetime(2030, 1, 1)) == with_journal.events


def test_a_file_edited_beside_its_journal_says_so(base: Base, at: datetime) -> None:
    """What stands above and the journal must agree; the file says how to keep the edit."""
    case_file = _read(DOOR, base)
    text = write_case(CaseFile(case_file.case, as_events(case_file, at)))
    _, problems = read_case("door.yaml", text.replace("lot: L-2207", "lot: L-2208"), base)

    assert len(problems) == 1
    assert "take 'journal' out" in problems[0].sentence


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("kind: opened", "kind: opend", "did you mean opened?"),
        ("kind: opened", "kind: opened, number: 7", "this is event 1"),
        ("at: '2026-03-02T08:30:00+00:00', kind: opened", "at: noon, kind: opened", "is no time"),
        ("complaint: 1, data", "complaint: one, data", "whole number"),
        ("key: zone", "key: zoon", "did you mean zone?"),
    ],
)
def test_a_problem_within_a_journal(
    base: Base, at: datetime, old: str, new: str, sentence: str
) -> None:
    """The journal is checked like the rest."""
    case_file = _read(DOOR, base)
    text = write_case(CaseFile(case_file.case, as_events(case_file, at)))
    assert old in text
    _, problems = read_case("door.yaml", text.replace(old, new, 1), base)

    assert any(sentence in problem.sentence for problem in problems), problems


def test_a_customer_stands_in_a_file_only_where_asked(base: Base) -> None:
    """Name and plate come back with the file that has them."""
    case_file = CaseFile(_read(DOOR, base).case, customer=Customer("Ann Example", "PA 12"))

    assert _read(write_case(case_file), base) == case_file
    assert "customer" not in write_case(CaseFile(case_file.case))


def test_a_journal_must_be_whole_to_be_written(at: datetime) -> None:
    """A journal with a gap is never written as if it had none."""
    with pytest.raises(ValueError, match="event 2"):
        write_case(CaseFile(Case("c"), (Event(2, at, EventKind.OPENED),)))


@settings(max_examples=examples(150))
@given(journals())
def test_any_journal_comes_back_exactly(base: Base, journal: tuple[Event, ...]) -> None:
    """Written and read, a case is equal, journal and all, and gives the same bytes again."""
    case_file = CaseFile(fold("c", journal), journal)
    text = write_case(case_file)
    again, problems = read_case("c.yaml", text, base)

    assert [p for p in problems if p.severity == "error"] == []
    assert again == case_file
    assert write_case(again) == text


@settings(max_examples=examples(80))
@given(
    st.dictionaries(st.sampled_from(["title", "lot", "remark", "lesson", "place"]), texts),
    answers("zone"),
    answers("panel_temp_c"),
    texts,
)
def test_any_case_comes_back_exactly(base: Base, facts, zone, warmth, caption) -> None:
    """A case without a journal is equal after writing and reading."""
    complaint = Complaint(3, "bubbles", "roof", {"zone": zone, "panel_temp_c": warmth})
    case = Case("c", facts, {}, (complaint,), ((PHOTO, caption),))
    again, problems = read_case("c.yaml", write_case(CaseFile(case)), base)

    assert problems == []
    assert again == CaseFile(case)


@settings(max_examples=examples(200))
@given(st.text(st.sampled_from("case: []{}-\n 1a'\"&*!|\x00\t"), max_size=60))
def test_no_text_breaks_the_reading(base: Base, text: str) -> None:
    """Any text is a case or problems, never a crash."""
    case_file, problems = read_case("odd.yaml", text, base)

    assert case_file is not None or problems


def test_every_worked_case_comes_back(tmp_path: Path, at: datetime) -> None:
    """The files of cases/ are read without an error, and writing them loses nothing."""
    shipped = read(ROOT / "rules").base
    if shipped is None:
        pytest.fail("the shipped rule base cannot be used: see 'diagnose rules check'")
    for path in sorted((ROOT / "cases").rglob("*.yaml")):
        case_file, problems = read_case(path.name, path.read_text("utf-8"), shipped)

        assert case_file is not None, [str(problem) for problem in problems]
        again, _ = read_case(path.name, write_case(case_file), shipped)
        assert again == case_file
        assert fold(case_file.case.id, as_events(case_file, at)) == case_file.case
