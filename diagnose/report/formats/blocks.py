"""What pages are made of, before any format: headings, text, lists, tables, figures.

A block holds plain strings and nothing that marks them up, so text that a person typed can be
nothing but text. Each format draws the same blocks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TypeAlias, assert_never

Change: TypeAlias = Callable[[str], str]


class Paper(StrEnum):
    """A size of paper."""

    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of level 1 (once a document) to 4; a `page` begins anew where paper is used."""

    level: int
    words: str
    page: bool = False


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph.

    `kind` is plain, lead (what is read first), small, mind (a warning) or note (it belongs to the
    item of a list before it).
    """

    words: str
    kind: str = "plain"


@dataclass(frozen=True, slots=True)
class Item:
    """One entry of a list: what it is about, in bold, what is said of it, and what belongs to it.

    `mark` stands before it in lines, where it tells more than a bullet: + shown, ? missing.
    """

    lead: str = ""
    words: str = ""
    below: tuple[str, ...] = ()
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Items:
    """A list; numbered where the order matters, with `kind` mind where it warns."""

    items: tuple[Item, ...]
    numbered: bool = False
    kind: str = "plain"


@dataclass(frozen=True, slots=True)
class Pairs:
    """Names with what is said of each; `typed` where a person wrote it, so that it stays as is."""

    caption: str
    pairs: tuple[tuple[str, str], ...]
    typed: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table with one row of heads; `numbers` are the columns that stand to the right."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Bars:
    """Shares of one as bars: (name, share, words beside it)."""

    caption: str
    name: str
    rows: tuple[tuple[str, float, str], ...]

    @property
    def in_words(self) -> Iterator[tuple[str, float, str]]:
        """The rows with the share in words too: (name, share, '12.5% (words beside it)')."""
        for name, share, words in self.rows:
            yield name, share, percent(share) + (f" ({words})" if words else "")


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture as a whole SVG document, `width` and `height` in its own units."""

    svg: str
    alternative: str
    caption: str
    width: float
    height: float
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Row:
    """Figures side by side where there is room."""

    figures: tuple[Figure, ...]


Block: TypeAlias = Heading | Text | Items | Pairs | Table | Bars | Figure | Row


@dataclass(frozen=True, slots=True)
class Document:
    """Blocks in reading order, with what stands on every page.

    `made` is the moment of making as ISO text to the minute; `foot` stands below each page;
    `tight`: in lines no empty line stands between blocks; `data` is what the document says, for
    programs.
    """

    title: str
    subject: str
    made: str
    foot: str
    blocks: tuple[Block, ...]
    tight: bool = False
    data: Mapping[str, object] = field(default_factory=dict)


_NEARLY_NONE, _NEARLY_ALL, _TOP, _LEAST_WHOLE = 0.0005, 0.995, 0.999, 0.005


def percent(share: float) -> str:
    """A share of one in percent; never 'none' or 'all' of what is only nearly so."""
    if 0 < share < _NEARLY_NONE:
        return "under 0.1%"
    if _NEARLY_ALL < share < 1:
        return f"{min(share, _TOP):.1%}"
    return f"{share:.1%}"


def whole_percent(share: float) -> str:
    """The same without a part of a percent."""
    if 0 < share < _LEAST_WHOLE:
        return "under 1%"
    if _NEARLY_ALL < share < 1:
        return "over 99%"
    return f"{share:.0%}"


def changed(block: Block, change: Change) -> Block:
    """A block with its words changed; what a person typed and pictures stay as they are."""
    match block:
        case Heading() | Text():
            return replace(block, words=change(block.words))
        case Items():
            return replace(block, items=tuple(_item(i, change) for i in block.items))
        case Pairs() if not block.typed:
            return replace(block, pairs=tuple((n, change(w)) for n, w in block.pairs))
        case Table():
            return replace(block, rows=tuple(tuple(map(change, row)) for row in block.rows))
        case Pairs() | Bars() | Figure() | Row():
            return block
        case _:
            assert_never(block)


def _item(item: Item, change: Change) -> Item:
    return replace(item, words=change(item.words), below=tuple(map(change, item.below)))
