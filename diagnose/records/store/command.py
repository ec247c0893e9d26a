"""The records that a command names."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands import Misuse

if TYPE_CHECKING:
    from diagnose.records.store.store import Store


def store_of(path: Path | None) -> Store:
    """The records in a file, or this user's, opened; made where there are none yet.

    Raises Misuse where they cannot be opened.
    """
    from diagnose.records.store.database import StoreError
    from diagnose.records.store.paths import default_path
    from diagnose.records.store.store import Store

    path = path or default_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        return Store.open(path)
    except (StoreError, OSError) as error:
        raise Misuse(str(error)) from None


def records_read(path: Path | None) -> Path | None:
    """The records that are only read: this user's, None where there are none yet; or those named.

    Raises Misuse where what was named is not there, for nothing is made by a slip of the keyboard.
    """
    from diagnose.records.store.paths import default_path

    if path and not path.exists():
        raise Misuse(f"there are no records at {path}: look at the name; nothing was made")
    found = path or default_path()
    return found if found.exists() else None
