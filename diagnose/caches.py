"""Folders of results that are kept to be fast; all in them can be made anew at any time."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable
from contextlib import suppress
from functools import cache
from pathlib import Path

_ROOT = Path(__file__).resolve().parent


def keep(path: Path, text: str, most: int) -> None:
    """Keep a text, complete or not at all; what cannot be written is done without.

    Of more than `most` files in the folder the oldest go, until half as many are left.
    """
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        part = path.with_suffix(f".{os.getpid()}")
        part.write_text(text, encoding="utf-8")
        part.replace(path)
        _thin(path.parent, most)


def _thin(folder: Path, most: int) -> None:
    files = list(folder.iterdir())
    if len(files) > most:
        files = [file for file in files if file.is_file()]
        files.sort(key=lambda file: file.stat().st_mtime)
        for file in files[: len(files) - most // 2]:
            file.unlink(missing_ok=True)


@cache
def code(rooms: Iterable[str]) -> str:
    """Hex digits that change with the code of these rooms of the program."""
    found = hashlib.sha256()
    for room in rooms:
        for path in sorted((_ROOT / room).rglob("*.py")):
            found.update(path.relative_to(_ROOT).as_posix().encode() + b"\0" + path.read_bytes())
    return found.hexdigest()
