"""A workbook that explains itself: every column, every source, cells wide enough to be read."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import fastexcel
import polars as pl

from diagnose.claims.results.explained import COLUMNS, words
from diagnose.claims.results.results import RESULTS
from diagnose.claims.run import run
from diagnose.knowledge.base import Base
from tests.claims.tables import COMPLETE, example_policy, job, write_csv


def test_every_column_that_is_added_is_explained() -> None:
    """No more and no less; columns of one kind together."""
    assert {re.sub(r"_\d", "_#", name) for name in RESULTS} == set(COLUMNS)


def test_each_source_named_in_the_grounds_is_explained_in_the_workbook(
    base: Base, tmp_path: Path
) -> None:
    """The id in round brackets stands on the last sheet with its title."""
    row = COMPLETE | {"relief_cut": "both_gape", "handover_photos": "fault_already_there"}
    path = tmp_path / "out.xlsx"
    run(job(base, write_csv(tmp_path / "in.csv", [row]), path))
    book = fastexcel.read_excel(str(path))
    sign = str(book.load_sheet("claims").to_polars()["sign_for_1"][0])
    told = book.load_sheet("words").to_polars().filter(pl.col("part") == "source")

    assert book.sheet_names == [
        "claims", "questions", "rolls", "set aside", "summary", "words",
    ]  # fmt: skip
    named = sign.rstrip(")").rpartition("; ")[2].split(", ")
    assert named
    assert set(named) <= set(told["word"])
    assert set(told["word"]) - set(base.sources) == {"common-practice", "memory", "derived"}
    assert len(told) < len(base.sources)
    assert set(base.sources) <= set(words(base, example_policy(base), base.sources)["word"])


def test_long_texts_are_broken_into_lines_and_rows_can_be_filtered(
    base: Base, tmp_path: Path
) -> None:
    """Columns as wide as their cells up to a bound; grounds wrap; a filter stands on the header."""
    path = tmp_path / "out.xlsx"
    run(job(base, write_csv(tmp_path / "in.csv", [COMPLETE]), path))
    with zipfile.ZipFile(path) as book:
        sheet = book.read("xl/worksheets/sheet1.xml").decode()
        styles = book.read("xl/styles.xml").decode()
    widths = [float(width) for width in re.findall(r'<col [^>]*width="([\d.]+)"', sheet)]

    assert "<autoFilter ref=" in sheet
    assert max(widths) < 62
    assert len(set(widths)) > 5
    assert 'wrapText="1"' in styles
