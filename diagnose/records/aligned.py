"""Rows of values as aligned columns of text, or written out where a page is narrow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap

from diagnose.typed import on_one_line

_WIDEST = 40

_NARROWEST = 12
"""No column gives way further than this."""


def table(
    head: Sequence[str], rows: Iterable[Sequence[object]], width: int = 0, firm: int = 0
) -> str:
    """Aligned columns; numbers to the right, long text cut with an ellipsis.

    `width`: the widest columns of text give way until a line fits, and where none can any more
    each row is written out below the other; 0 for any width; `firm`: so many columns from the left
    never give way.
    """
    rows = [tuple(row) for row in rows]
    cells = [[_cell(value) for value in row] for row in rows]
    right = [any(_is_number(value) for value in column) for column in _columns(rows)]
    right += [False] * (len(head) - len(right))
    lines = [list(head), *cells]
    widths = [max(len(line[at]) for line in lines) for at in range(len(head))]
    if width and not fit(widths, width, [at for at in range(firm, len(head)) if not right[at]]):
        return "\n".join(_written_out(head, row, right, width) for row in rows)
    return "\n".join(_aligned(line, widths, right) for line in lines)


def _written_out(
    head: Sequence[str], row: Sequence[object], right: Sequence[bool], width: int
) -> str:
    """A row on a narrow page: what it is of, and below, each further cell with its heading."""
    _, *rest = zip(head, row, right, strict=True)
    first = 1 + next((at for at, (*_, number) in enumerate(rest) if number), len(rest))
    title = " ".join(_words(value) for value in row[:first])
    told = ", ".join(
        f"{_words(value)} {name}" if number else f"{name}: {_words(value)}"
        for name, value, number in rest[first - 1 :]
    )
    below = wrap(told, width, initial_indent="  ", subsequent_indent="  ")
    return "\n".join([*wrap(title, width, subsequent_indent="  "), *below])


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) or (isinstance(value, str) and value.endswith("%"))


def _words(value: object) -> str:
    return f"{value:,.2f}" if isinstance(value, float) else on_one_line(str(value))


def fit(widths: list[int], width: int, yielding: Sequence[int]) -> bool:
    """Narrow the widest of the yielding columns until a line fits; False where none can."""
    while sum(widths) + 2 * (len(widths) - 1) > width:
        widest = max(yielding, key=lambda at: widths[at], default=-1)
        if widest < 0 or widths[widest] <= _NARROWEST:
            return False
        widths[widest] -= 1
    return True


def _columns(rows: Iterable[Sequence[object]]) -> Iterator[tuple[object, ...]]:
    return zip(*rows, strict=True)


def _cell(value: object) -> str:
    return cut(_words(value), _WIDEST)


def cut(text: str, width: int) -> str:
    """Text of at most this many characters, with an ellipsis where some were left out."""
    return text if len(text) <= width else text[: width - 1] + "…"


def _aligned(line: Sequence[str], widths: Sequence[int], right: Sequence[bool]) -> str:
    parts = [
        cut(text, width).rjust(width) if to_right else cut(text, width).ljust(width)
        for text, width, to_right in zip(line, widths, right, strict=True)
    ]
    return "  ".join(parts).rstrip()
