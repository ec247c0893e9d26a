"""A car from above, both sides, front and rear, with the places of complaints marked."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.report.drawings import svg
from diagnose.report.drawings.drawing import Drawing
from diagnose.report.drawings.panels import (
    SIZES,
    VIEWS,
    Panel,
    panel_at,
    panel_name,
    panels_of,
    wheels_of,
)
from diagnose.report.drawings.svg import Point
from diagnose.report.drawings.vehicles import VEHICLES


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Where the upper left corner of each view lies, and the first line of the list of places."""

    places: dict[str, Point]
    listed: Point
    width: float
    height: float


_TALL = _Sheet(
    {
        "right": (20, 64),
        "top": (20, 238),
        "left": (20, 466),
        "front": (450, 64),
        "rear": (450, 250),
    },
    (450, 440),
    690,
    620,
)
_WIDE = _Sheet(
    {
        "left": (20, 64),
        "top": (440, 64),
        "right": (860, 64),
        "front": (1290, 64),
        "rear": (1490, 64),
    },
    (1290, 236),
    1690,
    278,
)
_CAPTIONS = {
    "right": "Right side (front at right)",
    "top": "From above (front at left)",
    "left": "Left side (front at left)",
    "front": "Front",
    "rear": "Rear",
}
_LINE = 21.0
_RADIUS = 16.0
_STEPS = 16


@dataclass(frozen=True, slots=True)
class Mark:
    """A numbered place on a panel.

    `view` picks the view (default: where the panel shows largest) and `at` the point in
    that view's units (default: the clearest place on the panel); `name` is what the list of
    places calls it (default: the panel's name).
    """

    number: int
    panel: str
    view: str | None = None
    at: Point | None = None
    name: str = ""

    def called(self, vehicle: str) -> str:
        """What the place is called in the list beside the drawing."""
        return self.name or panel_name(self.panel, vehicle)


def car_drawing(marked: Sequence[Mark], vehicle: str, wide: bool = False) -> Drawing:
    """Draw a vehicle of a class in `VEHICLES` with numbered marks on its panels.

    `wide` sets all views in one row, for a sheet that has the room beside but not below.
    Raises ValueError, naming all of them, for marks on panels or views that are not there.
    """
    _refuse_unknown(marked, vehicle)
    sheet = _WIDE if wide else _TALL
    places = _places(marked, vehicle)
    title = f"{vehicle.capitalize()} with the marked places" if marked else vehicle.capitalize()
    names = [f"{mark.number} {mark.called(vehicle)}" for mark in marked]
    told = "; ".join(names) if names else "no place is marked"
    description = f"A {vehicle} from above, from both sides, front and rear. Marked: {told}."
    left, top = sheet.listed
    height = max(sheet.height, top + _LINE * len(names) + 20)
    body = (
        svg.lettering(20, 26, title, size=19, bold=True)
        + "".join(_view(view, sheet.places[view], vehicle, marked, places) for view in VIEWS)
        + "".join(
            svg.lettering(left, top + _LINE * index, name, size=14)
            for index, name in enumerate(names)
        )
    )
    key = "-".join(["car", vehicle, *(f"{mark.number}-{mark.panel}" for mark in marked)])
    text = svg.sheet(key, title, description, body, width=sheet.width, height=height)
    return Drawing(text, title, description, sheet.width, height)


def panel_on_sheet(x: float, y: float, vehicle: str = "saloon") -> Panel | None:
    """Find the panel at a point of the car drawing that is not wide, in the drawing's units."""
    for view, (left, top) in _TALL.places.items():
        width, height = SIZES[view]
        if 0 <= x - left <= width and 0 <= y - top <= height:
            return panel_at(view, x - left, y - top, vehicle)
    return None


def _refuse_unknown(marked: Sequence[Mark], vehicle: str) -> None:
    if vehicle not in VEHICLES:
        raise ValueError(f"No drawing of a '{vehicle}'; choose one of {', '.join(VEHICLES)}.")
    shown = {(panel.id, view) for view in VIEWS for panel in panels_of(vehicle, view)}
    known = sorted({panel for panel, _ in shown})
    wrong = [
        f"Mark {mark.number}: no panel '{mark.panel}'"
        + (f" in view '{mark.view}'" if mark.view else "")
        for mark in marked
        if not any(mark.panel == panel and mark.view in (None, view) for panel, view in shown)
    ]
    if wrong:
        raise ValueError(f"{'; '.join(wrong)}. The {vehicle} has {', '.join(known)}.")


def _places(marked: Sequence[Mark], vehicle: str) -> list[tuple[str, Point]]:
    """Give each mark a view and a point; marks on one panel keep clear of each other."""
    places: list[tuple[str, Point]] = []
    for mark in marked:
        panel = _largest(mark, vehicle)
        taken = [point for view, point in places if view == panel.view]
        places.append((panel.view, mark.at or _clearest(panel, taken)))
    return places


def _largest(mark: Mark, vehicle: str) -> Panel:
    views = (mark.view,) if mark.view else VIEWS
    shown = [p for view in views for p in panels_of(vehicle, view) if p.id == mark.panel]
    return max(shown, key=_breadth)


def _breadth(panel: Panel) -> float:
    (left, top), (right, low) = _box(panel)
    return (right - left) * (low - top)


def _box(panel: Panel) -> tuple[Point, Point]:
    xs = [x for x, _ in panel.outline]
    ys = [y for _, y in panel.outline]
    return (min(xs), min(ys)), (max(xs), max(ys))


def _clearest(panel: Panel, taken: list[Point]) -> Point:
    """Find the point of the panel farthest from edges, from panels over it and from marks."""
    (left, top), (right, low) = _box(panel)
    grid = [
        (left + (right - left) * column / _STEPS, top + (low - top) * row / _STEPS)
        for row in range(1, _STEPS)
        for column in range(1, _STEPS)
    ]
    own = [
        point
        for point in grid
        if panel.contains(*point) and panel_at(panel.view, *point, panel.vehicle) == panel
    ]
    return max(own or grid, key=lambda point: _room(panel, point, taken))


def _room(panel: Panel, point: Point, taken: list[Point]) -> float:
    """Give the room for a mark at a point: to edges, wheels and the marks there."""
    wheels = [wheel.clearance(*point) for wheel in wheels_of(panel.vehicle, panel.view)]
    marks = [math.dist(point, other) - _RADIUS - 4 for other in taken]
    return min([panel.clearance(*point), *wheels, *marks])


def _view(
    view: str,
    corner: Point,
    vehicle: str,
    marked: Sequence[Mark],
    places: list[tuple[str, Point]],
) -> str:
    left, top = corner
    ids = {mark.panel for mark in marked}
    panels = [svg.area(p.outline, _filling(p, ids), width=2.4) for p in panels_of(vehicle, view)]
    wheels = [svg.area(w.outline, "dense", width=2) for w in wheels_of(vehicle, view)]
    marks = [
        _circle(mark.number, point)
        for mark, (shown, point) in zip(marked, places, strict=True)
        if shown == view
    ]
    caption = svg.lettering(left, top - 10, _CAPTIONS[view], size=14)
    return caption + svg.moved(left, top, "".join(panels + wheels + marks))


def _filling(panel: Panel, marked: set[str]) -> str:
    if panel.id in marked:
        return "hatch"
    return "mist" if panel.is_glass else "white"


def _circle(number: int, at: Point) -> str:
    x, y = at
    return (
        svg.ellipse(x, y, _RADIUS + 2, _RADIUS + 2, "white", 0)
        + svg.ellipse(x, y, _RADIUS, _RADIUS, "white", 2.5)
        + svg.lettering(x, y + 6, str(number), size=19, anchor="middle", bold=True)
    )
