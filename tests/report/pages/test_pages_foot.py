"""What stands at the foot of a printed page: never a heading or a caption without its first row."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from page_samples import pdf_pages

from diagnose.report.formats import html, pdf
from diagnose.report.formats.blocks import (
    Block,
    Document,
    Heading,
    Item,
    Items,
    Pairs,
    Paper,
    Table,
    Text,
)
from tests.outside.fetch import ALL_JUDGES

Made = Callable[[int], Block]

LINES = range(30, 58)
"""Lines before the part at hand, so that it falls on the foot of a page by one of them at least."""


def long_table(n: int) -> Block:
    """A table too long to be kept on a page."""
    rows = tuple((f"row-{n}-{row}.", "what it says") for row in range(14))
    return Table(f"caption-{n}.", ("What", "Says"), rows)


def listed(n: int) -> Block:
    """A list too long for it."""
    return Items(tuple(Item("", f"row-{n}-{row}. What it says.") for row in range(14)))


def named(n: int) -> Block:
    """Names with what is said of each."""
    return Pairs(f"caption {n}", tuple((f"row-{n}-{row}.", "what it says") for row in range(14)))


def document(made: Made) -> Document:
    """A part that begins a page for each number of lines, with what `made` makes below them."""
    return Document("Title", "For the file", "2026-03-05T14:00:00", "Foot", tuple(parts(made)))


def parts(made: Made) -> Iterator[Block]:
    """The blocks of that document."""
    for n in LINES:
        yield Heading(2, f"Part {n}", page=True)
        yield from (Text(f"Line {line} of a page that is read.") for line in range(n))
        yield Heading(3, f"head-{n}.")
        yield made(n)


def parted(pages: list[str]) -> list[str]:
    """Headings and captions that are on another page than the first row below them."""
    return [
        found
        for page in pages
        for found, n in re.findall(r"((?:head|caption)-(\d+)\.)", page)
        if f"row-{n}-0." not in page
    ]


def on_two_pages(pages: list[str]) -> int:
    """For how many numbers of lines the rows are parted by the foot of a page."""
    return sum(
        any(f"row-{n}-0." in page and f"row-{n}-13." not in page for page in pages) for n in LINES
    )


@pytest.mark.parametrize("made", [long_table, listed, named])
@pytest.mark.parametrize("paper", list(Paper))
def test_a_heading_stands_with_what_it_heads(made: Made, paper: Paper) -> None:
    """Wherever the foot of the page falls, heading and caption go with the first row."""
    pages = pdf_pages(pdf.render(document(made), paper))

    assert on_two_pages(pages) > 5
    assert parted(pages) == []


@pytest.mark.skipif(
    shutil.which("chromium") is None and not ALL_JUDGES, reason="no browser on this machine"
)
def test_a_browser_prints_them_together_too(tmp_path: Path) -> None:
    """A page saved as HTML and printed: no caption and no head of a table alone at the foot."""
    page = tmp_path / "page.html"
    page.write_bytes(html.render(document(long_table), Paper.A4))
    quiet = ("--headless=new", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer")
    told = (f"--user-data-dir={tmp_path / 'of'}", f"--print-to-pdf={tmp_path / 'page.pdf'}")
    subprocess.run(["chromium", *quiet, *told, page.as_uri()], check=True, capture_output=True)
    pages = pdf_pages((tmp_path / "page.pdf").read_bytes())

    assert on_two_pages(pages) > 5
    assert parted(pages) == []
