"""Copying what can still be read of a damaged file into a new one; the old one stays as it is."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from diagnose.records.case import photos
from diagnose.records.case.journal import Event, EventKind
from diagnose.records.store.database import StoreError, in_words
from diagnose.records.store.paths import photo_folder
from diagnose.records.store.rows import COLUMNS, DamagedRow, digest, from_row
from diagnose.records.store.store import Store
from diagnose.records.store.wal import log_of

LOST = "this entry could not be read from a damaged file"
_SMALLEST_ROW = 16
_MOST_FAILURES = 100_000


@dataclass(frozen=True, slots=True)
class Rescued:
    """What came over, and what did not, one sentence each."""

    cases: int
    events: int
    photos: int
    lost: tuple[str, ...]


def rescue(path: Path, target: Path) -> Rescued:
    """Write a new records file with all that can be read; raises StoreError.

    In the place of an event that is lost stands one without effect that says so.
    """
    if target.exists():
        raise StoreError(f"{target} exists already: give the name of a new file")
    with TemporaryDirectory() as folder, in_words(path):
        copy = Path(folder) / path.name
        shutil.copyfile(path, copy)
        if log_of(path).exists():
            shutil.copyfile(log_of(path), log_of(copy))
        with closing(sqlite3.connect(copy, isolation_level=None)) as damaged:
            # A file shorter than its head says is not read at all without this; it is a copy.
            damaged.execute("PRAGMA writable_schema = ON")
            return _copied(damaged, copy.stat().st_size, target, photo_folder(path))


def _copied(damaged: sqlite3.Connection, size: int, target: Path, folder: Path) -> Rescued:
    most = size // _SMALLEST_ROW
    lost: list[str] = []
    journals: dict[str, dict[int, Event]] = {}
    for row in _rows(damaged, "events", f"case_id, {COLUMNS}", most, lost):
        try:
            event = from_row(row[0], row[1:])
            journals.setdefault(row[0], {})[event.number] = event
        except (DamagedRow, ValueError):
            lost.append(f"case {row[0]}, event {row[1]}: its content does not fit its digest")
    ends = dict(_ends(damaged, most, lost))
    with Store.open(target) as store:
        for case_id, journal in journals.items():
            store.add(case_id, tuple(_filled(case_id, journal, ends.get(case_id, 0), lost)))
        lost += [f"case {case_id}: all of it" for case_id in ends if case_id not in journals]
        for row in _rows(damaged, "customers", "case_id, name, plate", most, lost):
            if row[0] in journals:
                store.set_customer(*row)
        _keep(store, _rows(damaged, "kept", "kind, owner, key, json, digest", most, lost), lost)
        taken = _photos(store, folder, lost)
    events = sum(map(len, journals.values()))
    return Rescued(len(journals), events, taken, tuple(dict.fromkeys(lost)))


def _photos(store: Store, folder: Path, lost: list[str]) -> int:
    """Take the photos along that are there and sound; how many they are."""
    taken = 0
    for key, cases in store.photos().items():
        if photos.sound(folder, key):
            photos.put(photo_folder(store.path), key, photos.place(folder, key).read_bytes())
            taken += 1
        else:
            lost.append(f"case {', '.join(cases)}: the photo {photos.place(folder, key).name}")
    return taken


def _keep(store: Store, rows: Iterator[tuple[Any, ...]], lost: list[str]) -> None:
    import json

    for row in rows:
        if digest(*row[:-1]) == row[-1]:
            store.keep(row[0], row[1], row[2], json.loads(row[3]))
        else:
            lost.append(f"what was kept of {row[0]}, {row[1]}, {row[2]}")


def _ends(damaged: sqlite3.Connection, most: int, lost: list[str]) -> Iterator[tuple[str, int]]:
    """The number of the last event of each case whose entry is sound."""
    for case_id, last, of_content in _rows(damaged, "cases", "id, last, digest", most, lost):
        if digest(case_id, last) == of_content:
            yield case_id, last


def _filled(case_id: str, journal: dict[int, Event], end: int, lost: list[str]) -> Iterator[Event]:
    at = min(event.at.isoformat() for event in journal.values())
    moment = next(event.at for event in journal.values() if event.at.isoformat() == at)
    for number in range(1, max(end, *journal) + 1):
        if number in journal:
            moment = journal[number].at
        else:
            lost.append(f"case {case_id}, event {number}")
        yield journal.get(number, Event(number, moment, EventKind.UNDONE, text=LOST))


def _rows(
    damaged: sqlite3.Connection, table: str, columns: str, most: int, lost: list[str]
) -> Iterator[tuple[Any, ...]]:
    """The rows of a table that can be read, in the order of their row ids.

    A stretch of ids that fails is halved until single ids fail; `_MOST_FAILURES` of them end it.
    """
    query = f"SELECT {columns} FROM {table} WHERE rowid >= ? AND rowid < ?"  # noqa: S608
    end = 1 + _highest(damaged, table, most)
    step = max(500, end // 10_000)
    stretches = [(start, min(start + step, end)) for start in range(1, end, step)][::-1]
    failed = 0
    while stretches and failed < _MOST_FAILURES:
        start, stop = stretches.pop()
        try:
            yield from damaged.execute(query, (start, stop)).fetchall()
        except (sqlite3.Error, UnicodeDecodeError):
            middle = (start + stop) // 2
            failed += middle == start
            stretches += [(middle, stop), (start, middle)] if middle > start else []
    if failed:
        lost.append(f"the table of {table} has pages that cannot be read")


def _highest(damaged: sqlite3.Connection, table: str, most: int) -> int:
    """The highest row id of a table, or what it may be at most."""
    sequence = "SELECT seq FROM sqlite_sequence WHERE name = ?"
    for query, values in ((f"SELECT max(rowid) FROM {table}", ()), (sequence, (table,))):  # noqa: S608
        try:
            found = damaged.execute(query, values).fetchone()
            return int(found[0] or 0) if found else 0
        except (sqlite3.Error, UnicodeDecodeError):
            continue
    return most
