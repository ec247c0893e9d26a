"""An empty spreadsheet with a column for each fact, drop-down lists, and a sheet that explains."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from diagnose.claims.mapping.facts import Fact, facts
from diagnose.claims.mapping.mapping import UNKNOWN_WORD
from diagnose.claims.table.sheets import STAMP
from diagnose.knowledge.base import Base

ROWS = 2_000
"""Rows for which the drop-down lists are laid."""


def write_template(path: Path, base: Base) -> int:
    """Write the template (.xlsx); returns the number of its columns."""
    import xlsxwriter  # type: ignore[import-untyped]

    known = list(facts(base).values())
    new = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        with xlsxwriter.Workbook(str(new), {"strings_to_formulas": False}) as book:
            book.set_properties({"created": STAMP, "comments": f"rules {base.version}"})
            claims = book.add_worksheet("claims")
            explained = book.add_worksheet("what the columns mean")
            lists = book.add_worksheet("lists")
            _claims(book, claims, lists, known, base)
            _explained(book, explained, known)
            lists.hide()
        new.replace(path)
    finally:
        new.unlink(missing_ok=True)
    return len(known)


def _claims(book: Any, sheet: Any, lists: Any, known: list[Fact], base: Base) -> None:
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    day = book.add_format({"num_format": "yyyy-mm-dd"})
    sheet.freeze_panes(1, 2)
    sheet.set_row(0, 45)
    for column, fact in enumerate(known):
        sheet.set_column(column, column, 40 if fact.id == "remark" else 18)
        sheet.write_string(0, column, fact.name if _alone(fact, known) else fact.id, bold)
        rule = _rule(fact, column, lists, base)
        if fact.kind == "date":
            sheet.set_column(column, column, 14, day)
        if rule:
            sheet.data_validation(1, column, ROWS, column, rule)


def _alone(fact: Fact, known: list[Fact]) -> bool:
    return sum(other.name.casefold() == fact.name.casefold() for other in known) == 1


def _rule(fact: Fact, column: int, lists: Any, base: Base) -> dict[str, Any]:
    """What a spreadsheet may accept in a column; a number may still be a range or 'unknown'."""
    help_ = {"input_title": fact.name[:32], "input_message": fact.help[:255]}
    if fact.choices:
        words = [*fact.choices.values(), *([UNKNOWN_WORD] if fact.kind == "check" else [])]
        for row, word in enumerate(words):
            lists.write_string(row, column, word)
        where = _range(column, len(words))
        return {"validate": "list", "source": where, "error_type": "warning", **help_}
    return {"validate": "any", **help_}


def _range(column: int, rows: int) -> str:
    from xlsxwriter.utility import xl_col_to_name  # type: ignore[import-untyped]

    name = xl_col_to_name(column)
    return f"=lists!${name}$1:${name}${rows}"


def _explained(book: Any, sheet: Any, known: list[Fact]) -> None:
    bold = book.add_format({"bold": True})
    wrap = book.add_format({"text_wrap": True, "valign": "top"})
    sheet.set_column(0, 1, 28, wrap)
    sheet.set_column(2, 3, 70, wrap)
    sheet.freeze_panes(1, 0)
    titles = ("column", "id in a mapping file", "what it is", "what may stand there")
    for column, title in enumerate(titles):
        sheet.write_string(0, column, title, bold)
    for row, fact in enumerate(known, 1):
        may = "; ".join(f"{says} ({word})" for word, says in fact.choices.items())
        cells = (fact.name, fact.id, fact.help, may[:32_000])
        for column, cell in enumerate(cells):
            sheet.write_string(row, column, cell)
    notes = (
        "A row is one complaint at one place on one vehicle.",
        "Leave empty what was not looked at; unknown means looked at and could not tell.",
        "Columns that you do not need can be taken out; columns of your own are passed on.",
    )
    for row, note in enumerate(notes, len(known) + 2):
        sheet.write_string(row, 0, note)
