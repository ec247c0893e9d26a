"""After any fault every acknowledged event is there, or the tool says what is damaged.

How many tries there are is said by --campaign; `python -m tests.records.faults --tries 3000` runs
thousands.
"""

import os
import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest

from diagnose.records.case.journal import Event, EventKind
from diagnose.records.store import database
from diagnose.records.store.database import Damaged, StoreError
from diagnose.records.store.rescue import LOST, rescue
from diagnose.records.store.store import Store
from diagnose.records.store.wal import Log, inspect, log_of
from tests.records import faults
from tests.records.faults import Row

pytestmark = pytest.mark.filterwarnings("ignore:This process .* is multi-threaded")

FAULTS: list[tuple[Callable[[int], Row], int]] = [
    (lambda tries: faults.kills(tries, seed=11), 1),
    (lambda tries: faults.kills(tries, seed=12, writers=2), 10),
    (lambda tries: faults.cut(tries, seed=13), 4),
    (lambda tries: faults.flips(tries, seed=14), 1),
    (lambda tries: faults.head_flips(tries, seed=15), 4),
    (lambda tries: faults.log_flips(tries, seed=16), 10),
    (lambda tries: faults.full_disk(tries, seed=17), 20),
    (lambda tries: faults.clock_set_back(tries, seed=18), 20),
]
"""Each fault, and how many tries of the commonest one go with a try of it."""


@pytest.mark.parametrize(("harm", "rare"), FAULTS)
def test_no_acknowledged_event_is_lost_without_a_word(
    harm: Callable[[int], Row], rare: int, campaign: int
) -> None:
    """Kills, cut files, flipped bits, full disks, a wild clock: nothing goes in silence."""
    tries = campaign // rare
    row = harm(tries)

    assert (row.tries, row.lost) == (tries, 0), row
    assert row.events > 0
    assert not any(row.notes[bad] for bad in _BAD), row


_BAD = (
    "writer failed by itself",
    "said, but the file was changed",
    "said without the file's name",
    "did not say so",
)


def test_a_cut_file_is_always_noticed() -> None:
    """No file that ends too early is taken for whole."""
    row = faults.cut(40, seed=21)

    assert row.said == row.tries


def test_a_cut_file_says_how_much_is_gone_and_gives_back_the_rest(
    path: Path, tmp_path: Path
) -> None:
    """What stands before the cut is read; every entry in the new file is one that was written."""
    acknowledged = faults.sample(path, 40)
    whole = path.stat().st_size
    os.truncate(path, whole * 2 // 3)
    there = path.stat().st_size
    with pytest.raises(Damaged, match=f"it has {there:,} of the {whole:,} bytes"):
        Store.open(path)
    target = tmp_path / "new.sqlite3"
    found = rescue(path, target)

    assert found.events > len(acknowledged) / 3
    assert any("pages that cannot be read" in sentence for sentence in found.lost)
    with Store.open(target) as store:
        assert store.faults() == ()
        for case_id in store.ids():
            for event in store.events(case_id):
                lost = event.text == LOST
                assert lost or acknowledged[case_id, event.number] == event.key


def _write(path: Path, at: datetime, name: str, count: int, start: threading.Barrier) -> None:
    start.wait()
    with Store.open(path) as store:
        for number in range(count):
            store.append("c", at, EventKind.ANSWERED, key=f"{name}_{number}", answer="yes")


def test_two_programs_write_to_one_case(path: Path, at: datetime) -> None:
    """Both journals end up in one, each in its own order, numbered without a gap."""
    with Store.open(path) as store:
        store.add("c", (Event(1, at, EventKind.OPENED),))
    start = threading.Barrier(2)
    both = [threading.Thread(target=_write, args=(path, at, name, 30, start)) for name in "ab"]
    for thread in both:
        thread.start()
    for thread in both:
        thread.join()
    with Store.open(path) as store:
        journal = store.events("c")

    assert [event.number for event in journal] == list(range(1, 62))
    for name in "ab":
        keys = [event.key for event in journal if event.key.startswith(name)]
        assert keys == [f"{name}_{number}" for number in range(30)]


def test_a_busy_file_gives_a_sentence_and_is_free_again(
    path: Path, at: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An entry that could not be saved is said not to be, and can be entered again."""
    monkeypatch.setattr(database, "WAIT_SECONDS", 0.05)
    with Store.open(path) as store:
        case_id = store.begin(at)
        with closing(sqlite3.connect(path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            with pytest.raises(StoreError, match="another program kept the records busy"):
                store.append(case_id, at, EventKind.NOTED, key="title", text="a")
            other.execute("ROLLBACK")
        store.append(case_id, at, EventKind.NOTED, key="title", text="a")

        assert len(store.events(case_id)) == 2


def test_a_read_only_file_gives_a_sentence(
    path: Path, at: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where nothing can be written, that is said, and what is there stays."""
    with Store.open(path) as store:
        store.begin(at)
    before = path.read_bytes()

    def closed_for_writing(at_path: Path) -> sqlite3.Connection:
        uri = f"{at_path.absolute().as_uri()}?immutable=1"
        return sqlite3.connect(uri, uri=True, isolation_level=None)

    monkeypatch.setattr(database, "_connection", closed_for_writing)
    with Store.open(path) as store, pytest.raises(StoreError, match="read-only"):
        store.begin(at)
    assert path.read_bytes() == before


def test_a_folder_that_cannot_be_made_gives_a_sentence(tmp_path: Path) -> None:
    """A place below a file is no place."""
    (tmp_path / "taken").write_text("a letter")
    with pytest.raises(StoreError, match="choose another place with --records"):
        Store.open(tmp_path / "taken" / "records.sqlite3")


def test_a_folder_in_the_place_of_the_file_gives_a_sentence(tmp_path: Path) -> None:
    """A folder cannot be opened as records."""
    with pytest.raises(StoreError, match=r"cannot be opened|cannot be used|disk refused"):
        Store.open(tmp_path)


# What the tool says of damage


def _altered(path: Path, statement: str) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(statement)
        connection.commit()


@pytest.mark.parametrize(
    ("statement", "sentence"),
    [
        ("UPDATE events SET text = 'roof' WHERE number = 2", "event 2"),
        ("DELETE FROM events WHERE number = 5", r"events \[5\] are missing"),
        ("DELETE FROM events WHERE number > 20", r"events \[21, 22\] are missing"),
        ("UPDATE cases SET last = 20", "its entry"),
    ],
)
def test_a_changed_journal_is_noticed(path: Path, statement: str, sentence: str) -> None:
    """The digest and the count tell which event of which case is not what was written."""
    faults.sample(path, 1)
    _altered(path, statement)
    with Store.open(path) as store:
        case_id = store.ids()[0]
        with pytest.raises(Damaged, match=sentence) as caught:
            store.events(case_id)

        assert f"case {case_id}" in str(caught.value)
        assert "rescue" in str(caught.value)
        assert store.faults() == caught.value.faults


def test_a_changed_line_of_the_list_is_noticed(path: Path) -> None:
    """The list is checked as the journal is."""
    faults.sample(path, 2)
    _altered(path, "UPDATE summaries SET title = 'another' WHERE case_id LIKE '%2'")
    with Store.open(path) as store:
        with pytest.raises(Damaged, match="its line in the list"):
            store.list()

        assert len(store.faults()) == 1


def test_rescue_copies_all_that_can_be_read(path: Path, tmp_path: Path) -> None:
    """What is lost is named and has its place in the journal; the rest is as it was."""
    acknowledged = faults.sample(path, 3)
    _altered(path, "UPDATE events SET text = 'roof' WHERE number = 2 AND row < 10")
    with Store.open(path) as store:
        store.set_customer(store.ids()[1], "Ann Example", "PA 12")
        store.keep("practice", "ann", "card", {"due": 3})
    before = path.read_bytes()
    target = tmp_path / "new.sqlite3"
    found = rescue(path, target)

    assert (found.cases, found.events) == (3, len(acknowledged) - 1)
    assert any("event 2" in sentence for sentence in found.lost)
    assert path.read_bytes() == before
    with Store.open(target) as store:
        first, second, _ = store.ids()
        assert store.faults() == ()
        assert store.events(first)[1].text == LOST
        assert len(store.events(second)) == 22
        assert store.customer(second) is not None
        assert store.kept("practice", "ann") == {"card": {"due": 3}}


def test_rescue_of_a_page_that_cannot_be_read(path: Path, tmp_path: Path) -> None:
    """A page overwritten in the middle of the file costs what lay on it, and no more."""
    acknowledged = faults.sample(path, 30)
    content = bytearray(path.read_bytes())
    with_events = [at for at in range(0, len(content), 4096) if b"answered" in content[at:][:4096]]
    middle = with_events[len(with_events) // 2]
    content[middle : middle + 4096] = b"\xff" * 4096
    path.write_bytes(content)
    with pytest.raises(Damaged):
        faults.missing(path, acknowledged)
    target = tmp_path / "new.sqlite3"
    found = rescue(path, target)

    assert found.lost
    assert found.events > len(acknowledged) * 0.8
    with Store.open(target) as store:
        assert store.faults() == ()


def test_rescue_never_overwrites(path: Path, tmp_path: Path) -> None:
    """The name of the new file must be free."""
    faults.sample(path, 1)
    target = tmp_path / "new.sqlite3"
    target.write_text("a letter")
    with pytest.raises(StoreError, match="exists already"):
        rescue(path, target)

    assert target.read_text() == "a letter"


def test_the_log_of_a_running_program_is_sound(path: Path, at: datetime) -> None:
    """A log in use has no fault; one flipped bit in its middle loses acknowledged entries."""
    with Store.open(path) as store:
        case_id = store.begin(at)
        for number in range(10):
            store.append(case_id, at, EventKind.ANSWERED, key=f"check_{number}", answer="yes")
        assert inspect(path) == Log()
        content = bytearray(log_of(path).read_bytes())
    content[len(content) // 2] ^= 1
    log_of(path).write_bytes(content)

    assert "the " in inspect(path).faults[0]
    assert "last entries in it cannot be read" in inspect(path).faults[0]
