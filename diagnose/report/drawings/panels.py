"""The panels of a vehicle in each view, and which of them lies at a point."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.report.drawings.outlines.row import Row
from diagnose.report.drawings.svg import Point, trace
from diagnose.report.drawings.vehicles import OUTLINES, VEHICLES

VIEWS = ("left", "right", "top", "front", "rear")
SIZES: dict[str, tuple[float, float]] = {
    "left": (400, 140),
    "right": (400, 140),
    "top": (400, 194),
    "front": (180, 140),
    "rear": (180, 140),
}
REACH = 4.0
_NAMES = {
    "boot_lid": "boot lid or tailgate",
    "fuel_flap": "fuel or charging flap",
    "front_wing": "front wing",
    "a_pillar": "A-pillar",
    "b_pillar": "B-pillar",
    "c_pillar": "C-pillar",
    "d_pillar": "D-pillar",
    "side": "side of the body",
}
_NAMES_ON = {
    "van": {
        "boot_lid": "rear doors",
        "rear_door": "load side front",
        "rear_quarter": "load side rear",
    },
    "lorry": {"boot_lid": "rear doors", "bonnet": "front of the cab"},
    "trailer": {"boot_lid": "rear doors"},
    "pick-up": {"boot_lid": "tailgate", "rear_quarter": "side of the load bed"},
    "camper": {"boot_lid": "rear wall", "rear_door": "door of the living part"},
}
_GLASS = ("window", "windscreen", "lamp")
_BESIDE = ("wheel", "bed")


@dataclass(frozen=True, slots=True)
class Shape:
    """An outline in one view of one vehicle: a polygon in the view's units."""

    view: str
    vehicle: str
    outline: tuple[Point, ...]

    def contains(self, x: float, y: float) -> bool:
        """Tell whether a point lies inside the outline (even-odd rule)."""
        return within(x, self.crossings(y))

    def crossings(self, y: float) -> list[float]:
        """Give where the outline crosses a height, in no order."""
        return [
            x1 + (y - y1) * (x2 - x1) / (y2 - y1)
            for (x1, y1), (x2, y2) in _edges(self.outline)
            if (y1 > y) != (y2 > y)
        ]

    def clearance(self, x: float, y: float) -> float:
        """Give the distance from a point to the nearest edge of the outline."""
        return min(_distance((x, y), start, end) for start, end in _edges(self.outline))


@dataclass(frozen=True, slots=True)
class Panel(Shape):
    """A panel that a complaint can lie on, with its name in words."""

    id: str
    name: str

    @property
    def is_glass(self) -> bool:
        """Tell glass and lamps from painted panels."""
        return any(word in self.id for word in _GLASS)


def within(x: float, crossings: Sequence[float]) -> bool:
    """Tell whether a place lies inside an outline that crosses its height there."""
    return sum(x < crossing for crossing in crossings) % 2 == 1


def panels_of(vehicle: str, view: str) -> tuple[Panel, ...]:
    """Give the panels of one view, the lowest first."""
    return _BY_VIEW[vehicle, view]


def wheels_of(vehicle: str, view: str) -> tuple[Shape, ...]:
    """Give what is drawn and no complaint lies on: the wheels, and an open bed, of one view."""
    return tuple(w for w in _WHEELS if w.vehicle == vehicle and w.view == view)


def panel_at(view: str, x: float, y: float, vehicle: str = "saloon") -> Panel | None:
    """Find the panel on top at a point of a view; None beside the car and on a wheel.

    A point that misses all panels by no more than `REACH` units, on a joint or just beside
    the car, counts for the nearest panel: fingers are broad.
    """
    if any(wheel.contains(x, y) for wheel in wheels_of(vehicle, view)):
        return None
    panels = panels_of(vehicle, view)
    hit = next((panel for panel in reversed(panels) if panel.contains(x, y)), None)
    if hit is not None:
        return hit
    nearest = min(panels, key=lambda panel: panel.clearance(x, y))
    return nearest if nearest.clearance(x, y) <= REACH else None


def panel_name(panel_id: str, vehicle: str = "saloon") -> str:
    """Name a panel in words: 'front door, left'."""
    stem, _, side = panel_id.rpartition("_")
    if side not in ("left", "right"):
        stem, side = panel_id, ""
    words = (_NAMES | _NAMES_ON.get(vehicle, {})).get(stem, stem.replace("_", " "))
    return f"{words}, {side}" if side else words


def _edges(outline: tuple[Point, ...]) -> list[tuple[Point, Point]]:
    return list(zip(outline, outline[1:] + outline[:1], strict=True))


def _distance(point: Point, start: Point, end: Point) -> float:
    dx, dy = end[0] - start[0], end[1] - start[1]
    along = (point[0] - start[0]) * dx + (point[1] - start[1]) * dy
    share = max(0.0, min(1.0, along / ((dx * dx + dy * dy) or 1.0)))
    return math.hypot(point[0] - start[0] - share * dx, point[1] - start[1] - share * dy)


def _round(text: str) -> tuple[Point, ...]:
    """Read a wheel written as "x,y radius", or as a polygon."""
    centre, _, radius = text.partition(" ")
    if "," in radius:
        return trace(text)
    (x, y), reach = trace(centre)[0], float(radius)
    turns = [math.tau * step / 24 for step in range(24)]
    return tuple((x + reach * math.cos(t), y + reach * math.sin(t)) for t in turns)


def _placed(row: Row) -> list[tuple[str, str, tuple[Point, ...]]]:
    """Turn a row into (view, panel id, outline), one for each view and side."""
    group, sides, panel, text = row
    points = _round(text)
    if group == "side":
        shown = ("left", "right") if sides == "both" else (sides,)
        return [(side, panel.replace("*", side), _seen(side, points)) for side in shown]
    if sides == "mid":
        return [(group, panel, _across(group, points, 1) + _across(group, points, -1)[::-1])]
    return [
        (group, panel.replace("*", side), _across(group, points, _SIGN[group][side]))
        for side in ("left", "right")
    ]


# In a view from above with the front at the left, the car's left is below the middle; it is
# at the right of a view from the front and at the left of one from the rear.
_SIGN = {
    "top": {"left": 1, "right": -1},
    "front": {"left": 1, "right": -1},
    "rear": {"left": -1, "right": 1},
}


def _seen(side: str, points: tuple[Point, ...]) -> tuple[Point, ...]:
    width = SIZES[side][0]
    return points if side == "left" else tuple((width - x, y) for x, y in points)


def _across(view: str, points: tuple[Point, ...], sign: int) -> tuple[Point, ...]:
    """Lay points given from the middle outward to one side of the middle."""
    width, height = SIZES[view]
    if view == "top":
        return tuple((x, height / 2 + sign * off) for x, off in points)
    return tuple((width / 2 + sign * off, y) for off, y in points)


_ALL = [
    (vehicle, view, panel, outline)
    for vehicle in VEHICLES
    for row in OUTLINES[vehicle]
    for view, panel, outline in _placed(row)
]
_WHEELS = tuple(
    Shape(view, vehicle, outline)
    for vehicle, view, panel, outline in _ALL
    if panel.startswith(_BESIDE)
)
PANELS: tuple[Panel, ...] = tuple(
    Panel(view, vehicle, outline, panel, panel_name(panel, vehicle))
    for vehicle, view, panel, outline in _ALL
    if not panel.startswith(_BESIDE)
)
_BY_VIEW = {
    (vehicle, view): tuple(p for p in PANELS if p.vehicle == vehicle and p.view == view)
    for vehicle, view in itertools.product(VEHICLES, VIEWS)
}
