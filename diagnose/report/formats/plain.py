"""A document as lines, plain or with the marks of Markdown: the same blocks in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import assert_never

from diagnose.report.formats.blocks import (
    Bars,
    Block,
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
from diagnose.report.style import Style


def words(document: Document, style: Style, titled: bool = True) -> str:
    """The document in lines; of a picture its alternative text is left.

    `titled`: False leaves out the title and what it is made for.
    """
    lines = [*(_title(document, style) if titled else ()), *_body(document, style)]
    return "\n".join(lines if document.tight else _single_spaced(lines)).strip() + "\n"


def _single_spaced(lines: Iterable[str]) -> Iterator[str]:
    """The lines with one empty line where there are several."""
    before = None
    for line in lines:
        if line or before != "":
            yield line
        before = line


def _title(document: Document, style: Style) -> Iterator[str]:
    yield from style.heading(1, document.title)
    yield from style.line(f"{document.subject}.")
    if not document.tight:
        yield ""


def _body(document: Document, style: Style) -> Iterator[str]:
    for block in document.blocks:
        yield from _block(block, style)
        if not document.tight and not isinstance(block, Heading):
            yield ""
    yield from ["", *style.line(f"{document.foot}.")]


def _block(block: Block, style: Style) -> Iterator[str]:
    match block:
        case Heading():
            yield from style.heading(block.level, block.words)
        case Text():
            yield from _text(block, style)
        case Items():
            yield from _items(block, style)
        case Pairs():
            for name, said in block.pairs:
                yield from style.item(f"{name}: {said}")
        case Table():
            yield from _table(block, style)
        case Bars():
            yield from [*style.line(block.caption), ""]
            for name, _, said in block.in_words:
                yield from style.item(f"{name}: {said}")
        case Figure():
            yield from style.line(f"Picture: {block.alternative}")
        case Row():
            for figure in block.figures:
                yield from [*_block(figure, style), ""]
        case _:
            assert_never(block)


def _text(block: Text, style: Style) -> Iterator[str]:
    if block.kind == "mind":
        yield from style.item(block.words, "!")
    else:
        yield from style.line(block.words, indent=3 if block.kind == "note" else 0)


def _items(block: Items, style: Style) -> Iterator[str]:
    bullet = "!" if block.kind == "mind" and not style.markdown else "-"
    for number, item in enumerate(block.items, 1):
        mark = f"{number}." if block.numbered else bullet
        yield from _item(item, item.mark or mark, style)


def _item(item: Item, mark: str, style: Style) -> Iterator[str]:
    yield from style.item(f"{item.lead} {item.words}", mark)
    for said in item.below:
        yield from style.below(said)


def _table(block: Table, style: Style) -> Iterator[str]:
    """Each row as one item, its first cell naming it: read aloud, a table of lines is none."""
    yield from [*style.line(block.caption), ""]
    for name, *cells in block.rows:
        told = zip(block.head[1:], cells, strict=True)
        said = (f"{head.lower()}: {cell.rstrip('.')}" for head, cell in told if cell)
        yield from style.item("; ".join([name, *said]))
