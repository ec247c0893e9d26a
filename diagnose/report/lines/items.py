"""Lists of lines, each item under its mark."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.report.formats.blocks import Item, Items


def listed(words: Iterable[str], mark: str = "") -> Items:
    """A list in which every item has the same mark."""
    return Items(tuple(Item(words=each, mark=mark) for each in words))


def item(words: str, mark: str = "", below: Sequence[str] = ()) -> Items:
    """A single item under a mark of its own, and what belongs to it."""
    return Items((Item(words=words, below=tuple(below), mark=mark),))
