"""A page as text for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from diagnose.report.style import clean
from diagnose.rulebook.pages.page import Block, Grid, Listing, Page, Ref, Words

NARROWEST = 30


def text(page: Page, width: int = 80) -> str:
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
    if isinstance(block.body, Listing):
        for number, item in enumerate(block.body.items, 1):
            mark = f"{number}. " if block.body.numbered else "- "
            yield from _wrapped(mark + _said(item), width, hang=len(mark))
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
