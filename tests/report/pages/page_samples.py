"""What the tests of pages share: reports of worked cases, a page of every kind of block, readers."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import datetime
from html.parser import HTMLParser
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from typing import Any

import pypdf
import typst
from PIL import Image

from diagnose.knowledge.base import Base
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.casefile import read_case
from diagnose.report.content.data import Report
from diagnose.report.content.whole import whole
from diagnose.report.formats.blocks import (
    Bars,
    Document,
    Figure,
    Heading,
    Item,
    Items,
    Pairs,
    Row,
    Table,
    Text,
)
from diagnose.report.formats.pdf import _data
from diagnose.report.pages import Audience, Paper, Setting
from diagnose.report.plan_command import plain_terms

ROOT = Path(__file__).resolve().parents[3]
CASES = sorted(path.stem for path in (ROOT / "cases").glob("*.yaml"))
MADE, START = datetime(2026, 11, 25, 9, 0), datetime(2026, 11, 30, 8, 0)
VOID = {"meta", "br", "image", "path", "rect", "circle", "ellipse", "line", "polygon", "polyline"}


def report_of(reasoner: Reasoner, case: str, planned: bool = True) -> Report:
    """The report of a worked case."""
    base: Base = reasoner.base
    path = ROOT / "cases" / f"{case}.yaml"
    found, problems = read_case(path.name, path.read_text(encoding="utf-8"), base)
    assert found is not None, problems
    terms = plain_terms(base, START) if planned else None
    return whole(reasoner, found.case, MADE, "0.1.0", terms)


def setting(audience: Audience, **more: Any) -> Setting:
    """For a reader, on the shipped base."""
    return Setting(audience, maker="film_maker", **more)


def squeezed(words: str) -> str:
    """Words without any space, so that lines and pages do not matter."""
    return re.sub(r"\s+", "", words)


def strings(value: Any) -> Iterator[str]:
    """All words in a JSON value."""
    match value:
        case str():
            yield value
        case dict():
            yield from (words for part in value.values() for words in strings(part))
        case list():
            yield from (words for part in value for words in strings(part))


def reader(content: bytes) -> pypdf.PdfReader:
    """A PDF opened for reading."""
    return pypdf.PdfReader(BytesIO(content))


def pdf_text(content: bytes) -> str:
    """All text of a PDF."""
    return "\n".join(pdf_pages(content))


def pdf_pages(content: bytes) -> list[str]:
    """The text of a PDF page by page."""
    return [page.extract_text() for page in reader(content).pages]


def tags(content: bytes) -> Iterator[tuple[str, Any]]:
    """The structure of a tagged PDF in reading order: (kind, element)."""
    root = reader(content).trailer["/Root"]["/StructTreeRoot"]
    todo = [root.get_object()]
    while todo:
        element = todo.pop()
        if "/S" in element:
            yield str(element["/S"]).lstrip("/"), element
        children = element.get("/K", [])
        children = children.get_object() if hasattr(children, "get_object") else children
        listed = children if isinstance(children, list) else [children]
        found = [c.get_object() for c in listed if not isinstance(c, int)]
        todo += [c for c in reversed(found) if isinstance(c, dict)]


class Page(HTMLParser):
    """An HTML page taken apart: elements with attributes, text, and what was left open."""

    def __init__(self, content: bytes) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self.feed(content.decode("utf-8"))
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if not {"style", "svg"} & set(self.open):
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(self.words)


_BOX = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50" width="100" height="50">'
    '<rect x="5" y="5" width="90" height="40" fill="none" stroke="black" stroke-width="4"/></svg>'
)
_FIGURE = Figure(_BOX, "A box. It is drawn with a thick line.", "A box.", 100, 50, 0.4)
SAMPLE = Document(
    title="A page of every kind",
    subject="For the file",
    made="2026-11-25 09:00",
    foot="Made for trying",
    blocks=(
        Row((_FIGURE, _FIGURE)),
        Heading(2, "A part"),
        Text("A plain paragraph that is long enough to be broken into two lines. " * 2),
        Text("What is read first.", "lead"),
        Text("What is small.", "small"),
        Text("What to mind.", "mind"),
        Heading(3, "A list"),
        Items((Item("First.", "One.", ("below",)), Item("", "Two.")), numbered=True),
        Items((Item("Do not.", "It breaks."),), kind="mind"),
        Heading(4, "A table"),
        Pairs("Pairs", (("Name", "words"), ("Another", "more words"))),
        Table("Numbers", ("What", "How many"), (("This", "1"), ("That", "20")), numbers=(1,)),
        Bars("Shares", "Cause", (("One", 0.8, "+8.0 dB"), ("Two", 0.15, ""), ("Three", 0.05, ""))),
        Heading(2, "Another page", page=True),
        _FIGURE,
    ),
)

COLUMNS, ROWS = 42, 58
_GREYS = "@%#*+=-:. "


def looks(paper: Paper) -> list[str]:
    """The pages of the sample as coarse pictures in characters, darkest '@', white ' '."""
    source = files("diagnose.report.formats").joinpath("pages.typ").read_bytes()
    given = {"document": json.dumps(_data(SAMPLE, paper))}
    drawn = typst.compile(source, sys_inputs=given, format="png", ppi=36, ignore_system_fonts=True)
    pages = drawn if isinstance(drawn, list) else [drawn]
    return [line for page in pages for line in _coarse(page)]


def _coarse(png: bytes) -> Iterator[str]:
    with Image.open(BytesIO(png)) as picture:
        small = picture.convert("L").resize((COLUMNS, ROWS), Image.Resampling.BOX)
    dots = small.tobytes()
    for row in range(ROWS):
        line = dots[row * COLUMNS : (row + 1) * COLUMNS]
        yield "".join(_GREYS[min(9, dot * 10 // 256)] for dot in line).rstrip()


def drawn_file(paper: Paper) -> Path:
    """Where the picture that was looked at is kept; writing it anew is this module's main."""
    return Path(__file__).with_name(f"looks_{paper}.txt")


def difference(one: str, other: str) -> int:
    """Steps of grey between two dots."""
    return abs(_GREYS.index(one) - _GREYS.index(other))


if __name__ == "__main__":
    for each in Paper:
        drawn_file(each).write_text("\n".join(looks(each)) + "\n", encoding="utf-8")
