"""Pages as plain text or Markdown, for a mail or a printer of lines: the same blocks in words."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.report.pages.blocks import (
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
from diagnose.report.pages.wording import percent
from diagnose.report.style import Style


def plain(document: Document, style: Style) -> bytes:
    """The document as UTF-8 bytes; of a picture its alternative text is left."""
    lines: list[str] = []
    for line in _lines(document, style):
        if line or lines[-1:] != [""]:
            lines.append(line)
    return ("\n".join(lines).strip() + "\n").encode()


def _lines(document: Document, style: Style) -> Iterator[str]:
    yield from style.heading(1, document.title)
    yield from [*style.line(f"{document.subject}."), ""]
    for block in document.blocks:
        yield from _block(block, style)
        if not isinstance(block, Heading):
            yield ""
    yield from style.line(f"{document.foot}.")


def _block(block: Block, style: Style) -> Iterator[str]:
    match block:
        case Heading():
            yield from style.heading(block.level, block.words)
        case Text():
            mind = block.kind == "mind"
            yield from style.item(block.words, "!") if mind else style.line(block.words)
        case Items():
            yield from _items(block, style)
        case Pairs():
            for name, words in block.pairs:
                yield from style.item(f"{name}: {words}")
        case Table():
            yield from _table(block, style)
        case Bars():
            yield from [*style.line(block.caption), ""]
            for name, share, words in block.rows:
                yield from style.item(f"{name}: {percent(share)}{f' ({words})' if words else ''}")
        case Figure():
            yield from style.line(f"Picture: {block.alternative}")
        case Row():
            for figure in block.figures:
                yield from [*_block(figure, style), ""]


def _items(block: Items, style: Style) -> Iterator[str]:
    bullet = "!" if block.kind == "mind" and not style.markdown else "-"
    for number, item in enumerate(block.items, 1):
        yield from _item(item, f"{number}." if block.numbered else bullet, style)


def _item(item: Item, mark: str, style: Style) -> Iterator[str]:
    yield from style.item(f"{item.lead} {item.words}", mark)
    for words in item.below:
        yield from style.line(f"- {words}", indent=3)


def _table(block: Table, style: Style) -> Iterator[str]:
    """Each row as one item, its first cell naming it: read aloud, a table of lines is none."""
    yield from [*style.line(block.caption), ""]
    for name, *cells in block.rows:
        told = zip(block.head[1:], cells, strict=True)
        said = (f"{head.lower()}: {cell.rstrip('.')}" for head, cell in told if cell)
        yield from style.item("; ".join([name, *said]))
