"""Write shops' claim sheets from their plain text (``raw/*.txt``).

The text is the source; the files are what a shop would send: titles above the header, merged cells,
a second sheet, a totals row, semicolons in latin-1, a mark at the start of UTF-8.

There are four sets of five shops. Whoever writes rules reads the first three; the last is judged by,
and only its table is looked at.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent


@dataclass(frozen=True, slots=True)
class Shop:
    """How a shop keeps its sheet: what stands between cells of the text, the file that it sends.

    `sign` and `encoding` are of a table in text; a workbook has a `title`, or a sheet of `prices`.
    """

    name: str
    between: str
    file: str
    sign: str = ""
    encoding: str = ""
    title: str = ""
    prices: bool = False
    numbered: bool = True
    """Whether clerks name a claim by its number, and not by its place: row1, row2."""


@dataclass(frozen=True, slots=True)
class Sheets:
    """Five shops' claims, with the folder in which their text and the clerks' verdicts lie."""

    folder: Path
    shops: tuple[Shop, ...]

    def rows(self, shop: Shop) -> list[list[str]]:
        """The header and the rows of one shop's sheet."""
        path = self.folder / "raw" / f"{shop.name}.txt"
        with path.open(encoding="utf-8", newline="") as file:
            return list(csv.reader(file, delimiter=shop.between))

    def write(self, folder: Path) -> dict[str, Path]:
        """Write all; returns them by shop."""
        return {
            shop.name: _written(folder / shop.file, self.rows(shop), shop) for shop in self.shops
        }


STUDY = Sheets(
    HERE,
    (
        Shop("quay", "|", "quay.xlsx", title="Callbacks 2025, Kettle Quay Film"),
        Shop("mill", ";", "mill.csv", ";", "latin-1"),
        Shop("osier", "|", "osier.csv", ",", "utf-8-sig"),
        Shop("bridges", "|", "bridges.xlsx", prices=True),
        Shop("lowfield", "|", "lowfield.csv", "\t", "utf-8"),
    ),
)
SECOND = Sheets(
    HERE / "second",
    (
        Shop("harrend", "|", "harrend.csv", ",", "utf-8-sig"),
        Shop("zekko", ";", "zekko.csv", ";", "latin-1"),
        Shop("tintwick", "\t", "tintwick.csv", "\t", "utf-8"),
        Shop("skarvel", "|", "skarvel.xlsx", title="Complaints, Skarvel"),
        Shop("lettro", ";", "lettro.xlsx", prices=True),
    ),
)
THIRD = Sheets(
    HERE / "third",
    (
        Shop("orsel_foliewerk", ";", "orsel.csv", ";", "latin-1"),
        Shop("brannick", "|", "brannick.xlsx", title="Claims, Brannick Signs & Wraps"),
        Shop("mirrow", "\t", "mirrow.tsv", "\t", "utf-8", numbered=False),
        Shop("kaldeby_fleet", "|", "kaldeby.csv", ",", "utf-8-sig"),
        Shop("stenna", "|", "stenna.xlsx", prices=True),
    ),
)
JUDGING = Sheets(
    HERE / "judging",
    (
        Shop("tarnbeck", "|", "tarnbeck.csv", ",", "utf-8-sig"),
        Shop("quillon", ";", "quillon.csv", ";", "latin-1"),
        Shop("presswyn", "\t", "presswyn.csv", "\t", "utf-8"),
        Shop("vellumar", "|", "vellumar.xlsx", title="Complaints, Vellumar"),
        Shop("holtwagen", ";", "holtwagen.xlsx", prices=True, numbered=False),
    ),
)


def _written(path: Path, table: list[list[str]], shop: Shop) -> Path:
    if not shop.sign:
        return _book(path, table, shop.title, shop.prices)
    with path.open("w", encoding=shop.encoding, errors="replace", newline="") as file:
        csv.writer(file, delimiter=shop.sign).writerows(table)
    return path


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
