"""The store: what was acknowledged is there, and lists find it."""

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given

from diagnose.knowledge.logic.answers import UNKNOWN
from diagnose.measures.quantity import Quantity
from diagnose.records.case.journal import Customer, Event, EventKind, fold
from diagnose.records.store import database, schema
from diagnose.records.store.database import Damaged, NoCase, StoreError, backups
from diagnose.records.store.forgetting import forget, traces
from diagnose.records.store.paths import default_path
from diagnose.records.store.rows import digest, from_row, storable, to_row
from diagnose.records.store.store import Store
from diagnose.records.store.summary import Filter
from tests.records.journals import PHOTO, journals


def _lifting(store: Store, at: datetime, **facts: str) -> str:
    """A case with one complaint and one answer."""
    case_id = store.begin(at)
    for fact, text in facts.items():
        store.append(case_id, at, EventKind.NOTED, key=fact, text=text)
    store.append(case_id, at, EventKind.COMPLAINED, key="edge_lifting", text="bonnet")
    store.append(case_id, at, EventKind.ANSWERED, key="zone", answer="gap", complaint=1)
    return case_id


def _close(store: Store, case_id: str, at: datetime, cause: str = "laid_cold", **more) -> None:
    data = {"cause": cause, "confirmed_by": "the log of the bay", **more}
    store.append(case_id, at, EventKind.CLOSED, complaint=1, data=data)


def test_each_kind_of_answer_comes_back_after_reopening(path: Path, at: datetime) -> None:
    """A choice, a number, a range and 'could not tell' are kept as they were given."""
    given_answers = {
        "zone": "gap",
        "age_months": Quantity(4, 4),
        "panel_temp_c": Quantity(14, 16.5),
        "film_class": UNKNOWN,
    }
    with Store.open(path) as store:
        case_id = store.begin(at)
        for check, answer in given_answers.items():
            store.append(case_id, at, EventKind.ANSWERED, key=check, answer=answer)
    with Store.open(path) as store:
        assert store.case(case_id).circumstances == given_answers


def test_append_gives_the_event_as_it_is_stored(store: Store, at: datetime) -> None:
    """What the caller gets back is what will be read."""
    case_id = _lifting(store, at)
    data = {"cause": "laid_cold", "confirmed_by": "log", "also_causes": ("gap_not_cleaned",)}
    event = store.append(case_id, at, EventKind.CLOSED, complaint=1, data=data)

    assert store.events(case_id)[-1] == event
    assert event.number == 4


def test_complaints_are_numbered_by_the_store(store: Store, at: datetime) -> None:
    """A second complaint gets the next number, and again where it was backed out of."""
    case_id = _lifting(store, at)
    second = store.append(case_id, at, EventKind.COMPLAINED, key="bubbles", text="roof")
    store.append(case_id, at, EventKind.UNDONE, undoes=second.number)
    third = store.append(case_id, at, EventKind.COMPLAINED, key="bubbles", text="roof")

    assert (second.complaint, third.complaint) == (2, 2)
    assert [c.number for c in store.case(case_id).complaints] == [1, 2]


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        (EventKind.CLOSED, {"complaint": 2, "data": {}}),
        (EventKind.ANSWERED, {"complaint": 2, "key": "zone", "answer": "gap"}),
        (EventKind.REMEDY_DONE, {"key": "clean_and_relay"}),
        (EventKind.NOTED, {"key": "colour", "text": "red"}),
        (EventKind.CONCLUDED, {"complaint": 1, "data": {"probability": float("nan")}}),
    ],
)
def test_an_event_that_means_nothing_is_refused(
    store: Store, at: datetime, kind: EventKind, fields: dict
) -> None:
    """Nothing is written that could never be read as something; the case stays as it was."""
    case_id = _lifting(store, at)
    before = store.events(case_id)
    with pytest.raises(ValueError):
        store.append(case_id, at, kind, **fields)

    assert store.events(case_id) == before


def test_an_unknown_case_is_named(store: Store, at: datetime) -> None:
    """The sentence says which case there is not."""
    for ask in (store.events, store.case, store.delete, store.customer):
        with pytest.raises(NoCase, match="there is no case 'nowhere'"):
            ask("nowhere")


def test_ids_are_never_given_again(store: Store, at: datetime) -> None:
    """After the newest case was deleted, the next one gets another number."""
    first = store.begin(at)
    store.delete(first)
    second = store.begin(at)

    assert (first, second) == ("2026-03-02-0001", "2026-03-02-0002")


def test_the_clock_set_back_changes_no_order(store: Store, at: datetime) -> None:
    """Events keep the order in which they were entered, whatever the clock said."""
    case_id = _lifting(store, at)
    earlier = at - timedelta(days=400)
    store.append(case_id, earlier, EventKind.ANSWERED, key="zone", answer="flat", complaint=1)

    assert store.case(case_id).complaints[0].answers == {"zone": "flat"}
    assert store.list()[0].opened == at.isoformat()


def test_the_unfinished_case_is_the_one_last_worked_on(store: Store, at: datetime) -> None:
    """A case that was only opened, one that was concluded and a closed one are not unfinished."""
    assert store.unfinished() is None
    first, second = _lifting(store, at), _lifting(store, at)
    store.begin(at)
    found = store.unfinished()
    assert found is not None
    assert found.id == second
    store.append(first, at, EventKind.ANSWERED, key="film_class", answer="cast_pvc")
    found = store.unfinished()
    assert found is not None
    assert found.id == first
    concluded = {"cause": "laid_cold", "probability": 0.9}
    store.append(first, at, EventKind.CONCLUDED, complaint=1, data=concluded)
    _close(store, second, at)
    assert store.unfinished() is None
    store.append(first, at, EventKind.ANSWERED, key="zone", answer="flat", complaint=1)
    found = store.unfinished()
    assert found is not None
    assert found.id == first


FILTERS = [
    (Filter(), {"a", "b", "c"}),
    (Filter(symptom="bubbles"), {"b"}),
    (Filter(panel="roof"), {"b"}),
    (Filter(symptom="bubbles", panel="bonnet"), set()),
    (Filter(cause="laid_cold"), {"c"}),
    (Filter(film="film A"), {"a", "c"}),
    (Filter(lot="L-1", film="film A"), {"a"}),
    (Filter(installer="Saltmarsh Signs"), {"b"}),
    (Filter(month="2026-03"), {"a", "b"}),
    (Filter(month="2025-12"), {"c"}),
    (Filter(closed=True), {"c"}),
    (Filter(closed=False), {"a", "b"}),
    (Filter(text="SALTMARSH"), {"b"}),
    (Filter(text="door return"), {"a"}),
    (Filter(text="return door"), {"a"}),
    (Filter(text="100%"), {"b"}),
    (Filter(text="log of the bay"), {"c"}),
    (Filter(text="example"), {"a"}),
    (Filter(text="' OR 1=1 --"), set()),
]


@pytest.mark.parametrize(("wanted", "expected"), FILTERS)
def test_filters(store: Store, at: datetime, wanted: Filter, expected: set[str]) -> None:
    """Each filter finds its cases, all words must occur, and signs of SQL are plain text."""
    names = {
        _lifting(store, at, film="film A", lot="L-1", title="Door return lifts"): "a",
        _lifting(store, at, film="film B", installer="Saltmarsh Signs", remark="100% wet"): "b",
        _lifting(store, at, film="film A", seen_on="2025-12-24"): "c",
    }
    ids = {name: case_id for case_id, name in names.items()}
    store.append(ids["b"], at, EventKind.UNDONE, undoes=5)
    store.append(ids["b"], at, EventKind.COMPLAINED, key="bubbles", text="roof")
    _close(store, ids["c"], at)
    store.set_customer(ids["a"], "Ann Example", "PA 12")

    assert {names[case.id] for case in store.list(wanted)} == expected


def test_a_list_shows_the_last_changed_first(store: Store, at: datetime) -> None:
    """The case that was touched last stands on top, with its complaints and causes."""
    first, second = _lifting(store, at), _lifting(store, at)
    assert [case.id for case in store.list()] == [second, first]
    _close(store, first, at)
    line = store.list()[0]

    assert (line.id, line.closed) == (first, True)
    assert line.complaints == (("edge_lifting", "bonnet"),)
    assert line.causes == ("laid_cold",)


def test_outcomes_carry_what_statistics_need(store: Store, at: datetime) -> None:
    """A closed complaint comes with its cost, its result and what the tool had said."""
    case_id = _lifting(store, at, lot="L-1")
    concluded = {"cause": "gap_not_cleaned", "probability": 0.8}
    store.append(case_id, at, EventKind.CONCLUDED, complaint=1, data=concluded)
    _close(store, case_id, at, cost=60, held=False, payer="installer")
    (outcome,) = store.outcomes()

    assert (outcome.cause, outcome.concluded, outcome.probability) == (
        "laid_cold",
        "gap_not_cleaned",
        0.8,
    )
    assert (outcome.lot, outcome.cost, outcome.held) == ("L-1", 60, False)
    assert outcome.closed == "2026-03-02"
    store.append(case_id, at, EventKind.REOPENED, complaint=1)
    assert store.outcomes() == ()


def _forgotten(store: Store, name: str) -> None:
    forget(store, traces(store, name))


def test_a_customer_is_kept_apart_and_can_be_forgotten(path: Path, at: datetime) -> None:
    """Erasing leaves the case, and no byte of the name anywhere beside the file."""
    with Store.open(path) as store:
        case_id, other = _lifting(store, at), _lifting(store, at)
        store.set_customer(case_id, "Quillfeather", "PA 12")
        store.set_customer(other, "Someone else")
        assert store.customer(case_id) == Customer("Quillfeather", "PA 12")
        _forgotten(store, "quillfeather ")
        assert store.customer(case_id) is None
        assert store.customer(other) == Customer("Someone else")
        assert len(store.events(case_id)) == 3
    for left in path.parent.iterdir():
        assert b"uillfeather" not in left.read_bytes()


def test_deleting_takes_everything_along(path: Path, at: datetime) -> None:
    """Events, list, customer and photo go; a photo that another case shows is not named."""
    with Store.open(path) as store:
        case_id, other = _lifting(store, at, remark="Zanzibarblue"), _lifting(store, at)
        store.append(case_id, at, EventKind.PHOTO_ADDED, key=PHOTO)
        store.append(case_id, at, EventKind.PHOTO_ADDED, key="cd" * 32)
        store.append(other, at, EventKind.PHOTO_ADDED, key=PHOTO)
        store.set_customer(case_id, "Ann Example")
        assert store.delete(case_id) == ("cd" * 32,)
        assert store.ids() == (other,)
        assert [case.id for case in store.list()] == [other]
        assert store.delete(other) == (PHOTO,)
    for left in path.parent.iterdir():
        assert b"anzibarblue" not in left.read_bytes().lower()


def test_a_journal_is_taken_in_whole_and_continued(store: Store, at: datetime) -> None:
    """The same journal again is nothing new; a longer one adds its rest; another is refused."""
    journal = (
        Event(1, at, EventKind.OPENED),
        Event(2, at, EventKind.NOTED, "title", "a"),
        Event(3, at, EventKind.NOTED, "title", "b"),
    )
    assert store.add("c", journal[:2])
    assert not store.add("c", journal[:2])
    assert store.add("c", journal)
    assert not store.add("c", journal[:1])
    assert store.events("c") == journal
    with pytest.raises(ValueError, match="not numbered from 1 on"):
        store.add("d", journal[1:])
    with pytest.raises(StoreError, match="with another journal"):
        store.add("c", (replace(journal[0], at=at + timedelta(1)),))


@given(journals())
def test_any_journal_comes_back_from_its_rows(journal: tuple[Event, ...]) -> None:
    """Each event is equal after it was a row."""
    for event in map(storable, journal):
        assert from_row("c", to_row("c", event)) == event


@given(journals())
def test_any_journal_can_be_stored_and_listed(tmp_path_factory, journal) -> None:
    """The stored case is the fold of the journal, and its line in the list agrees with it."""
    with Store.open(tmp_path_factory.mktemp("any") / "r.sqlite3") as store:
        store.add("c", journal)
        case = store.case("c")
        (line,) = store.list()

        assert case == fold("c", journal)
        assert line.closed == case.closed
        assert line.complaints == tuple((c.symptom, c.panel) for c in case.complaints)
        assert len(store.outcomes()) == sum(c.outcome is not None for c in case.complaints)
        assert store.faults() == ()


def test_other_parts_keep_their_things_here(store: Store) -> None:
    """Values are kept by kind, owner and key, replaced by the same key, forgotten by owner."""
    store.keep("practice", "ann", "card", {"due": "2026-03-05", "ease": 2.5})
    store.keep("practice", "ann", "card", {"due": "2026-03-09", "ease": 2.4})
    store.keep("practice", "ben", "card", [1, None, "é"])

    assert store.kept("practice", "ann") == {"card": {"due": "2026-03-09", "ease": 2.4}}
    assert store.forget("practice", "ann") == 1
    assert store.kept("practice", "ann") == {}
    assert store.kept("practice", "ben") == {"card": [1, None, "é"]}


def test_the_default_place_is_in_the_users_data_folder(monkeypatch, tmp_path: Path) -> None:
    """The records of a user lie where the system keeps such data."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))

    assert default_path().name == "records.sqlite3"
    assert default_path().parent.name == "diagnose-wraps"


def test_the_file_survives_power_cuts_by_its_settings(store: Store) -> None:
    """Write-ahead log, full sync, foreign keys, and overwriting of what was deleted are on."""
    found = [
        store._connection.execute(f"PRAGMA {name}").fetchone()[0]
        for name in ("journal_mode", "synchronous", "foreign_keys", "secure_delete")
    ]

    assert found == ["wal", 2, 1, 1]


# Versions


def _old_file(path: Path, at: datetime) -> Event:
    """A file of version 1 with a case of one event and its customer."""
    event = Event(1, at, EventKind.OPENED)
    with closing(sqlite3.connect(path)) as old:
        for statement in schema.MIGRATIONS[0]:
            old.execute(statement)
        old.execute("INSERT INTO cases VALUES (1, 'c', 1, ?)", (digest("c", 1),))
        marks = ", ".join("?" * 11)
        old.execute(
            "INSERT INTO events (case_id, number, at, kind, key, text, answer, complaint, undoes,"
            f" data, digest) VALUES ({marks})",
            ("c", *to_row("c", event)),
        )
        old.execute("INSERT INTO customers VALUES ('c', 'Quillfeather', '', 'quillfeather')")
        old.execute(f"PRAGMA application_id = {schema.APPLICATION}")
        old.execute("PRAGMA user_version = 1")
        old.commit()
    return event


def test_an_older_file_is_brought_up_to_date_with_a_backup(path: Path, at: datetime) -> None:
    """The journal is as before, the new tables work, and the old file lies beside it."""
    event = _old_file(path, at)
    with Store.open(path) as store:
        assert store.events("c") == (event,)
        store.keep("practice", "ann", "card", 1)
        assert store.kept("practice", "ann") == {"card": 1}
    (backup,) = backups(path)
    with closing(sqlite3.connect(backup)) as old:
        assert old.execute("PRAGMA user_version").fetchone()[0] == 1
        assert old.execute("SELECT count(*) FROM events").fetchone()[0] == 1
    with Store.open(path) as store:
        assert store.faults() == ()
    assert backups(path) == (backup,)


def test_a_backup_that_is_there_is_kept(path: Path, at: datetime) -> None:
    """It may be the only copy of what was lost since; the new one gets another name."""
    _old_file(path, at)
    first = path.with_name(f"{path.name}.before-version-2")
    first.write_bytes(b"what somebody needs")
    Store.open(path).close()

    assert first.read_bytes() == b"what somebody needs"
    (second,) = set(backups(path)) - {first}
    with closing(sqlite3.connect(second)) as old:
        assert old.execute("PRAGMA user_version").fetchone()[0] == 1


def test_two_programs_that_open_an_old_file_make_one_backup_of_it(path: Path, at: datetime) -> None:
    """Whoever comes second, while the first has just looked, finds the work done."""
    _old_file(path, at)

    def opened(_: int) -> list[int]:
        with Store.open(path) as store:
            return [event.number for event in store.events("c")]

    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(opened, range(4))) == [[1]] * 4
    (backup,) = backups(path)
    with closing(sqlite3.connect(backup)) as old:
        assert old.execute("PRAGMA user_version").fetchone()[0] == 1


def test_forgetting_a_customer_reaches_the_backups(path: Path, at: datetime) -> None:
    """A name that was erased cannot be found in the copy made before a migration."""
    _old_file(path, at)
    with Store.open(path) as store:
        _forgotten(store, "Quillfeather")
    assert b"uillfeather" not in backups(path)[0].read_bytes()


def test_a_migration_that_fails_leaves_the_file_as_it_was(
    path: Path, at: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All steps or none; the next program that knows better finds the old version."""
    event = _old_file(path, at)
    broken = (*schema.MIGRATIONS[:1], ("CREATE TABLE kept (x)", "CREATE TABLE kept (x)"))
    with monkeypatch.context() as patch:
        patch.setattr(database, "MIGRATIONS", broken)
        with pytest.raises(StoreError):
            Store.open(path)
    with Store.open(path) as store:
        assert store.events("c") == (event,)


def test_a_file_of_a_newer_program_is_refused_unharmed(path: Path, at: datetime) -> None:
    """The sentence names both versions, and not a byte is changed."""
    with Store.open(path) as store:
        _lifting(store, at)
    with closing(sqlite3.connect(path)) as newer:
        newer.execute(f"PRAGMA user_version = {schema.VERSION + 3}")
        newer.commit()
    before = path.read_bytes()
    with pytest.raises(StoreError, match=f"version {schema.VERSION + 3}, this one knows"):
        Store.open(path)

    assert path.read_bytes() == before


def test_another_programs_database_is_left_alone(path: Path) -> None:
    """A database that is not one of these records is neither read nor changed."""
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE cases (x)")
        other.commit()
    before = path.read_bytes()
    with pytest.raises(StoreError, match="not one of these records"):
        Store.open(path)

    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"", b"not a database at all, but a letter" * 40])
def test_what_is_no_database_is_refused_and_kept(path: Path, content: bytes) -> None:
    """An empty file or another kind of file stays as it is."""
    path.write_bytes(content)
    with pytest.raises(Damaged):
        Store.open(path)

    assert path.read_bytes() == content
