"""The file of the records: made, opened, checked, brought up to date, and its faults in words.

SQLite in write-ahead mode with full sync: when a commit returns, it survives a power cut.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import count
from pathlib import Path
from uuid import uuid4

from diagnose.commands import CommandFailed, Misuse
from diagnose.records.store.schema import APPLICATION, MIGRATIONS, VERSION
from diagnose.records.store.wal import inspect, log_of

WAIT_SECONDS = 10.0
"""How long one program waits for another that writes to the same file."""


class StoreError(CommandFailed):
    """The records cannot be read or written; the message says why and what to do."""


class Behind(StoreError):
    """The case has more events than the writer knows of: another program wrote to it."""


class NoCase(Misuse):
    """There is no case of that id."""

    def __init__(self, case_id: str) -> None:
        super().__init__(f"there is no case '{case_id}' in these records")


class Damaged(StoreError):
    """The file is damaged; it was left as it is. `faults` say what, one sentence each."""

    def __init__(self, path: Path, faults: tuple[str, ...]) -> None:
        self.path, self.faults = path, faults
        shown = "; ".join(faults[:8]) + ("; …" if len(faults) > 8 else "")
        super().__init__(
            f"{path} is damaged: {shown}. The file was kept as it is; 'diagnose cases rescue"
            " NEWFILE' copies all that can still be read into a new file"
        )


def connect(path: Path) -> tuple[sqlite3.Connection, bool]:
    """Open the file, made new if there is none; raises StoreError.

    Also whether the program or the computer stopped while the last entry was being written.
    """
    with in_words(path):
        if not path.exists():
            _create(path)
        torn = _look_at_log(path)
        _look_first(path)
        connection = _connection(path)
        try:
            _migrate(connection, path)
        except BaseException:
            connection.close()
            raise
        return connection, torn


def _connection(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=WAIT_SECONDS, isolation_level=None)
    for pragma in (
        "journal_mode = WAL",
        "synchronous = FULL",
        "foreign_keys = ON",
        "secure_delete = ON",
        "trusted_schema = OFF",
        "cell_size_check = ON",
    ):
        connection.execute(f"PRAGMA {pragma}")
    return connection


def _create(path: Path) -> None:
    """A complete new file under another name, then given its own in one step.

    So a file of that name is never half made, and an empty one is known to be damaged.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.{uuid4().hex}")
    try:
        _for_its_owner(draft)
        with closing(sqlite3.connect(draft, isolation_level=None)) as connection:
            _apply(connection)
        _name_it(draft, path)
    finally:
        draft.unlink(missing_ok=True)


def _for_its_owner(path: Path) -> None:
    """A new, empty file that only its owner can read; SQLite's logs beside it follow it."""
    os.close(os.open(path, os.O_CREAT | os.O_EXCL, 0o600))


def copied(connection: sqlite3.Connection, target: Path) -> None:
    """A whole copy of an open database in a new file."""
    target.parent.mkdir(parents=True, exist_ok=True)
    _for_its_owner(target)
    with closing(sqlite3.connect(target)) as copy:
        connection.backup(copy)


def _name_it(draft: Path, path: Path) -> None:
    try:
        os.link(draft, path)
    except FileExistsError:
        return
    except OSError:
        if not path.exists():
            draft.rename(path)


def _look_first(path: Path) -> None:
    """Refuse, before anything is written, what is damaged, not ours, or newer."""
    if path.stat().st_size == 0:
        raise Damaged(path, ("it is empty (0 bytes), which a records file never is",))
    if cut := _cut_short(path):
        raise Damaged(path, (cut,))
    try:
        with closing(read_only(path)) as connection:
            _refuse(connection, path)
    except sqlite3.OperationalError as error:
        # After a program was killed while it opened the file, only one that may write can read.
        if not error.sqlite_errorname.startswith("SQLITE_READONLY"):
            raise
        with closing(_connection(path)) as connection:
            _refuse(connection, path)


def _cut_short(path: Path) -> str:
    """A sentence where the file is shorter than its head says; '' where it is not.

    With a log the head may be ahead of the file, and the log has the rest. Format: 'The Database
    Header' in SQLite's file format document, section 1.3.
    """
    with path.open("rb") as file:
        head = file.read(100)
    if not head.startswith(b"SQLite format 3\0") or head[24:28] != head[92:96]:
        return ""
    log = log_of(path)
    if log.exists() and log.stat().st_size:
        return ""
    page = int.from_bytes(head[16:18], "big")
    should = int.from_bytes(head[28:32], "big") * (65536 if page == 1 else page)
    there = path.stat().st_size
    return "" if there >= should else f"it has {there:,} of the {should:,} bytes that its head says"


def _refuse(connection: sqlite3.Connection, path: Path) -> None:
    application = connection.execute("PRAGMA application_id").fetchone()[0]
    if application != APPLICATION:
        raise StoreError(
            f"{path} is a database, but not one of these records: give another file with --records"
        )
    found = _version(connection)
    if found < 1:
        raise Damaged(path, (f"it says to be of version {found}, which there never was",))
    if found > VERSION:
        raise StoreError(
            f"{path} was written by a newer version of this program (records version {found},"
            f" this one knows {VERSION}): it was left unchanged; update the program"
        )
    faults = structure(connection)
    if faults:
        raise Damaged(path, faults)


def _look_at_log(path: Path) -> bool:
    """Whether the last entry in the log is torn; raises Damaged where others are lost.

    A torn log is copied aside, for opening the file drops the entry from it.
    """
    log = inspect(path)
    if log.faults:
        raise Damaged(path, log.faults)
    if log.torn:
        shutil.copyfile(log_of(path), path.with_name(f"{path.name}-wal-torn"))
    return log.torn


def read_only(path: Path) -> sqlite3.Connection:
    """A connection that cannot write."""
    uri = f"{path.absolute().as_uri()}?mode=ro"
    return sqlite3.connect(uri, uri=True, timeout=WAIT_SECONDS, isolation_level=None)


def structure(connection: sqlite3.Connection) -> tuple[str, ...]:
    """What SQLite finds wrong with the pages of the file; empty if nothing.

    The quick check passes over indexes. Those of the small tables are checked too, for a wrong one
    would hide a case; events that a wrong index hides are missed by their count.
    """
    rows = connection.execute("PRAGMA quick_check(20)").fetchall()
    for name in ("cases", "customers", "summaries", "complaints"):
        rows += connection.execute(f"PRAGMA integrity_check({name})").fetchall()
    said = (" ".join(str(row[0]).split()) for row in rows)
    found = tuple(dict.fromkeys(sentence for sentence in said if sentence != "ok"))
    if not found:
        return ()
    places = "1 place" if len(found) == 1 else f"{len(found)} places"
    return (
        f"{places} of the file cannot be made sense of, so some entries may be lost (for whoever"
        f" knows SQLite: {found[0]})",
    )


def _migrate(connection: sqlite3.Connection, path: Path) -> None:
    if _version(connection) < VERSION:
        _apply(connection, path)


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _apply(connection: sqlite3.Connection, backed_up: Path | None = None) -> None:
    """Run the migrations that lack, all or none; another program may have been first.

    A file of people is backed up while nobody else can change it.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        found = _version(connection)
        if backed_up and found < VERSION:
            _back_up(backed_up, found)
        for migration in MIGRATIONS[found:]:
            for statement in migration:
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {APPLICATION}")
        connection.execute(f"PRAGMA user_version = {VERSION}")
        connection.execute("COMMIT")
    except BaseException:
        connection.execute("ROLLBACK")
        raise


def _back_up(path: Path, version: int) -> None:
    """A copy beside the file before it is changed; complete before it gets its name.

    A copy that is there already is kept: it may be the only one of what was lost since.
    """
    name = f"{path.name}.before-version-{version + 1}"
    draft = path.with_name(f".{name}.{uuid4().hex}")
    try:
        with closing(read_only(path)) as now:
            copied(now, draft)
        names = (name if n == 1 else f"{name}-{n}" for n in count(1))
        draft.rename(next(p for n in names if not (p := path.with_name(n)).exists()))
    finally:
        draft.unlink(missing_ok=True)


def backups(path: Path) -> tuple[Path, ...]:
    """The copies made before migrations."""
    return tuple(sorted(path.parent.glob(f"{path.name}.before-version-*")))


@contextmanager
def transaction(connection: sqlite3.Connection, path: Path) -> Iterator[None]:
    """All or nothing; returns after the commit reached the disk. Raises StoreError."""
    with in_words(path):
        connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Turn what SQLite and the system report into one sentence."""
    try:
        yield
    except sqlite3.Error as error:
        raise _said(path, error) from error
    except UnicodeDecodeError as error:
        raise Damaged(path, ("a text in it cannot be read any more",)) from error
    except OSError as error:
        raise StoreError(
            f"the records at {path} cannot be used: {error.strerror}; choose another place with"
            " --records FILE"
        ) from error


def _said(path: Path, error: sqlite3.Error) -> StoreError:
    name = getattr(error, "sqlite_errorname", "") or ""
    for start, sentence in _SENTENCES.items():
        if name.startswith(start):
            return StoreError(f"{path}: {sentence}")
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")) or "decode" in str(error):
        return Damaged(path, (str(error),))
    if any(sign in str(error) for sign in ("no such", "already exists", "malformed")):
        return Damaged(path, (f"its tables are not those of its version ({error})",))
    return StoreError(f"{path}: the records could not be used ({error})")


_SENTENCES = {
    "SQLITE_FULL": "the disk is full; this entry was not saved: make room and enter it again",
    "SQLITE_IOERR": "the disk refused to write or read (full, over its limit, or failing); this"
    " entry was not saved: make room or check the disk, and enter it again",
    "SQLITE_READONLY": "the file or its folder is read-only; nothing was saved: make it writable,"
    " or choose another place with --records FILE",
    "SQLITE_CANTOPEN": "the file or its folder cannot be opened or written; nothing was saved: make"
    " it writable, or choose another place with --records FILE",
    "SQLITE_PERM": "the system does not allow to open the file: check its permissions",
    "SQLITE_BUSY": f"another program kept the records busy for {WAIT_SECONDS:g} seconds; this entry"
    " was not saved: try again",
    "SQLITE_LOCKED": "the records are in use; this entry was not saved: try again",
}
