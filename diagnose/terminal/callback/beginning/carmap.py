"""The car from five sides in characters; pointing at it tells the panel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from diagnose.report.drawings import VIEWS, panel_at
from diagnose.report.drawings.panels import SIZES, Shape, panels_of, wheels_of, within
from diagnose.terminal.picture import QUARTERS

VIEW_WORDS = {
    "left": "Left side (front at left)",
    "right": "Right side (front at right)",
    "top": "From above (front at left)",
    "front": "Front",
    "rear": "Rear",
}


class CarMap(Widget):
    """One view of the car; the marked panel is filled with a pattern."""

    view: reactive[str] = reactive("left", layout=True)
    vehicle: reactive[str] = reactive("saloon")
    panel: reactive[str] = reactive("")

    def __init__(self, view: str, vehicle: str, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.set_reactive(CarMap.view, view)
        self.set_reactive(CarMap.vehicle, vehicle)

    @dataclass
    class Pointed(Message):
        """A panel was pointed at."""

        panel: str

    def mark(self, panel: str) -> None:
        """Mark a panel, turning the car so that it shows."""
        self.panel = panel
        if panel not in _ids(self.view, self.vehicle):
            shown = [v for v in VIEWS if panel in _ids(v, self.vehicle)]
            self.view = shown[0] if shown else self.view

    def turn(self, step: int) -> None:
        """The view from the next side."""
        self.view = VIEWS[(VIEWS.index(self.view) + step) % len(VIEWS)]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As high as the view is at this width, within what is left of the screen."""
        across, down = SIZES[self.view]
        return 1 + max(3, min(round(width * down / across / 2), container.height - 1))

    def render(self) -> Content:
        """The view with its name."""
        width, height = self.size.width, self.size.height - 1
        if width < 8 or height < 3:
            return Content(VIEW_WORDS[self.view])
        lines = picture(self.view, self.vehicle, self.panel, width, height)
        title = Content.styled(f"◀ {VIEW_WORDS[self.view]}, {self.vehicle} ▶", "bold")
        return Content("\n").join([title, *(Content(line) for line in lines)])

    def on_click(self, event: events.Click) -> None:
        """Tell the panel, or turn the car where its name is touched."""
        event.stop()
        if event.y == 0:
            self.turn(-1 if event.x < self.size.width // 2 else 1)
            return
        columns, rows = self.size.width, self.size.height - 1
        left, top, scale = _fit(self.view, columns, rows)
        x, y = (event.x + 0.5 - left) / scale, ((event.y - 1) + 0.5 - top) * 2 / scale
        found = panel_at(self.view, x, y, self.vehicle)
        if found:
            self.post_message(self.Pointed(found.id))


def _ids(view: str, vehicle: str) -> set[str]:
    return {panel.id for panel in panels_of(vehicle, view)}


def _fit(view: str, columns: int, rows: int) -> tuple[float, float, float]:
    """The left and upper margin in cells, and the cells across for each drawing unit."""
    across, down = SIZES[view]
    scale = min(columns / across, 2 * rows / down)
    return (columns - across * scale) / 2, (rows - down * scale / 2) / 2, scale


@lru_cache(maxsize=128)
def picture(view: str, vehicle: str, marked: str, columns: int, rows: int) -> tuple[str, ...]:
    """Lines of a view: edges of panels in quarter blocks, the marked panel patterned."""
    left, top, scale = _fit(view, columns, rows)

    across = [((x + 0.5) / 2 - left) / scale for x in range(2 * columns)]
    down = [((y + 0.5) / 2 - top) * 2 / scale for y in range(2 * rows)]
    wheels = [("wheel", wheel) for wheel in wheels_of(vehicle, view)]
    shapes = [*wheels, *((panel.id, panel) for panel in reversed(panels_of(vehicle, view)))]
    seen = [_row(shapes, across, height) for height in down]
    return tuple(
        "".join(_cell(seen, 2 * x, 2 * y, marked) for x in range(columns)) for y in range(rows)
    )


def _row(shapes: Sequence[tuple[str, Shape]], across: Sequence[float], height: float) -> list[str]:
    """What lies on top at each place of one height; nothing beside the car."""
    crossed = [(name, shape.crossings(height)) for name, shape in shapes]
    here = [(name, crossings) for name, crossings in crossed if crossings]
    return [next((n for n, crossings in here if within(x, crossings)), "") for x in across]


def _cell(seen: list[list[str]], x: int, y: int, marked: str) -> str:
    quarters = [(x, y), (x + 1, y), (x, y + 1), (x + 1, y + 1)]
    ink = [_edge(seen, *quarter) for quarter in quarters]
    if marked and all(seen[v][u] == marked for u, v in quarters) and not all(ink):
        return "▒"
    return QUARTERS[sum(1 << n for n, inked in enumerate(ink) if inked)]


def _edge(seen: list[list[str]], x: int, y: int) -> bool:
    """Ink where the panel differs from the one to the left or above; wheels are solid."""
    here = seen[y][x]
    if here == "wheel":
        return True
    before = seen[y][x - 1] if x else ""
    above = seen[y - 1][x] if y else ""
    return here != before or here != above
