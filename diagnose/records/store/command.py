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
