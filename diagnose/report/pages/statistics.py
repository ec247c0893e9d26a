"""What closed cases tell, as pages with plots: causes, recurrences, costs, calibration, signs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path

from diagnose.files import CannotWrite, write
from diagnose.knowledge.base import Base
from diagnose.records import tables
from diagnose.records.experience.sign_worth import carried_most
from diagnose.records.experience.statistics import Calibration, Statistics, by_month
from diagnose.report.formats.blocks import (
    Block,
    Document,
    Figure,
    Heading,
    Item,
    Items,
    Paper,
    Table,
    Text,
)
from diagnose.report.formats.registry import by_ending

WIDTH, HEIGHT, EDGE = 640.0, 240.0, 44.0
"""A plot, and the room around it for its words, in its own units."""

_MOST_MONTHS, _TABLED = 36, 4
"""Months drawn and months told in the table, the last ones."""


def hand_over(
    found: Statistics, base: Base, at: datetime, path: Path, paper: str, overwrite: bool
) -> str:
    """Write the pages by the ending of the file; raises CannotWrite."""
    kind = by_ending(path)
    if kind is None or not kind.pages:
        raise CannotWrite(f"{path}: pages end in .html or .pdf")
    write(path, kind.render(document(found, base, at), Paper(paper)), overwrite)
    return f"Written to {path}."


def document(found: Statistics, base: Base, at: datetime) -> Document:
    """All statistics in reading order."""
    return Document(
        title="What closed cases tell",
        subject="Callbacks",
        made=at.isoformat(timespec="minutes"),
        foot=f"Rule base {base.version}",
        blocks=tuple(_blocks(found, base)),
    )


def _blocks(found: Statistics, base: Base) -> Iterator[Block]:
    held, looked = found.held
    yield Text(
        f"{found.complaints:,} closed complaints on {found.vehicles:,} vehicles. Repairs that held:"
        f" {held:,} of {looked:,} looked at again.",
        "lead",
    )
    if not found.complaints:
        return
    if found.complaints < tables.FEW:
        yield Text(tables.few_words(found.complaints))
    yield Heading(2, "Causes by month")
    yield _months_plot(found)
    rows = tables.month_rows(found, base, _TABLED)
    yield _table("The causes met most often of late", tables.MONTHS_HEAD, rows, len(rows))
    yield Heading(2, "What comes back")
    recurring = tables.recurring_rows(found.recurring, base)
    for kind in dict.fromkeys(row[0] for row in recurring):
        its = [row[1:] for row in recurring if row[0] == kind]
        yield _table(f"By {kind}", tables.RECURRING_HEAD[1:], its)
    if costs := tables.cost_rows(found.costs, base):
        yield Heading(2, "Cost of callbacks")
        yield _table("The dearest causes in total", tables.COSTS_HEAD, costs)
    if found.calibration:
        yield from _held(found.calibration)
    yield from _signs(found, base)


def _table(
    caption: str, head: Sequence[str], rows: Sequence[Sequence[object]], most: int = tables.LONGEST
) -> Table:
    """The first rows as text; columns of numbers to the right."""
    shown = rows[:most]
    numbers = {n for row in shown for n, cell in enumerate(row) if isinstance(cell, int | float)}
    more = f" (the first {len(shown)} of {len(rows)})" if len(rows) > len(shown) else ""
    cells = tuple(tuple(_cell(cell) for cell in row) for row in shown)
    return Table(f"{caption}{more}", tuple(head), cells, tuple(sorted(numbers)))


def _cell(value: object) -> str:
    return f"{value:,.2f}" if isinstance(value, float) else str(value)


def _held(found: Calibration) -> Iterator[Block]:
    yield Heading(2, "How well stated probabilities held")
    yield _calibration_plot(found)
    rows = tables.calibration_rows(found)
    yield _table("By how sure the conclusion was", tables.CALIBRATION_HEAD, rows)
    yield Text(f"{tables.brier_words(found)}.")


def _signs(found: Statistics, base: Base) -> Iterator[Block]:
    misled = [sign for sign in found.signs if sign.misled]
    carried = carried_most(found.signs)
    for title, signs in (("misled", misled), ("carried", carried)):
        if signs:
            told = [tables.sign_words(sign, base) for sign in signs[: tables.LONGEST]]
            yield Heading(2, f"Signs that {title} most often")
            yield Items(tuple(Item(words=words, below=(did,)) for words, did in told))


# Plots


def _months_plot(found: Statistics) -> Figure:
    counts = {month: sum(its.values()) for month, its in by_month(found.months).items()}
    shown = list(counts.items())[-_MOST_MONTHS:]
    top = max(count for _, count in shown)
    step = (WIDTH - 2 * EDGE) / len(shown)
    every = -(-len(shown) // 9)
    parts = [_line(EDGE, HEIGHT - EDGE, WIDTH - EDGE, HEIGHT - EDGE)]
    for number, (month, count) in enumerate(shown):
        high = (HEIGHT - 2 * EDGE) * count / top
        left = EDGE + number * step
        parts.append(
            f'<rect x="{left + 0.1 * step:.1f}" y="{HEIGHT - EDGE - high:.1f}"'
            f' width="{0.8 * step:.1f}" height="{high:.1f}" fill="#3a6d7c"/>'
        )
        if number % every == 0:
            parts.append(_words(left + step / 2, HEIGHT - EDGE + 16, month))
    parts.append(_words(EDGE - 14, EDGE + 4, f"{top:,}"))
    parts.append(_words(EDGE - 14, HEIGHT - EDGE + 4, "0"))
    told = ", ".join(f"{month}: {count}" for month, count in shown)
    return _figure(parts, f"Closed complaints by month. {told}.", "Closed complaints by month.")


def _calibration_plot(found: Calibration) -> Figure:
    """A dot for each band, the larger the more conclusions; on the line it held exactly."""
    across, up = WIDTH - 2 * EDGE, HEIGHT - 2 * EDGE
    bottom = HEIGHT - EDGE
    parts = [
        _line(EDGE, bottom, WIDTH - EDGE, bottom),
        _line(EDGE, bottom, EDGE, EDGE),
        _line(EDGE, bottom, WIDTH - EDGE, EDGE, "4 4"),
    ]
    most = max(band.count for band in found.bands)
    for band in found.bands:
        x, y = EDGE + across * band.said, bottom - up * band.right
        size = 3 + 7 * (band.count / most) ** 0.5
        parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size:.1f}" fill="#3a6d7c"/>')
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        parts.append(_words(EDGE + across * share, bottom + 16, f"{share:.0%}"))
        parts.append(_words(EDGE - 20, bottom - up * share + 4, f"{share:.0%}"))
    parts.append(_words(WIDTH / 2, HEIGHT - 8, "stated"))
    parts.append(_words(EDGE + 30, EDGE - 10, "was right"))
    told = ", ".join(f"{b.said:.0%} stated, {b.right:.0%} right" for b in found.bands)
    says = "How often conclusions were right against how sure they were"
    return _figure(parts, f"{says}: {told}.", f"{says}; on the dotted line it held exactly.")


def _line(x: float, y: float, to_x: float, to_y: float, dashes: str = "") -> str:
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<line x1="{x:g}" y1="{y:g}" x2="{to_x:g}" y2="{to_y:g}" stroke="#444"'
        f' stroke-width="1"{dashed}/>'
    )


def _words(x: float, y: float, words: str) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-family="sans-serif" font-size="11" fill="#222"'
        f' text-anchor="middle">{words}</text>'
    )


def _figure(parts: Sequence[str], told: str, caption: str) -> Figure:
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}"'
        f' width="{WIDTH:g}" height="{HEIGHT:g}" role="img">{"".join(parts)}</svg>'
    )
    return Figure(svg, told, caption, WIDTH, HEIGHT)
