"""The tables of the records, as steps from each version to the next.

A step that was released is never changed; a new need gets a new step.
"""

APPLICATION = 0x57524150
"""SQLite's application_id: what kind of file this is."""

_CASES = (
    "CREATE TABLE cases ("
    " sequence INTEGER PRIMARY KEY AUTOINCREMENT, id TEXT NOT NULL UNIQUE,"
    " last INTEGER NOT NULL, digest TEXT NOT NULL)",
    "CREATE TABLE events ("
    " row INTEGER PRIMARY KEY AUTOINCREMENT,"
    " case_id TEXT NOT NULL REFERENCES cases(id) ON DELETE CASCADE,"
    " number INTEGER NOT NULL, at TEXT NOT NULL, kind TEXT NOT NULL, key TEXT NOT NULL,"
    " text TEXT NOT NULL, answer TEXT, complaint INTEGER, undoes INTEGER, data TEXT,"
    " digest TEXT NOT NULL, UNIQUE (case_id, number))",
    "CREATE INDEX photos ON events (key) WHERE kind = 'photo_added'",
    "CREATE TABLE customers ("
    " case_id TEXT PRIMARY KEY REFERENCES cases(id) ON DELETE CASCADE,"
    " name TEXT NOT NULL, plate TEXT NOT NULL, folded TEXT NOT NULL)",
    "CREATE INDEX customers_by_name ON customers (folded)",
    "CREATE TABLE summaries ("
    " case_id TEXT PRIMARY KEY REFERENCES cases(id) ON DELETE CASCADE,"
    " changed INTEGER NOT NULL, opened TEXT NOT NULL, month TEXT NOT NULL,"
    " standing TEXT NOT NULL, title TEXT NOT NULL, vehicle TEXT NOT NULL, film TEXT NOT NULL,"
    " lot TEXT NOT NULL, installer TEXT NOT NULL, complaints TEXT NOT NULL, search TEXT NOT NULL,"
    " digest TEXT NOT NULL)",
    *(
        f"CREATE INDEX summaries_by_{column} ON summaries ({column})"
        for column in ("changed", "month", "film", "lot", "installer")
    ),
    "CREATE TABLE complaints ("
    " case_id TEXT NOT NULL REFERENCES cases(id) ON DELETE CASCADE, number INTEGER NOT NULL,"
    " symptom TEXT NOT NULL, panel TEXT NOT NULL, cause TEXT NOT NULL, closed TEXT NOT NULL,"
    " remedy TEXT NOT NULL, payer TEXT NOT NULL, held INTEGER, cost REAL,"
    " concluded TEXT NOT NULL, probability REAL, digest TEXT NOT NULL,"
    " PRIMARY KEY (case_id, number))",
    *(
        f"CREATE INDEX complaints_by_{column} ON complaints ({column})"
        for column in ("symptom", "panel", "cause")
    ),
)

_KEPT = (
    "CREATE TABLE kept ("
    " kind TEXT NOT NULL, owner TEXT NOT NULL, key TEXT NOT NULL, json TEXT NOT NULL,"
    " digest TEXT NOT NULL, PRIMARY KEY (kind, owner, key))",
)

_KNOWN = (
    "CREATE TABLE known ("
    " case_id TEXT NOT NULL REFERENCES cases(id) ON DELETE CASCADE, number INTEGER NOT NULL,"
    " answers TEXT NOT NULL, digest TEXT NOT NULL, PRIMARY KEY (case_id, number))",
)

MIGRATIONS = (_CASES, _KEPT, _KNOWN)
"""Statements that lead from version 0 to 1, from 1 to 2, and so on."""

VERSION = len(MIGRATIONS)
"""The version that this program writes."""
