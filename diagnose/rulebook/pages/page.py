"""A page about one entry of the rule base, as data: what terminal, JSON and the book all show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Ref:
    """A mention of another entry, by the words that the reader sees."""

    id: str
    words: str


Words = tuple[str | Ref, ...]
"""A run of text in which other entries may be mentioned."""


@dataclass(frozen=True, slots=True)
class ItemList:
    """Items one below another; `numbered` where their order matters."""

    items: tuple[Words, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """A table with a head."""

    head: tuple[str, ...]
    rows: tuple[tuple[Words, ...], ...]


@dataclass(frozen=True, slots=True)
class CellTable(Grid):
    """A grid of short cells, drawn in columns also on a terminal; the last cell may be long."""


@dataclass(frozen=True, slots=True)
class Block:
    """A titled part of a page."""

    title: str
    body: Words | ItemList | Grid


@dataclass(frozen=True, slots=True)
class EntryPage:
    """All that the base says of one entry.

    `kind` is the word for it (cause, check, …); `place` is file:line; `drawn` tells that a drawing
    of that name exists.
    """

    kind: str
    id: str
    name: str
    place: str
    lead: str
    facts: tuple[tuple[str, Words], ...]
    blocks: tuple[Block, ...]
    group: str
    drawn: bool = False


def plain(words: Words) -> str:
    """A run of text without its links."""
    return "".join(w if isinstance(w, str) else w.words for w in words)


def joined(parts: Sequence[Words], between: str = ", ") -> Words:
    """Several runs as one, with something between them."""
    found: list[str | Ref] = []
    for number, part in enumerate(parts):
        if number:
            found.append(between)
        found += part
    return tuple(found)


def full(blocks: Sequence[Block | None]) -> tuple[Block, ...]:
    """The blocks that have something to say."""
    return tuple(b for b in blocks if b is not None and _says_something(b.body))


def _says_something(body: Words | ItemList | Grid) -> bool:
    if isinstance(body, ItemList):
        return bool(body.items)
    return bool(body.rows) if isinstance(body, Grid) else bool(plain(body).strip())


def refs(page: EntryPage) -> Iterator[str]:
    """The ids of all entries that a page mentions."""
    for words in _all_words(page):
        yield from (w.id for w in words if isinstance(w, Ref))


def _all_words(page: EntryPage) -> Iterator[Words]:
    yield from (words for _, words in page.facts)
    for block in page.blocks:
        yield from words_of(block)


def words_of(block: Block) -> Iterator[Words]:
    """All runs of text in a part of a page."""
    if isinstance(block.body, ItemList):
        yield from block.body.items
    elif isinstance(block.body, Grid):
        yield from (cell for row in block.body.rows for cell in row)
    else:
        yield block.body


def data(page: EntryPage) -> dict[str, Any]:
    """A page as plain data; every mention is kept with the id it leads to."""
    return {
        "kind": page.kind,
        "id": page.id,
        "name": page.name,
        "place": page.place,
        "lead": page.lead,
        "facts": {label: _words_data(words) for label, words in page.facts},
        "parts": [{"title": b.title, **_body_data(b.body)} for b in page.blocks],
    }


def _words_data(words: Words) -> dict[str, Any]:
    found: dict[str, Any] = {"text": plain(words)}
    named = [w.id for w in words if isinstance(w, Ref)]
    return {**found, "mentions": named} if named else found


def _body_data(body: Words | ItemList | Grid) -> dict[str, Any]:
    if isinstance(body, ItemList):
        return {"items": [_words_data(item) for item in body.items]}
    if isinstance(body, Grid):
        rows = [dict(zip(body.head, map(_words_data, row), strict=True)) for row in body.rows]
        return {"rows": rows}
    return _words_data(body)
