"""Events written anew in their place: the only change a journal ever sees, to forget somebody."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Sequence
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from diagnose.records.case.journal import Event
from diagnose.records.store.database import backups
from diagnose.records.store.rows import COLUMNS, digest, from_row, to_row

_TEXTS = ("title", "vehicle", "search")
"""Free text in the line that a list shows."""


def put(connection: sqlite3.Connection, case_id: str, events: Iterable[Event]) -> None:
    """Put events in the place of those of the same number, within the caller's transaction."""
    named = ", ".join(f"{column.strip()} = ?" for column in COLUMNS.split(","))
    for event in events:
        connection.execute(
            f"UPDATE events SET {named} WHERE case_id = ? AND number = ?",  # noqa: S608
            (*to_row(case_id, event), case_id, event.number),
        )


def free(file: Path, cases: Sequence[str], without: Callable[[str], str]) -> None:
    """Free the texts of some cases in a copy of the records, which may be of an older version."""
    with closing(sqlite3.connect(file)) as copy:
        copy.execute("PRAGMA secure_delete = ON")
        with copy:
            for case_id in cases:
                _free(copy, case_id, without)
        copy.execute("VACUUM")


def delete_everywhere(
    connection: sqlite3.Connection, path: Path, statement: str, values: Sequence[str], table: str
) -> None:
    """Overwrite what was deleted in the log, and delete it from backups that have the table."""
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    for backup in backups(path):
        with closing(sqlite3.connect(backup, isolation_level=None)) as copy:
            copy.execute("PRAGMA secure_delete = ON")
            copy.execute("PRAGMA foreign_keys = ON")
            named = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?"
            if copy.execute(named, (table,)).fetchone():
                copy.execute(statement, values)


def _free(copy: sqlite3.Connection, case_id: str, without: Callable[[str], str]) -> None:
    rows = copy.execute(
        f"SELECT {COLUMNS} FROM events WHERE case_id = ?",  # noqa: S608
        (case_id,),
    )
    put(copy, case_id, [_freed(from_row(case_id, row), without) for row in rows.fetchall()])
    lines = copy.execute("SELECT * FROM summaries WHERE case_id = ?", (case_id,))
    names = [column[0] for column in lines.description]
    for line in lines.fetchall():
        told = {n: without(v) if n in _TEXTS else v for n, v in zip(names, line, strict=True)}
        values = list(told.values())[:-1]
        texts = (*(told[name] for name in _TEXTS), digest(*values), case_id)
        copy.execute(
            "UPDATE summaries SET title = ?, vehicle = ?, search = ?, digest = ? WHERE case_id = ?",
            texts,
        )


def _freed(event: Event, without: Callable[[str], str]) -> Event:
    data = {k: without(v) if isinstance(v, str) else v for k, v in event.data.items()}
    return replace(event, text=without(event.text), data=data)
