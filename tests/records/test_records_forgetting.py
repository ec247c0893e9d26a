"""Forgetting a customer: what stands in free text is found, shown, and taken out everywhere."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from diagnose.records.case.journal import EventKind
from diagnose.records.store.forgetting import GONE, forget, lines, traces
from diagnose.records.store.store import Store
from diagnose.records.store.summary import Filter

REMARK = "Ms Quillfeather rings from +49 (0) 171 234-5678 after 12.03.2026, lot 4711"


@pytest.fixture
def case_id(store: Store, at: datetime) -> str:
    """A case that says the customer in its title, a remark, a caption and the outcome."""
    case = store.begin(at)
    store.set_customer(case, "Ann Quillfeather", "PA-QF 12")
    for key, text in (("title", "Van of Quillfeather, Ann"), ("remark", REMARK), ("lot", "4711")):
        store.append(case, at, EventKind.NOTED, key=key, text=text)
    store.append(case, at, EventKind.COMPLAINED, key="edge_lifting", text="roof")
    store.append(case, at, EventKind.PHOTO_ADDED, key="ab" * 32, text="plate paqf12 at the back")
    note = "ann@example.org was told; Annabel did it"
    data = {"cause": "laid_cold", "confirmed_by": "log", "note": note}
    store.append(case, at, EventKind.CLOSED, complaint=1, data=data)
    return case


@pytest.fixture
def other(store: Store, at: datetime) -> str:
    """A case of somebody else in which the name and the telephone number are met too."""
    case = store.begin(at)
    store.append(case, at, EventKind.NOTED, key="remark", text="brother of Ann Quillfeather; Ann")
    store.append(case, at, EventKind.NOTED, key="told", text="call +49 (0) 171 234-5678")
    return case


def texts(store: Store, case_id: str) -> list[str]:
    """All free text of a case."""
    events = store.events(case_id)
    return [e.text for e in events if e.text] + [str(e.data["note"]) for e in events if e.data]


def test_name_plate_number_and_mail_are_found_in_free_text(store: Store, case_id: str) -> None:
    """In the customer's own case each part of the name too; a date and a lot are no number."""
    found = traces(store, "ann  quillfeather")
    becomes = {stand.where: stand.becomes for stand in found.stands}

    assert becomes == {
        "title": f"Van of {GONE}",
        "remark": f"Ms {GONE} rings from {GONE} after 12.03.2026, lot 4711",
        "caption": f"plate {GONE} at the back",
        "note": f"{GONE} was told; Annabel did it",
    }
    assert len(list(lines(found))) == 5


def test_in_other_cases_only_what_is_surely_theirs_goes(
    store: Store, case_id: str, other: str
) -> None:
    """The whole name and the number; a first name alone may be anybody's."""
    found = traces(store, plate="paqf 12")

    assert {s.becomes for s in found.stands if s.case_id == other} == {
        f"brother of {GONE}; Ann",
        f"call {GONE}",
    }
    assert found.cases == (case_id, other)
    assert traces(store, case_id=case_id).stands == found.stands


def test_a_part_of_the_name_elsewhere_is_shown_and_left(
    store: Store, case_id: str, at: datetime
) -> None:
    """It may be somebody else's: who erases sees it, and how to take it too."""
    later = store.begin(at)
    store.append(later, at, EventKind.NOTED, key="title", text="Roof of Mr Quillfeather")
    found = traces(store, "Ann Quillfeather")

    assert later not in found.cases
    told = list(lines(found))
    assert f"left alone: case {later}, title: 'Roof of Mr Quillfeather'" in told[-2]
    assert "--name SURNAME --erase" in told[-1]
    assert later in traces(store, "Quillfeather").cases


def test_looking_changes_nothing_and_forgetting_leaves_no_byte(
    store: Store, case_id: str, other: str
) -> None:
    """Neither in the records, nor in their log, nor in a copy made before a change of version."""
    before = store.events(case_id)
    store.copy_to(store.path.with_name(f"{store.path.name}.before-version-9"))
    found = traces(store, "Ann Quillfeather")
    assert store.events(case_id) == before

    forget(store, found)
    assert store.customers() == {}
    assert texts(store, case_id)[0] == f"Van of {GONE}"
    assert [e.answer for e in store.events(case_id)] == [e.answer for e in before]
    assert store.list(Filter(text="quillfeather")) == ()
    assert store.faults() == ()
    assert not traces(store, "Ann Quillfeather").cases
    for left in store.path.parent.iterdir():
        if left.is_file():
            content = left.read_bytes().lower()
            assert b"quillfeather" not in content, left
            assert b"234-5678" not in content, left
    copy = next(Path(store.path.parent).glob("*.before-version-9"))
    with Store.open(copy) as old:
        assert old.faults() == ()
        assert texts(old, case_id) == texts(store, case_id)
