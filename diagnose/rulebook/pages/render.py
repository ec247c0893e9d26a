"""A page as text for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from diagnose.rulebook.pages.page import (
    Block,
    CellTable,
    EntryPage,
    Grid,
    ItemList,
    Ref,
    Words,
    plain,
)
from diagnose.typed import clean

NARROWEST = 30


def text(page: EntryPage, width: int = 80) -> str:
    """A page, wrapped; every mention carries its id, so that it can be shown next."""
    width = max(width, NARROWEST)
    lines = [
        *_wrapped(page.name, width),
        "=" * min(len(page.name), width),
        *_wrapped(f"{page.kind} {page.id}, {page.place}", width),
        "",
        *_wrapped(page.lead, width),
        "",
    ]
    for label, words in page.facts:
        lines += _wrapped(f"{label}: {_said(words)}", width, hang=2)
    for block in page.blocks:
        rule = "-" * min(len(block.title), width)
        lines += ["", *_wrapped(block.title, width), rule, *_block(block, width)]
    return "\n".join(lines) + "\n"


def _said(words: Words) -> str:
    return clean("".join(w if isinstance(w, str) else _mention(w) for w in words))


def _mention(ref: Ref) -> str:
    return ref.words if ref.words == ref.id else f"{ref.words} [{ref.id}]"


def _wrapped(words: str, width: int, indent: int = 0, hang: int = 0) -> list[str]:
    return textwrap.wrap(
        clean(words),
        width,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + hang),
        break_on_hyphens=False,
    )


def _block(block: Block, width: int) -> Iterator[str]:
    if isinstance(block.body, ItemList):
        for number, item in enumerate(block.body.items, 1):
            mark = f"{number}. " if block.body.numbered else "- "
            yield from _wrapped(mark + _said(item), width, hang=len(mark))
    elif isinstance(block.body, CellTable):
        yield from _columns(block.body, width)
    elif isinstance(block.body, Grid):
        yield from _grid(block.body, width)
    else:
        yield from _wrapped(_said(block.body), width)


def _grid(grid: Grid, width: int) -> Iterator[str]:
    """Each row as an item: the first cell leads, the others follow with their heads."""
    for row in grid.rows:
        yield from _wrapped(f"- {_said(row[0])}", width, hang=2)
        for head, cell in zip(grid.head[1:], row[1:], strict=True):
            said = _said(cell)
            if said:
                yield from _wrapped(f"{head}: {said}", width, indent=4, hang=2)


WIDEST_CELL = 34
"""Characters of a cell that is not the last of its row."""

NARROWEST_CELL = 12
"""Characters to which the first cell of a row may be cut."""

LEAST_LEFT = 16
"""Characters that must be left for a last cell that is long."""

Cells = tuple[str, ...]


def _columns(table: CellTable, width: int) -> Iterator[str]:
    """Cells below each other, numbers to the right; long heads as letters that are told first.

    Where there is no room for columns the rows are items.
    """
    rows: list[Cells] = [tuple(clean(plain(cell)) for cell in row) for row in table.rows]
    widths = _widths([table.head, *rows], width)
    head = table.head
    if widths is None:
        letters = [chr(ord("a") + n % 26) * (1 + n // 26) for n in range(len(head) - 1)]
        told = ", ".join(f"{a} {h}" for a, h in zip(letters, head[1:], strict=True))
        head = (head[0], *letters)
        widths = _widths([head, *rows], width)
        if widths is None:
            yield from _grid(table, width)
            return
        yield from _wrapped(told, width, hang=2)
    for row in (head, *rows):
        yield from _line(row, widths, width)


def _widths(rows: Sequence[Cells], width: int) -> list[int] | None:
    """How wide each column but the last is; None where they do not fit."""
    longest = [max(map(len, column)) for column in zip(*rows, strict=True)]
    widths = [min(w, WIDEST_CELL) + 2 for w in longest[:-1]]
    over = sum(widths) + min(longest[-1], LEAST_LEFT) - width
    widths[0] -= max(0, min(over, widths[0] - NARROWEST_CELL))
    return widths if sum(widths) + min(longest[-1], LEAST_LEFT) <= width else None


def _line(row: Cells, widths: Sequence[int], width: int) -> Iterator[str]:
    """A row; its last cell is wrapped below itself."""
    cells = [_cell(n, cell, w) for n, (cell, w) in enumerate(zip(row[:-1], widths, strict=True))]
    before = "".join(cells)
    first, *more = textwrap.wrap(row[-1], width - len(before)) or [""]
    yield (before + first).rstrip()
    yield from (" " * len(before) + line for line in more)


def _cell(number: int, words: str, width: int) -> str:
    """A cell with the blanks after it: names and bars to the left, all else to the right."""
    words = words if len(words) <= width - 2 else f"{words[: width - 3]}…"
    left = number == 0 or words[:1] in ("", "█")
    return words.ljust(width) if left else words.rjust(width - 2) + "  "
