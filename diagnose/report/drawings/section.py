"""The cut through body, paint, adhesive, film and laminate, computed from heights.

A section is told by what stands up where: the surface, the film off the surface, the
laminate off the film. The layers are then drawn one on the other, so that a void, a filled
pocket or a thin place follows from the numbers. Heights are drawing units, not to scale:
film and adhesive are shown many times thicker than they are.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

from diagnose.report.drawings import svg
from diagnose.report.drawings.svg import Point

WIDTH, HEIGHT = 300.0, 200.0
PAINT_TOP = 140.0
PAINT, METAL, ADHESIVE, FILM, INK, LAMINATE = 14.0, 22.0, 9.0, 11.0, 6.0, 9.0
# Lower than this no void is drawn: it would only thicken the line.
_VOID = 1.5

Span = tuple[float, float]
Spans = tuple[Span, ...]
WHOLE: Spans = ((0.0, WIDTH),)

_FORMS: dict[str, Callable[[float], float]] = {
    "dome": lambda u: math.sqrt(max(0.0, 1 - u * u)),
    "pouch": lambda u: min(1.0, 2.2 * math.sqrt(max(0.0, 1 - u * u))),
    "ridge": lambda u: (1 + math.cos(math.pi * u)) / 2,
    "tent": lambda u: 1 - abs(u),
    "channel": lambda u: min(1.0, (1 - abs(u)) * 4),
    "box": lambda u: 1.0,
    "curl": lambda u: ((u + 1) / 2) ** 2,
    "curl_back": lambda u: ((1 - u) / 2) ** 2,
    "step": lambda u: min(1.0, (u + 1) * 6),
    "rough": lambda u: abs((u * 16) % 2 - 1),
    "coarse": lambda u: abs((u * 8) % 2 - 1),
    "ripple": lambda u: (1 - math.cos(math.pi * u * 6)) / 2,
}


@dataclass(frozen=True, slots=True)
class Rise:
    """A height over a stretch: centre `at`, `width`, `height` (negative: a dip), a form."""

    at: float
    width: float
    height: float
    form: str = "dome"

    def over(self, x: float) -> float:
        """Give the height at x; nought outside the stretch."""
        place = (x - self.at) / (self.width / 2)
        return self.height * _FORMS[self.form](place) if -1 <= place <= 1 else 0.0


Rises = tuple[Rise, ...]


class Part(Protocol):
    """Anything that draws itself within a frame."""

    def draw(self) -> str:
        """Give the SVG text of the part."""


@dataclass(frozen=True, slots=True)
class Section:
    """A cut; each field defaults to a sound film on flat paint.

    `ground` shapes the painted body, `blister` lifts the paint off the body (filled with
    rust), `lift` takes the film off the paint, `bed` thickens or thins the adhesive and
    `gauge` the film, `skin` takes the laminate off, `laminate_gauge` thickens or thins it.
    `film`, `adhesive`, `ink`, `laminate` and `body` say where there is such a layer.
    `carried` is paint that left with the film, `missing` where the paint has gone. `void`
    fills what lies below lifted film. `parts` are drawn last.
    """

    ground: Rises = ()
    blister: Rises = ()
    lift: Rises = ()
    bed: Rises = ()
    gauge: Rises = ()
    skin: Rises = ()
    laminate_gauge: Rises = ()
    film: Spans = WHOLE
    adhesive: Spans | None = None
    ink: Spans = ()
    laminate: Spans = ()
    laminate_fill: str = "white"
    body: Spans = WHOLE
    carried: Spans = ()
    missing: Spans = ()
    void: str = "white"
    parts: tuple[Part, ...] = ()

    def draw(self) -> str:
        """Draw the layers from the body up, then the parts on top."""
        return "".join(
            [
                *(self._body(span) for span in self.body),
                *(self._void(span) for span in self.film),
                *(self._carried(span) for span in self.carried),
                *(self._adhesive(span) for span in self._adhesive_spans()),
                *(self._film(span) for span in self.film),
                *(self._print(span) for span in self.ink),
                *(self._laminate(span) for span in self.laminate),
                *(part.draw() for part in self.parts),
            ]
        )

    def _adhesive_spans(self) -> Spans:
        return self.film if self.adhesive is None else self.adhesive

    def _metal_top(self, x: float) -> float:
        return PAINT_TOP + PAINT - _sum(self.ground, x)

    def _paint_bottom(self, x: float) -> float:
        return self._metal_top(x) - _sum(self.blister, x)

    def _paint_top(self, x: float) -> float:
        return self._paint_bottom(x) - PAINT

    def _joint(self, x: float) -> float:
        return self._paint_top(x) - _sum(self.lift, x)

    def _film_bottom(self, x: float) -> float:
        return self._joint(x) - max(1.0, ADHESIVE + _sum(self.bed, x))

    def _film_top(self, x: float) -> float:
        return self._film_bottom(x) - max(1.5, FILM + _sum(self.gauge, x))

    def _ink_top(self, x: float) -> float:
        return self._film_top(x) - (INK if self.ink else 0)

    def _skin_bottom(self, x: float) -> float:
        return self._ink_top(x) - _sum(self.skin, x)

    def _body(self, span: Span) -> str:
        floor = PAINT_TOP + PAINT + METAL
        under = _band(span, self._metal_top, self._paint_bottom)
        coat = _band(span, self._paint_bottom, self._paint_top)
        return (
            svg.area(_band(span, lambda x: floor, self._metal_top), "metal")
            + (svg.area(under, "rust") if self.blister else "")
            + svg.area(coat, "hatch", width=2)
            + "".join(self._bare_metal(gap) for gap in self.missing)
        )

    def _bare_metal(self, gap: Span) -> str:
        """Cut a hole out of the paint, open at the top."""
        hole = _band(gap, self._metal_top, lambda x: self._paint_top(x) - 1.5)
        low, high = self._metal_top, self._paint_top
        start, end = gap
        wall = [(start, high(start)), (start, low(start)), (end, low(end)), (end, high(end))]
        return svg.area(hole, "white", width=0) + svg.path(svg.outline(wall), width=2)

    def _void(self, span: Span) -> str:
        if self.void == "white":
            return ""
        tops = [x for x in _steps(span) if _sum(self.lift, x) > _VOID]
        runs = _runs(tops)
        return "".join(
            svg.area(_band(run, self._paint_top, self._joint), self.void, width=1) for run in runs
        )

    def _carried(self, span: Span) -> str:
        return svg.area(_band(span, lambda x: self._joint(x) + PAINT, self._joint), "hatch")

    def _adhesive(self, span: Span) -> str:
        return svg.area(_band(span, self._joint, self._film_bottom), "dots", width=1)

    def _film(self, span: Span) -> str:
        return svg.area(_band(span, self._film_bottom, self._film_top), "black", width=0.5)

    def _print(self, span: Span) -> str:
        return svg.area(_band(span, self._film_top, self._ink_top), "check", width=0.8)

    def _laminate(self, span: Span) -> str:
        def top(x: float) -> float:
            return self._skin_bottom(x) - LAMINATE - _sum(self.laminate_gauge, x)

        return svg.area(_band(span, self._skin_bottom, top), self.laminate_fill)


def _sum(rises: Rises, x: float) -> float:
    return sum(rise.over(x) for rise in rises)


def _steps(span: Span) -> list[float]:
    start, end = span
    count = max(1, round(end - start))
    return [start + (end - start) * index / count for index in range(count + 1)]


def _runs(places: list[float]) -> list[Span]:
    """Join places one unit apart into spans."""
    runs: list[Span] = []
    for x in places:
        if runs and x - runs[-1][1] < 1.5:
            runs[-1] = (runs[-1][0], x)
        else:
            runs.append((x, x))
    return [run for run in runs if run[1] > run[0]]


def _band(
    span: Span, bottom: Callable[[float], float], top: Callable[[float], float]
) -> list[Point]:
    places = _steps(span)
    upper = _slim([(x, top(x)) for x in places])
    lower = _slim([(x, bottom(x)) for x in places])
    return upper + lower[::-1]


def _slim(points: list[Point]) -> list[Point]:
    """Drop points that lie on the line between their neighbours."""
    kept = points[:1]
    for here, after in pairwise(points[1:]):
        before = kept[-1]
        turn = (here[0] - before[0]) * (after[1] - before[1]) - (here[1] - before[1]) * (
            after[0] - before[0]
        )
        if abs(turn) > 0.05 * (after[0] - before[0]):
            kept.append(here)
    return kept + points[-1:]
