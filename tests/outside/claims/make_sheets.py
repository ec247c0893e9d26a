"""Write the five shops' claim sheets from their plain text (``raw/*.txt``).

The text is the source; the files are what a shop would send: titles above the header, merged cells,
a second sheet, a totals row, semicolons in latin-1, a mark at the start of UTF-8.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
RAW = HERE / "raw"

SHEETS = ("quay", "mill", "osier", "bridges", "lowfield")


def rows(name: str) -> list[list[str]]:
    """The header and the rows of one shop's sheet."""
    with (RAW / f"{name}.txt").open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file, delimiter=";" if name == "mill" else "|"))


def write(folder: Path) -> dict[str, Path]:
    """Write all five; returns them by shop."""
    found = {
        "quay": _book(folder / "quay.xlsx", rows("quay"), title="Callbacks 2025, Kettle Quay Film"),
        "mill": folder / "mill.csv",
        "osier": folder / "osier.csv",
        "bridges": _book(folder / "bridges.xlsx", rows("bridges"), prices=True),
        "lowfield": folder / "lowfield.csv",
    }
    for name, sign, encoding in (
        ("mill", ";", "latin-1"), ("osier", ",", "utf-8-sig"), ("lowfield", "\t", "utf-8"),
    ):  # fmt: skip
        with found[name].open("w", encoding=encoding, errors="replace", newline="") as file:
            csv.writer(file, delimiter=sign).writerows(rows(name))
    return found


def _book(path: Path, table: list[list[str]], title: str = "", prices: bool = False) -> Path:
    import xlsxwriter  # type: ignore[import-untyped]

    with xlsxwriter.Workbook(str(path)) as book:
        if prices:
            _fill(book.add_worksheet("prices"), [["film", "a metre"], ["Cast 80", "14"]], 0)
        sheet = book.add_worksheet("claims")
        if title:
            sheet.merge_range(0, 0, 0, len(table[0]) - 1, title)
            sheet.write(1, 0, "as of November")
        _fill(sheet, table, 3 if title else 0)
    return path


def _fill(sheet: Any, table: list[list[str]], first: int) -> None:
    for number, row in enumerate(table, first):
        for column, cell in enumerate(row):
            if cell.replace(".", "", 1).isdigit() and number > first:
                sheet.write_number(number, column, float(cell))
            elif cell:
                sheet.write_string(number, column, cell)
