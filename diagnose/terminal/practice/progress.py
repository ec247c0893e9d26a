"""How an apprentice stands: in words, and as plots of points and of calibration."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import tzinfo
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual_plotext import PlotextPlot

from diagnose.practice.progress.over_time import weeks
from diagnose.practice.progress.progress import Progress
from diagnose.practice.progress_words import progress_lines
from diagnose.terminal.frame import Listed
from diagnose.terminal.practice.frame import PracticeFrame
from diagnose.terminal.widgets import Words


class ProgressScreen(PracticeFrame):
    """The words, then the plots below them."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,m,b", "close", show=False)]
    acts: ClassVar[tuple[Listed, ...]] = (("m", "Menu", "close"), ("q", "Leave", "app.leave"))

    DEFAULT_CSS = "ProgressScreen PlotextPlot { height: 14; }"

    def head(self) -> str:
        """Whose progress it is."""
        return f"Progress of {self.desk.book.name}"

    def body(self) -> Iterable[Widget]:
        """The words, and plots once there are two cases to draw."""
        progress = self.desk.progress
        lines = progress_lines(self.room.base, progress, self.desk.clock())
        parts: list[Widget] = [Words(lines, id="words", classes="note")]
        if len(progress.cases) > 1:
            parts += [PlotextPlot(id=name) for name in ("weeks", "points", "calibration")]
        yield VerticalScroll(*parts, id="text")

    def first(self) -> None:
        """The text takes the keys."""
        self.query_one("#text").focus()
        for plot in self.query(PlotextPlot):
            if plot.id == "weeks":
                weeks_plot(plot.plt, self.desk.progress, self.desk.clock().tzinfo)
            else:
                draw = {"points": points_plot, "calibration": calibration_plot}[plot.id or ""]
                draw(plot.plt, self.desk.progress)


def weeks_plot(plot: Any, progress: Progress, zone: tzinfo | None) -> None:
    """Points a case over the weeks, as a curve."""
    found = weeks(progress, zone)
    days = list(range(1, len(found) + 1))
    plot.plot(days, [week.points for week in found.values()], marker="braille")
    plot.scatter(days, [week.points for week in found.values()])
    every = 1 + len(found) // 6
    names = [f"{monday.day}.{monday.month}." for monday in found]
    plot.xticks(days[::every], names[::every])
    plot.ylim(min(0.0, *(week.points for week in found.values())), 100)
    plot.title("points a case, week by week")


def points_plot(plot: Any, progress: Progress) -> None:
    """Points of each case, in order."""
    points = [a.points for a in progress.cases]
    plot.scatter(list(range(1, len(points) + 1)), points)
    plot.xticks(range(1, len(points) + 1, 1 + len(points) // 10))
    plot.title("points, case by case")


def calibration_plot(plot: Any, progress: Progress) -> None:
    """How often the named cause was right against how sure it was said; the line is perfect."""
    found = progress.calibration()
    plot.plot([0, 100], [0, 100], marker=".")
    plot.scatter([100 * b.said for b in found], [100 * b.right for b in found])
    plot.xlim(0, 100)
    plot.ylim(0, 100)
    plot.title("percent right against percent said")
