"""Where records and their photos lie."""

from __future__ import annotations

from pathlib import Path


def default_path() -> Path:
    """The records of this user."""
    from platformdirs import user_data_path

    return user_data_path("diagnose-wraps", appauthor=False) / "records.sqlite3"


def photo_folder(path: Path) -> Path:
    """Where the photos of a records file lie."""
    return path.with_name(f"{path.stem}-photos")
