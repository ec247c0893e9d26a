"""Look again after each save: files are polled, so that no editor and no system is left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from time import sleep

from diagnose.folders import yaml_files

Stamp = tuple[tuple[str, int, int], ...]

EVERY = 0.5
"""Seconds between two looks."""


def stamp(folders: Iterable[Path]) -> Stamp:
    """What changes when a YAML file below folders is written, comes or goes."""
    return tuple(its for folder in folders for path in yaml_files(folder)
                 for its in _of(path))  # fmt: skip


def _of(path: Path) -> Iterator[tuple[str, int, int]]:
    try:
        found = path.stat()
    except OSError:
        # An editor that writes anew has the file gone for a moment.
        return
    yield str(path), found.st_mtime_ns, found.st_size


def watch(
    folders: Iterable[Path],
    show: Callable[[], None],
    wait: Callable[[], None] = lambda: sleep(EVERY),
) -> None:
    """Show now and after each change below folders, until KeyboardInterrupt."""
    folders = tuple(folders)
    shown: Stamp | None = None
    try:
        while True:
            now = stamp(folders)
            if now != shown:
                shown = now
                show()
            wait()
    except KeyboardInterrupt:
        return
