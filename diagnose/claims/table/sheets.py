"""Workbooks written row by row, so that memory stays flat: XLSX and ODS.

Every text is written as text and every number as a number, so no cell is ever a formula or a link.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape, quoteattr

import polars as pl

from diagnose.claims.table.text import visible

LONGEST_SHEET = 1_048_575
"""Rows below the header that a sheet can hold."""

LONGEST_TEXT = 32_767
NARROWEST, WIDEST = 9, 60
"""Widths of a column in signs; a longer text is broken into lines."""

MEASURED = 1000
"""Rows from which the widths are taken."""

STAMP = datetime(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of a workbook: its name and its rows in frames of the same columns.

    `typed`: text that is a plain number or a day goes out as one, as it most likely came in.
    """

    name: str
    frames: Iterable[pl.DataFrame]
    typed: bool = False


def write_workbook(path: Path, sheets: Sequence[Sheet], kind: str) -> None:
    """Write an .xlsx or .ods file (by `kind`); same rows, same bytes."""
    (_write_xlsx if kind == ".xlsx" else _write_ods)(path, list(_cut(sheets)))


def _cut(sheets: Sequence[Sheet]) -> Iterator[tuple[str, Iterator[tuple[Any, ...]]]]:
    """Sheets as rows with the header first."""
    for sheet in sheets:
        rows = _rows(sheet.frames)
        yield sheet.name, (tuple(map(_as_meant, row)) for row in rows) if sheet.typed else rows


_PLAIN = re.compile(r"-?(0|[1-9]\d{0,14})(\.\d{1,9})?")
_DAY = re.compile(r"\d{4}-\d\d-\d\d")


def _as_meant(cell: Any) -> Any:
    """A number or a day that stands as text; with a nought before it, it is a name: 007."""
    if not isinstance(cell, str) or len(cell) > 25:
        return cell
    if _PLAIN.fullmatch(cell):
        return float(cell) if "." in cell else int(cell)
    if _DAY.fullmatch(cell):
        try:
            return date.fromisoformat(cell)
        except ValueError:
            return cell
    return cell


def _rows(frames: Iterable[pl.DataFrame]) -> Iterator[tuple[Any, ...]]:
    first = True
    for frame in frames:
        if first:
            yield tuple(frame.columns)
            first = False
        yield from frame.iter_rows()


def _write_xlsx(path: Path, sheets: list[tuple[str, Iterator[tuple[Any, ...]]]]) -> None:
    import xlsxwriter  # type: ignore[import-untyped]

    options = {
        "constant_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    with xlsxwriter.Workbook(str(path), options) as book:
        book.set_properties({"created": STAMP})
        forms = _Forms(
            bold=book.add_format({"bold": True, "text_wrap": True, "valign": "top"}),
            day=book.add_format({"num_format": "yyyy-mm-dd"}),
            long=book.add_format({"text_wrap": True, "valign": "top"}),
            money=book.add_format({"num_format": "#,##0.00"}),
        )
        for name, rows in sheets:
            _xlsx_sheet(book, name, rows, forms)


@dataclass(frozen=True, slots=True)
class _Forms:
    """How headers, days and long texts look."""

    bold: Any
    day: Any
    long: Any
    money: Any


MONEY = ("amount_carried", "claimed", "carried")
"""Columns of money."""


def _xlsx_sheet(book: Any, name: str, rows: Iterator[tuple[Any, ...]], forms: _Forms) -> None:
    header = next(rows, ())
    part = 0
    sheet: Any = None
    at = LONGEST_SHEET + 1
    widths = [max(NARROWEST, len(title) // 2 + 2) for title in header]
    for row in _or_one_empty(rows):
        if at > LONGEST_SHEET:
            part += 1
            sheet = book.add_worksheet(name if part == 1 else f"{name} {part}")
            sheet.freeze_panes(1, 1)
            for place, title in enumerate(header):
                sheet.write_string(0, place, visible(title), forms.bold)
            at = 1
        for place, value in enumerate(row):
            _xlsx_cell(sheet, at, place, value, forms, header[place] in MONEY)
            if at <= MEASURED and value is not None:
                widths[place] = max(widths[place], min(WIDEST, len(str(value)) + 1))
        at += 1
        if at > LONGEST_SHEET:
            _finished(sheet, widths, at)
    _finished(sheet, widths, at)


def _finished(sheet: Any, widths: Sequence[int], rows: int) -> None:
    """Columns as wide as what stands in them, up to a bound, and a filter over all rows."""
    for place, width in enumerate(widths):
        sheet.set_column(place, place, width)
    if widths:
        sheet.autofilter(0, 0, max(1, rows - 1), len(widths) - 1)


def _or_one_empty(rows: Iterator[tuple[Any, ...]]) -> Iterator[tuple[Any, ...]]:
    """The rows, or one without cells, so that the header stands in any case."""
    some = False
    for row in rows:
        some = True
        yield row
    if not some:
        yield ()


def _xlsx_cell(
    sheet: Any, row: int, place: int, value: Any, forms: _Forms, money: bool = False
) -> None:
    if value is None or value == "":
        return
    if isinstance(value, int | float) and not isinstance(value, bool):
        sheet.write_number(row, place, value, forms.money if money else None)
    elif isinstance(value, date):
        sheet.write_datetime(row, place, value, forms.day)
    else:
        text = visible(str(value))[:LONGEST_TEXT]
        sheet.write_string(row, place, text, forms.long if len(text) >= WIDEST else None)


# ODS, by the OpenDocument format 1.3

_MIME = "application/vnd.oasis.opendocument.spreadsheet"
_NAMES = (
    'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"'
    ' xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"'
    ' xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"'
)
_MANIFEST = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"'
    ' manifest:version="1.3">'
    f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{_MIME}"/>'
    '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/>'
    "</manifest:manifest>"
)


def _write_ods(path: Path, sheets: list[tuple[str, Iterator[tuple[Any, ...]]]]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as book:
        plain = zipfile.ZipInfo("mimetype", STAMP.timetuple()[:6])
        book.writestr(plain, _MIME, zipfile.ZIP_STORED)
        manifest = zipfile.ZipInfo("META-INF/manifest.xml", STAMP.timetuple()[:6])
        book.writestr(manifest, _MANIFEST, zipfile.ZIP_DEFLATED)
        content = zipfile.ZipInfo("content.xml", STAMP.timetuple()[:6])
        content.compress_type = zipfile.ZIP_DEFLATED
        with book.open(content, "w", force_zip64=True) as file:
            for text in _ods_content(sheets):
                file.write(text.encode("utf-8"))


def _ods_content(sheets: list[tuple[str, Iterator[tuple[Any, ...]]]]) -> Iterator[str]:
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield f'<office:document-content {_NAMES} office:version="1.3"><office:body>'
    yield "<office:spreadsheet>"
    for name, rows in sheets:
        yield f"<table:table table:name={quoteattr(name)}>"
        for row in rows:
            yield f"<table:table-row>{''.join(map(_ods_cell, row))}</table:table-row>"
        yield "</table:table>"
    yield "</office:spreadsheet></office:body></office:document-content>"


def _ods_cell(value: Any) -> str:
    if value is None or value == "":
        return "<table:table-cell/>"
    if isinstance(value, int | float) and not isinstance(value, bool):
        return _ods_typed("float", f'office:value="{value}"', str(value))
    if isinstance(value, date):
        day = value.isoformat()
        return _ods_typed("date", f'office:date-value="{day}"', day)
    return _ods_typed("string", "", visible(str(value)))


def _ods_typed(kind: str, more: str, text: str) -> str:
    lines = "".join(f"<text:p>{escape(line)}</text:p>" for line in text.split("\n"))
    return f'<table:table-cell office:value-type="{kind}" {more}>{lines}</table:table-cell>'
