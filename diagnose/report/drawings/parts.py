"""The parts of a drawing: marks on the film, fillings, arrows, tools, words.

Each part is a few numbers that know how to draw themselves in a frame 300 wide and 200
high. Both frames of a drawing have the same x, so the cut lies below what it cuts.
"""

import math
from dataclasses import dataclass

from diagnose.report.drawings import svg
from diagnose.report.drawings.svg import Point


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points, straight or rounded; `fill` closes it into an area."""

    points: tuple[Point, ...]
    width: float = 1.5
    dash: str = ""
    fill: str = "none"
    smooth: bool = False

    def draw(self) -> str:
        """Draw the line, and its area on white where it has one."""
        closed = self.fill != "none"
        form = svg.curve if self.smooth else svg.outline
        data = form(self.points, closed=closed)
        ground = svg.path(data, fill="white", width=0) if closed else ""
        return ground + svg.path(data, fill=self.fill, width=self.width, dash=self.dash)


@dataclass(frozen=True, slots=True)
class Blob:
    """A rounded area, `uneven` from 0 (an ellipse) upward; width 0 gives it no outline."""

    x: float
    y: float
    across: float
    down: float
    fill: str = "white"
    uneven: float = 0.15
    width: float = 1.5
    dash: str = ""

    def draw(self) -> str:
        """Draw the area with a wave of fixed form along its rim."""
        if not self.uneven:
            return self._ellipse()
        rim = []
        for step in range(16):
            turn = math.tau * step / 16
            reach = 1 + self.uneven * math.sin(3 * turn + 1) * math.cos(2 * turn)
            rim.append(
                (
                    self.x + self.across / 2 * reach * math.cos(turn),
                    self.y + self.down / 2 * reach * math.sin(turn),
                )
            )
        return Line(tuple(rim), self.width, self.dash, self.fill, smooth=True).draw()

    def _ellipse(self) -> str:
        return svg.ellipse(self.x, self.y, self.across / 2, self.down / 2, self.fill, self.width)


@dataclass(frozen=True, slots=True)
class Tube:
    """A raised thread seen from above: two outlines and a thin core."""

    points: tuple[Point, ...]
    breadth: float = 12

    def draw(self) -> str:
        """Draw the thread as a wide black, a narrower white and a thin black line."""
        data = svg.curve(self.points)
        rim = svg.path(data, width=self.breadth)
        return rim + svg.path(data, width=self.breadth - 4, ink=svg.PAPER) + svg.path(data, width=2)


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle."""

    x: float
    y: float
    across: float
    down: float
    fill: str = "white"
    width: float = 1.5
    dash: str = ""

    def draw(self) -> str:
        """Draw the rectangle."""
        right, low = self.x + self.across, self.y + self.down
        start = (self.x, self.y)
        corners = (start, (right, self.y), (right, low), (self.x, low), start)
        return Line(corners, self.width, self.dash, self.fill).draw()


@dataclass(frozen=True, slots=True)
class Ridge:
    """A long raised place seen from above: a lens with its shadow side hatched."""

    start: Point
    end: Point
    breadth: float

    def draw(self) -> str:
        """Draw the lens and the shadow along one side."""
        left, right = self._flank(1), self._flank(-1)
        spine = self._flank(0.15)
        rim = (self.start, *left, self.end, *reversed(right))
        shadow = (self.start, *spine, self.end, *reversed(right))
        return (
            Line(rim, 2, fill="white", smooth=True).draw()
            + Line(shadow, 0, fill="shade", smooth=True).draw()
        )

    def _flank(self, side: float) -> tuple[Point, ...]:
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        length = math.hypot(dx, dy)
        points = []
        for share in (0.12, 0.3, 0.5, 0.7, 0.88):
            off = side * self.breadth / 2 * math.sin(math.pi * share) ** 0.6
            points.append(
                (
                    self.start[0] + dx * share - dy / length * off,
                    self.start[1] + dy * share + dx / length * off,
                )
            )
        return tuple(points)


@dataclass(frozen=True, slots=True)
class Domes:
    """Rounded raised spots: (x, y, radius); the shadow side is hatched."""

    spots: tuple[tuple[float, float, float], ...]
    fill: str = "white"

    def draw(self) -> str:
        """Draw each as a disc with a hatched crescent."""
        return "".join(self._one(x, y, radius) for x, y, radius in self.spots)

    def _one(self, x: float, y: float, radius: float) -> str:
        turns = [math.radians(angle) for angle in range(-30, 121, 10 if radius > 25 else 30)]
        rim = [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns]
        inner = [(x + 0.45 * radius * math.cos(t), y + 0.45 * radius * math.sin(t)) for t in turns]
        crescent = svg.area(rim + inner[::-1], "shade", width=0)
        return svg.ellipse(x, y, radius, radius, self.fill, 2) + crescent


@dataclass(frozen=True, slots=True)
class Points:
    """Small marks at (x, y): nib (point with a star), fleck, crumb, pit or drop."""

    places: tuple[Point, ...]
    kind: str
    size: float = 4

    def draw(self) -> str:
        """Draw one mark at each place."""
        mark = {
            "nib": self._nib,
            "fleck": self._fleck,
            "crumb": self._crumb,
            "pit": self._pit,
            "drop": self._drop,
        }[self.kind]
        return "".join(mark(x, y) for x, y in self.places)

    def _nib(self, x: float, y: float) -> str:
        rays = self._rays(x, y, self.size * 1.4, self.size * 2.6, 6)
        return rays + svg.ellipse(x, y, self.size * 0.8, self.size * 0.8, "black", 0)

    def _fleck(self, x: float, y: float) -> str:
        return svg.path(svg.outline([(x, y), (x + self.size * 1.6, y - self.size)]), width=1.6)

    def _crumb(self, x: float, y: float) -> str:
        s = self.size
        corners = [(x - s, y), (x - s / 2, y - s), (x + s, y - s / 2), (x + s / 2, y + s)]
        return svg.area(corners, "black", width=0.5)

    def _pit(self, x: float, y: float) -> str:
        rays = self._rays(x, y, self.size, self.size * 2.2, 7)
        return svg.ellipse(x, y, self.size, self.size, "hatch", 2) + rays

    def _drop(self, x: float, y: float) -> str:
        s = self.size
        rim = ((x, y - 1.8 * s), (x + s, y), (x, y + s), (x - s, y))
        return Line(rim, 1.5, fill="white", smooth=True).draw()

    def _rays(self, x: float, y: float, inner: float, outer: float, count: int) -> str:
        turns = [math.tau * (index + 0.3) / count for index in range(count)]
        return svg.path(
            "".join(
                svg.outline(
                    [
                        (x + inner * math.cos(t), y + inner * math.sin(t)),
                        (x + outer * math.cos(t), y + outer * math.sin(t)),
                    ]
                )
                for t in turns
            ),
            width=1.2,
        )


@dataclass(frozen=True, slots=True)
class Strokes:
    """`count` like strokes side by side; `step` leads from each to the next."""

    first: tuple[Point, ...]
    step: Point
    count: int
    width: float = 1.2
    smooth: bool = False

    def draw(self) -> str:
        """Draw the strokes as one path."""
        form = svg.curve if self.smooth else svg.outline
        data = [
            form([(x + self.step[0] * index, y + self.step[1] * index) for x, y in self.first])
            for index in range(self.count)
        ]
        return svg.path("".join(data), width=self.width)


@dataclass(frozen=True, slots=True)
class Arrow:
    """An arrow along points; `both` gives it two heads."""

    points: tuple[Point, ...]
    width: float = 2.5
    both: bool = False
    size: float = 10

    def draw(self) -> str:
        """Draw a white-rimmed shaft and a solid head."""
        data = svg.outline(self.points)
        rim = svg.path(data, width=self.width + 4, ink=svg.PAPER)
        heads = self._head(self.points[-2], self.points[-1])
        if self.both:
            heads += self._head(self.points[1], self.points[0])
        return rim + svg.path(data, width=self.width) + heads

    def _head(self, tail: Point, tip: Point) -> str:
        turn = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
        wings = [
            (tip[0] - self.size * math.cos(turn + bend), tip[1] - self.size * math.sin(turn + bend))
            for bend in (0.45, -0.45)
        ]
        return svg.area([tip, *wings], "black", width=1)


@dataclass(frozen=True, slots=True)
class Label:
    """A short word or two, with a thin leader to what it names."""

    x: float
    y: float
    text: str
    to: Point | None = None
    anchor: str = "start"

    def draw(self) -> str:
        """Write the words; the leader ends in a dot and starts at the nearer side."""
        return self._leader() + svg.lettering(self.x, self.y, self.text, anchor=self.anchor)

    def _leader(self) -> str:
        if self.to is None:
            return ""
        run = svg.lettering_width(self.text) * 0.85
        left = self.x - {"start": 0, "middle": run / 2, "end": run}[self.anchor]
        start_x = min(max(self.to[0], left), left + run)
        start_y = self.y + 4 if self.to[1] > self.y else self.y - 14
        line = svg.outline([(start_x, start_y), self.to])
        return (
            svg.path(line, width=3.5, ink=svg.PAPER)
            + svg.path(line, width=1)
            + svg.ellipse(*self.to, 2.2, 2.2, "black", 0)
        )
