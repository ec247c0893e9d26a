"""One registry of formats: each a line there and a module, and all say the same of a document."""

from __future__ import annotations

import json
import pkgutil
from dataclasses import replace
from importlib import import_module
from pathlib import Path

import pytest
from page_samples import SAMPLE, Page, pdf_text, squeezed

from diagnose.report import formats
from diagnose.report.formats.blocks import (
    Bars,
    Block,
    Document,
    Heading,
    Item,
    Items,
    Pairs,
    Paper,
    Table,
    Text,
    whole_percent,
)
from diagnose.report.formats.plain import words
from diagnose.report.formats.registry import FORMATS, Format, by_ending
from diagnose.report.style import Style

NOTED = replace(
    SAMPLE,
    blocks=(
        *SAMPLE.blocks,
        Items((Item(words="Marked.", mark="?"), Item("", "Another.", ("beneath",)))),
        Text("What goes on with it.", "note"),
    ),
    data={"said": "as data"},
)


def said_by(block: Block) -> list[str]:
    """The words of a block that every format must say."""
    match block:
        case Heading() | Text():
            return [block.words]
        case Items():
            return [w for i in block.items for w in (i.lead, i.words, *i.below)]
        case Pairs():
            return [w for pair in block.pairs for w in pair]
        case Table():
            return [w.rstrip(".") for row in block.rows for w in row]
        case Bars():
            return [w for name, _, share in block.in_words for w in (name, share)]
    return []


def shown(kind: str, document: Document) -> str:
    """What a reader sees of a document in a format, without spaces."""
    made = FORMATS[kind].render(document, Paper.A4)
    match kind:
        case "html":
            return squeezed(Page(made).text)
        case "pdf":
            return squeezed(pdf_text(made))
    return squeezed(made.decode().replace("\\", ""))


@pytest.mark.parametrize("kind", [name for name in FORMATS if name != "json"])
def test_every_format_says_every_word(kind: str) -> None:
    """Headings, text, lists, pairs, tables and shares: no format leaves anything out."""
    seen = shown(kind, NOTED).casefold()

    for block in NOTED.blocks:
        for each in said_by(block):
            assert squeezed(each).casefold() in seen, (kind, each)


def test_programs_get_the_data_of_a_document() -> None:
    """JSON is what the document says as data, not its blocks."""
    assert json.loads(FORMATS["json"].render(NOTED)) == {"said": "as data"}


def test_a_format_is_a_module_and_a_line() -> None:
    """Whatever module can render stands in the registry, and nothing else does."""
    modules = {m.name for m in pkgutil.iter_modules(formats.__path__)}
    rendering = {m for m in modules if hasattr(import_module(f"{formats.__name__}.{m}"), "render")}

    assert rendering == set(FORMATS)
    assert all(name == its.name for name, its in FORMATS.items())


def test_a_file_is_written_as_its_ending_says() -> None:
    """Each ending names one format; an unknown one names none."""
    endings = [ending for its in FORMATS.values() for ending in its.endings]

    assert len(set(endings)) == len(endings)
    assert by_ending(Path("Report.HTM")) is FORMATS["html"]
    assert by_ending(Path("report.md")) is FORMATS["markdown"]
    assert by_ending(Path("report.doc")) is None
    assert by_ending(Path("report")) is None


def test_a_line_without_its_module_is_an_error_at_once() -> None:
    """A format that is only named cannot be made."""
    with pytest.raises(ModuleNotFoundError, match=r"formats\.braille"):
        Format("braille", "Raised dots", (".brf",)).render(SAMPLE)


@pytest.mark.parametrize(
    ("style", "lines"),
    [
        (
            Style(False, 40),
            ["? Marked.", "2. Second.", "   beneath", "   What goes on with it.", "! Mind."],
        ),
        (
            Style(True, 0),
            ["? Marked.", "2. Second.", "   - beneath", "What goes on with it.", "! Mind."],
        ),
    ],
)
def test_close_lines_have_no_empty_line_between_them(style: Style, lines: list[str]) -> None:
    """A report for a terminal: marks before the items, and what belongs to an item under it."""
    document = Document(
        "Title",
        "Made today",
        "2026-11-25 09:00",
        "Made with care",
        (
            Items((Item(words="Marked.", mark="?"),)),
            Items((Item(words="Second.", below=("beneath",), mark="2."),)),
            Text("What goes on with it.", "note"),
            Text("Mind.", "mind"),
        ),
        tight=True,
    )

    assert words(document, style, titled=False).splitlines() == [*lines, "", "Made with care."]


@pytest.mark.parametrize(
    ("share", "says"), [(0.0, "0%"), (0.004, "under 1%"), (0.42, "42%"), (0.997, "over 99%")]
)
def test_no_chance_is_printed_as_sure(share: float, says: str) -> None:
    """What is only nearly so is never called none or all."""
    assert whole_percent(share) == says
