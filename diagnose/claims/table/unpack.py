"""The second process that unpacks a workbook: each sheet that shows as a file of text cells."""

from __future__ import annotations

import json
import sys
from pathlib import Path


def main(path: str, folder: str, memory: str) -> None:
    """Unpack under a bound of memory; ends by itself with a code or a signal when it is met."""
    _bound(int(memory))
    import fastexcel
    import polars as pl

    book = fastexcel.read_excel(path)
    names: list[str] = []
    for name in book.sheet_names:
        sheet = book.load_sheet(name, dtypes="string", header_row=None, skip_rows=0)
        if sheet.visible == "visible":
            frame = sheet.to_polars().cast(pl.String)
            frame.write_ipc(Path(folder) / f"{len(names)}.arrow")
            names.append(name)
    (Path(folder) / "sheets.json").write_text(json.dumps(names), encoding="utf-8")


def _bound(memory: int) -> None:
    try:
        import resource
    except ImportError:  # not on every system
        return
    hard = resource.getrlimit(resource.RLIMIT_AS)[1]
    most = memory if hard == resource.RLIM_INFINITY else min(memory, hard)
    resource.setrlimit(resource.RLIMIT_AS, (most, hard))
    resource.setrlimit(resource.RLIMIT_CORE, (0, resource.getrlimit(resource.RLIMIT_CORE)[1]))


if __name__ == "__main__":
    try:
        main(*sys.argv[1:4])
    except MemoryError:
        sys.exit(77)
