"""Workbooks, read in a process of their own that can be ended.

A workbook is a packed file: a few kilobytes may ask for more memory than a machine has (one cell in
the last corner, a cell of a gigabyte). So it is unpacked by a second process under a bound of
memory and time, which hands its sheets over as files; when it is ended, one sentence is said.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import zipfile
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from types import TracebackType

import polars as pl

from diagnose.claims.table.layout import LOOKED, Layout, WantedColumn, header_row
from diagnose.claims.table.text import one_line
from diagnose.folders import root

MEMORY = 4 << 30
"""Bytes that unpacking may take, where the system can hold a process to it."""

SECONDS = 120
"""Seconds that it may take."""

UNPACKED, TIMES = 2 << 30, 200
"""Bytes that a workbook may unpack to; how many times its size, from which it is no honest one."""

HONEST = 50 << 20
"""Bytes up to which any workbook is unpacked, whatever its size was."""

TOO_MUCH = 77
"""Exit code of the second process when the memory does not suffice."""


class BadWorkbook(Exception):
    """A workbook that cannot be read; one sentence with what to do."""


class Workbook:
    """The sheets of a workbook; a context, for they lie in a temporary folder meanwhile."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def __enter__(self) -> Workbook:
        _check_size(self._path)
        self._folder = TemporaryDirectory(prefix="diagnose-")
        try:
            self.sheets = self._unpacked(Path(self._folder.name))
        except BaseException:
            self._folder.cleanup()
            raise
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._folder.cleanup()

    def _unpacked(self, folder: Path) -> tuple[str, ...]:
        given = [sys.executable, "-m", "diagnose.claims.table.unpack", str(self._path), str(folder)]
        where = os.pathsep.join(filter(None, (str(root()), os.environ.get("PYTHONPATH", ""))))
        env = {**os.environ, "PYTHONPATH": where, "POLARS_MAX_THREADS": "2", "RUST_BACKTRACE": "0"}
        try:
            done = subprocess.run(  # noqa: S603
                [*given, str(MEMORY)], capture_output=True, env=env, timeout=SECONDS, check=False
            )
        except subprocess.TimeoutExpired:
            raise BadWorkbook(
                f"{self._path.name} takes more than {SECONDS} seconds to unpack: save its one sheet"
                " as CSV"
            ) from None
        if done.returncode:
            raise BadWorkbook(self._broken(done))
        names: list[str] = json.loads((folder / "sheets.json").read_text(encoding="utf-8"))
        return tuple(names)

    def _broken(self, done: subprocess.CompletedProcess[bytes]) -> str:
        said = done.stderr.decode("utf-8", "replace")
        name = self._path.name
        if "password" in said.lower():
            return f"{name} is locked with a password: save it without one"
        if done.returncode == TOO_MUCH or done.returncode < 0 or "alloc" in said:
            stray = _far_cell(self._path)
            far = f" (the cell {stray} is filled: clear it)" if stray else ""
            return (
                f"{name} needs more than {MEMORY >> 30} GB to unpack{far}: clear what stands far"
                " out, or save the sheet as CSV"
            )
        return (
            f"{name} is broken, or is no {self._path.suffix[1:].lower()} file: open it and save it"
            " anew"
        )

    def rows(self, sheet: str) -> pl.DataFrame:
        """All rows of a sheet from its first on, all cells text."""
        number = self.sheets.index(sheet)
        return pl.read_ipc(Path(self._folder.name) / f"{number}.arrow")

    def layout(self, wanted: WantedColumn) -> Layout:
        """The sheet and the header that are wanted, or the widest table; raises BadWorkbook."""
        name = self._path.name
        if wanted.sheet and wanted.sheet not in self.sheets:
            have = ", ".join(f"'{one_line(s, 24)}'" for s in self.sheets)
            raise BadWorkbook(f"{name} has no sheet '{one_line(wanted.sheet, 24)}': {have}")
        best, size = None, -1
        for sheet in (wanted.sheet,) if wanted.sheet else self.sheets:
            frame = self.rows(sheet)
            head = frame.head(LOOKED).rows()
            if not head:
                continue
            at = wanted.header - 1 if wanted.header else header_row(head)
            if at >= frame.height:
                continue
            wide = sum(bool(cell and cell.strip()) for cell in frame.row(at))
            here = wide * min(LOOKED, max(1, frame.height - at - 1))
            if here > size:
                best, size = Layout(sheet, at + 1), here
        if best is None and wanted.header:
            raise BadWorkbook(f"{name} has no row {wanted.header}: give another --header")
        if not best or not size:
            raise BadWorkbook(f"{name} is empty: a row must name the columns")
        others = tuple(s for s in self.sheets if s != best.sheet)
        return replace(best, others=() if wanted.sheet else others)


def _check_size(path: Path) -> None:
    """What the file says of its own size, before anything is unpacked."""
    packed = path.stat().st_size
    try:
        with zipfile.ZipFile(path) as archive:
            unpacked = sum(its.file_size for its in archive.infolist())
    except (zipfile.BadZipFile, RuntimeError, ValueError):
        return
    if unpacked > UNPACKED or unpacked > max(HONEST, TIMES * packed):
        raise BadWorkbook(
            f"{path.name} would unpack from {packed / 1e6:,.1f} to {unpacked / 1e6:,.0f} MB: save"
            " the sheet as CSV"
        )


_PLACE = re.compile(rb'<c [^>]*?r="([A-Z]{1,3})(\d{1,7})"')


def _far_cell(path: Path, look: int = 64 << 20) -> str:
    """The cell that is furthest out in the first sheets of an XLSX file, if any is very far."""
    far, most = "", 100_000_000
    try:
        with zipfile.ZipFile(path) as archive:
            for its in archive.infolist():
                if not its.filename.startswith("xl/worksheets/") or its.file_size > look:
                    continue
                for column, row in _PLACE.findall(archive.read(its)):
                    number = 0
                    for letter in column:
                        number = number * 26 + letter - 64
                    if number * int(row) > most:
                        far, most = (column + row).decode(), number * int(row)
    except (OSError, zipfile.BadZipFile, RuntimeError, ValueError, EOFError):
        return ""
    return far
