"""The store: journals of cases in one file; what was acknowledged is on the disk."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

from diagnose.knowledge.logic.answers import known
from diagnose.records.case.journal import (
    Case,
    Customer,
    Event,
    EventKind,
    fits,
    fold,
    next_complaint,
)
from diagnose.records.store import rewriting, summary
from diagnose.records.store.database import (
    Behind,
    Damaged,
    NoCase,
    StoreError,
    backups,
    connect,
    copied,
    in_words,
    structure,
    transaction,
)
from diagnose.records.store.rows import (
    COLUMNS,
    DamagedRow,
    digest,
    from_row,
    plain,
    storable,
    to_row,
)
from diagnose.records.store.summary import CaseSummary, ClosedComplaint, Filter, KnownComplaint


class Store:
    """An open records file; use it from one thread, or as a context manager.

    Every method raises StoreError (Damaged where the file is) with one sentence, and NoCase for an
    unknown id. A method that writes returns only after the commit reached the disk.
    """

    def __init__(self, connection: sqlite3.Connection, path: Path, torn: bool) -> None:
        self._connection = connection
        self.path = path
        self._seen = int(connection.execute("PRAGMA data_version").fetchone()[0])
        self.torn = torn
        """Whether the last session was cut off while it wrote: its last entry may be missing."""

    @classmethod
    def open(cls, path: Path) -> Store:
        """Open a records file, made new if there is none."""
        connection, torn = connect(path)
        return cls(connection, path, torn)

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # Journals

    def begin(self, at: datetime) -> str:
        """Open a new case; its id is the day and a number that is never given again."""
        with self._writing():
            case_id = f"{at:%Y-%m-%d}-{self._next_sequence():04d}"
            self._add(case_id, [Event(1, at, EventKind.OPENED)])
        return case_id

    def append(
        self, case_id: str, at: datetime, kind: EventKind, after: int | None = None, **fields: Any
    ) -> Event:
        """Add one event; `fields` are those of Event (key, text, answer, complaint, undoes, data).

        `after`: how many events the writer knows of; raises Behind where there are more. A new
        complaint is numbered here. Raises ValueError for an event about a complaint that the case
        does not have, or data that cannot be written.
        """
        with self._writing():
            journal = self._journal(case_id)
            if after is not None and len(journal) > after:
                raise Behind(f"another program wrote to case '{case_id}'")
            event = storable(Event(len(journal) + 1, at, kind, **fields))
            if kind is EventKind.COMPLAINED and event.complaint is None:
                event = replace(event, complaint=next_complaint(journal))
            fits(event, fold(case_id, journal))
            self._write(case_id, [*journal, event], 1)
        return event

    def add(self, case_id: str, events: Sequence[Event]) -> bool:
        """Take in a whole journal, numbered from 1, under a given id.

        A journal that continues the stored one adds its rest; False where nothing was new. Raises
        StoreError where the stored journal is another one, ValueError for a journal with a gap.
        """
        if [event.number for event in events] != list(range(1, len(events) + 1)):
            raise ValueError(f"the journal of case '{case_id}' is not numbered from 1 on")
        given = tuple(storable(event) for event in events)
        with self._writing():
            stored = self._journal(case_id) if self._has(case_id) else ()
            shared = min(len(stored), len(given))
            if stored[:shared] != given[:shared]:
                raise StoreError(
                    f"case '{case_id}' is in these records already, with another journal: give the"
                    " one to be imported another id"
                )
            if len(given) == shared:
                return False
            if stored:
                self._write(case_id, given, len(given) - shared)
            else:
                self._add(case_id, given)
        return True

    def events(self, case_id: str) -> tuple[Event, ...]:
        """The journal of a case."""
        with self._reading():
            return self._journal(case_id)

    def case(self, case_id: str) -> Case:
        """A case as it stands."""
        return fold(case_id, self.events(case_id))

    def ids(self) -> tuple[str, ...]:
        """Every case, in the order in which they were taken in."""
        with self._reading():
            rows = self._connection.execute("SELECT id FROM cases ORDER BY sequence")
            return tuple(row[0] for row in rows)

    def unfinished(self) -> Case | None:
        """The last changed case in which questions were begun and not concluded."""
        with self._reading():
            row = self._connection.execute(
                "SELECT case_id FROM summaries JOIN cases ON id = case_id"
                " WHERE standing = ? AND last > 1 ORDER BY changed DESC LIMIT 1",
                (summary.ASKING,),
            ).fetchone()
            return self.case(row[0]) if row else None

    # Lists

    def list(self, wanted: Filter = Filter()) -> tuple[CaseSummary, ...]:  # noqa: B008 (frozen)
        """The cases of a filter, the last changed first."""
        with self._reading():
            return summary.read(self._connection, wanted)

    def outcomes(self, wanted: Filter = Filter()) -> tuple[ClosedComplaint, ...]:  # noqa: B008
        """The complaints with a confirmed cause, of the cases of a filter, oldest first."""
        with self._reading():
            return summary.outcomes(self._connection, wanted)

    def values_of(self, fact: str) -> tuple[str, ...]:
        """What is on file for a fact of the list: film, lot or installer."""
        with self._reading():
            return summary.values_of(self._connection, fact)

    def known_complaints(self, wanted: Filter) -> tuple[KnownComplaint, ...]:
        """The complaints with a confirmed cause, each with what was answered of it."""
        with self._reading():
            found = summary.known_complaints(self._connection, wanted)
        return tuple(one if one.values is not None else self._from_journal(one) for one in found)

    def _from_journal(self, one: KnownComplaint) -> KnownComplaint:
        case = self.case(one.case_id)
        return replace(one, values=known(case.answers(case.complaint(one.number))))

    def photos(self) -> dict[str, tuple[str, ...]]:
        """The content hash of every photo, with the cases that have it."""
        with self._reading():
            rows = self._connection.execute(
                "SELECT key, case_id FROM events WHERE kind = 'photo_added' ORDER BY key, case_id"
            ).fetchall()
        found: dict[str, tuple[str, ...]] = {}
        for key, case_id in dict.fromkeys(rows):
            found[key] = (*found.get(key, ()), case_id)
        return found

    def copy_to(self, target: Path) -> None:
        """Write a whole copy of the records file; raises StoreError."""
        with in_words(target):
            copied(self._connection, target)

    def changed_elsewhere(self) -> bool:
        """Whether another program wrote to the file since this was last asked."""
        with self._reading():
            now = int(self._connection.execute("PRAGMA data_version").fetchone()[0])
        before, self._seen = self._seen, now
        return before != now

    # Forgetting

    def delete(self, case_id: str) -> tuple[str, ...]:
        """Remove a case with all that belongs to it, from backups too.

        Returns the content hashes of photos that no other case has.
        """
        with self._writing():
            self._known(case_id)
            photos = self._own_photos(case_id)
            self._connection.execute("DELETE FROM cases WHERE id = ?", (case_id,))
        self._forget_everywhere("DELETE FROM cases WHERE id = ?", case_id)
        return photos

    def set_customer(self, case_id: str, name: str, plate: str = "") -> None:
        """Say whose vehicle it is."""
        customer = Customer(plain(name).strip(), plain(plate).strip())
        folded = f"{customer.name} {customer.plate}".casefold()
        with self._writing():
            self._known(case_id)
            self._connection.execute(
                "REPLACE INTO customers VALUES (?, ?, ?, ?)",
                (case_id, customer.name, customer.plate, folded),
            )

    def customer(self, case_id: str) -> Customer | None:
        """Whose vehicle it is, if that was said."""
        with self._reading():
            self._known(case_id)
            row = self._connection.execute(
                "SELECT name, plate FROM customers WHERE case_id = ?", (case_id,)
            ).fetchone()
            return Customer(*row) if row else None

    def customers(self) -> dict[str, Customer]:
        """Whose vehicles they are, by case, where it was said."""
        with self._reading():
            rows = self._connection.execute("SELECT case_id, name, plate FROM customers")
            return {case_id: Customer(name, plate) for case_id, name, plate in rows}

    def forget_customers(
        self,
        cases: Sequence[str],
        changed: Mapping[str, Mapping[int, Event]],
        without: Callable[[str], str],
    ) -> None:
        """Forget the customers of cases, and put events in the place of those of their number.

        The old bytes are overwritten in the file, its log and its backups, the texts of which
        `without` frees of the same.
        """
        statement = "DELETE FROM customers WHERE case_id = ?"
        with self._writing():
            for case_id in cases:
                self._connection.execute(statement, (case_id,))
            for case_id, events in changed.items():
                rewriting.put(self._connection, case_id, events.values())
                summary.write(self._connection, case_id, self._journal(case_id))
        for case_id in cases:
            self._forget_everywhere(statement, case_id)
        with in_words(self.path):
            self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
            for backup in backups(self.path):
                rewriting.free(backup, tuple(changed), without)

    # What other parts keep

    def keep(self, kind: str, owner: str, key: str, value: Any) -> None:
        """Keep a value that JSON can say, in place of the one of the same three names."""
        row = (kind, owner, key, json.dumps(value, ensure_ascii=False, allow_nan=False))
        with self._writing():
            self._connection.execute(
                "REPLACE INTO kept VALUES (?, ?, ?, ?, ?)", (*row, digest(*row))
            )

    def kept(self, kind: str, owner: str) -> dict[str, Any]:
        """What is kept of an owner, by key."""
        with self._reading():
            rows = self._connection.execute(
                "SELECT * FROM kept WHERE kind = ? AND owner = ? ORDER BY key", (kind, owner)
            ).fetchall()
            for row in rows:
                if digest(*row[:-1]) != row[-1]:
                    raise DamagedRow(f"what is kept of {kind}, {owner}, {row[2]}")
            return {row[2]: json.loads(row[3]) for row in rows}

    def forget(self, kind: str, owner: str) -> int:
        """Forget all that is kept of an owner, in backups too; returns how much it was."""
        statement = "DELETE FROM kept WHERE kind = ? AND owner = ?"
        with self._writing():
            found = self._connection.execute(statement, (kind, owner))
        self._forget_everywhere(statement, kind, owner, table="kept")
        return found.rowcount

    # Soundness

    def faults(self) -> tuple[str, ...]:
        """Read everything; what is damaged, one sentence each; empty if nothing is."""
        found: list[str] = []
        with in_words(self.path):
            found += structure(self._connection)
            found += summary.faults(self._connection)
        for case_id in self.ids():
            try:
                self.events(case_id)
            except Damaged as error:
                found += error.faults
        return tuple(found)

    # Within

    @contextmanager
    def _writing(self) -> Iterator[None]:
        with self._sound(), transaction(self._connection, self.path):
            yield

    @contextmanager
    def _reading(self) -> Iterator[None]:
        with self._sound(), in_words(self.path):
            yield

    @contextmanager
    def _sound(self) -> Iterator[None]:
        try:
            yield
        except DamagedRow as error:
            raise Damaged(self.path, (f"{error}: its content does not fit its digest",)) from error

    def _next_sequence(self) -> int:
        row = self._connection.execute(
            "SELECT seq FROM sqlite_sequence WHERE name = 'cases'"
        ).fetchone()
        return 1 + (row[0] if row else 0)

    def _has(self, case_id: str) -> bool:
        found = self._connection.execute("SELECT 1 FROM cases WHERE id = ?", (case_id,))
        return found.fetchone() is not None

    def _known(self, case_id: str) -> None:
        if not self._has(case_id):
            raise NoCase(case_id)

    def _journal(self, case_id: str) -> tuple[Event, ...]:
        found = self._connection.execute(
            "SELECT last, digest FROM cases WHERE id = ?", (case_id,)
        ).fetchone()
        if found is None:
            raise NoCase(case_id)
        last, of_content = found
        if digest(case_id, last) != of_content:
            raise DamagedRow(f"case {case_id}, its entry")
        rows = self._connection.execute(
            f"SELECT {COLUMNS} FROM events WHERE case_id = ? ORDER BY number",  # noqa: S608
            (case_id,),
        )
        journal = tuple(from_row(case_id, row) for row in rows)
        if [event.number for event in journal] != list(range(1, last + 1)):
            missing = sorted(set(range(1, last + 1)) - {event.number for event in journal})
            raise DamagedRow(f"case {case_id}, events {missing} are missing")
        return journal

    def _add(self, case_id: str, events: Sequence[Event]) -> None:
        self._connection.execute(
            "INSERT INTO cases (id, last, digest) VALUES (?, 0, '')", (case_id,)
        )
        self._write(case_id, events, len(events))

    def _write(self, case_id: str, journal: Sequence[Event], new: int) -> None:
        """Write the last `new` events of a journal, and what is derived from all of it."""
        marks = ", ".join("?" * (1 + len(COLUMNS.split(","))))
        for event in journal[len(journal) - new :]:
            self._connection.execute(
                f"INSERT INTO events (case_id, {COLUMNS}) VALUES ({marks})",  # noqa: S608
                (case_id, *to_row(case_id, event)),
            )
        self._connection.execute(
            "UPDATE cases SET last = ?, digest = ? WHERE id = ?",
            (len(journal), digest(case_id, len(journal)), case_id),
        )
        summary.write(self._connection, case_id, journal)

    def _own_photos(self, case_id: str) -> tuple[str, ...]:
        rows = self._connection.execute(
            "SELECT key FROM events WHERE kind = 'photo_added' GROUP BY key"
            " HAVING min(case_id) = ? AND max(case_id) = ? ORDER BY key",
            (case_id, case_id),
        )
        return tuple(row[0] for row in rows)

    def _forget_everywhere(self, statement: str, *values: str, table: str = "cases") -> None:
        with in_words(self.path):
            rewriting.delete_everywhere(self._connection, self.path, statement, values, table)
