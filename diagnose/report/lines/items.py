"""Lists of lines, each item under its mark."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from diagnose.records.experience.nearness import LikeThis
from diagnose.report.formats.blocks import Block, Heading, Item, Items, Text


def listed(words: Iterable[str], mark: str = "") -> Items:
    """A list in which every item has the same mark."""
    return Items(tuple(Item(words=each, mark=mark) for each in words))


def item(words: str, mark: str = "", below: Sequence[str] = ()) -> Items:
    """A single item under a mark of its own, and what belongs to it."""
    return Items((Item(words=words, below=tuple(below), mark=mark),))


def alike(its: LikeThis) -> Iterator[Block]:
    """Closed complaints most like one, each with how it ended, what is alike and what differs."""
    yield Heading(3, its.heading)
    for case in its.cases:
        below = [*filter(None, (case.alike, case.differing))]
        yield item(f"{case.name}: {case.ended}", below=below)
    if its.doubt:
        yield Text(its.doubt, "mind")
