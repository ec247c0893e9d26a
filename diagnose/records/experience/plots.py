"""Statistics as plots in a terminal; plotext is imported only when one is drawn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from textwrap import wrap
from typing import Any

from diagnose.records.experience.statistics import Calibration, CauseCount, by_month

MARK = "#"
"""Plots keep to one plain sign, so that they stand on any terminal and in a copied text."""


def causes_plot(
    months: Sequence[CauseCount], name: Callable[[str], str], width: int, height: int
) -> str:
    """Complaints of each month as bars; below, the causes met most often."""
    counts = by_month(months)
    totals = [sum(of_month.values()) for of_month in counts.values()]
    plot = _fresh(width, height)
    plot.bar(list(counts), totals, marker=MARK, width=0.6)
    plot.title("closed complaints by month")
    leading = wrap(f"most often: {_leading(months, name)}", width)
    return "\n".join([_drawn(plot), *leading])


def _leading(months: Sequence[CauseCount], name: Callable[[str], str]) -> str:
    totals: dict[str, int] = {}
    for item in months:
        totals[item.cause] = totals.get(item.cause, 0) + item.count
    ordered = sorted(totals.items(), key=lambda item: (-item[1], item[0]))[:3]
    return ", ".join(f"{name(cause)} ({count})" for cause, count in ordered)


def calibration_plot(found: Calibration, width: int, height: int) -> str:
    """How often conclusions were right against how sure they were; the dotted line is perfect."""
    plot = _fresh(width, height)
    plot.plot([0, 100], [0, 100], marker=".")
    said = [100 * band.said for band in found.bands]
    right = [100 * band.right for band in found.bands]
    plot.scatter(said, right, marker=MARK)
    plot.xlim(0, 100)
    plot.ylim(0, 100)
    plot.title("percent right against percent stated")
    return _drawn(plot)


def _fresh(width: int, height: int) -> Any:
    """The plot of plotext's module, emptied: it has one for the process."""
    import plotext  # type: ignore[import-untyped]

    plotext.clear_figure()
    plotext.theme("clear")
    plotext.plotsize(width, height)
    return plotext


def _drawn(plot: Any) -> str:
    """The plot without the colour codes that plotext writes even where it has no colours."""
    return str(plot.uncolorize(plot.build()))
