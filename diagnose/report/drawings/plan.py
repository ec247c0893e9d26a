"""The view from above: a piece of panel with its film, and what lies on it.

Film seen from above is white, bare paint is hatched like cut paint, the adhesive side of
turned-back film is dotted like cut adhesive.
"""

from dataclasses import dataclass

from diagnose.report.drawings import svg
from diagnose.report.drawings.parts import Box, Line
from diagnose.report.drawings.section import HEIGHT, WIDTH, Part

EDGE_X, LOW_EDGE_Y = 210.0, 160.0
_GAP = (144.0, 156.0)
_RECESS = (100.0, 200.0)


def _recess_lines() -> tuple[Part, ...]:
    left, right = _RECESS
    return (
        Box(left, 0, 16, HEIGHT, "shade", 0),
        Box(right - 16, 0, 16, HEIGHT, "upright", 0),
        *(Line(((x, 0), (x, HEIGHT)), 1.5) for x in (left, left + 16, right - 16, right)),
    )


_PAINT = Box(0, 0, WIDTH, HEIGHT, "hatch", 0)

# What lies under the parts: film all over, film that ends, two pieces, a recess, no film.
GROUNDS: dict[str, tuple[Part, ...]] = {
    "field": (),
    "bare": (_PAINT,),
    "edge": (_PAINT, Box(-5, -5, EDGE_X + 5, HEIGHT + 10, width=3)),
    "low_edge": (_PAINT, Box(-5, -5, WIDTH + 10, LOW_EDGE_Y + 5, width=3)),
    "corner": (_PAINT, Box(-5, -5, EDGE_X + 5, 145, width=3)),
    "seam": (Line(((150, -5), (150, HEIGHT + 5)), 2.5),),
    "gap": (Box(_GAP[0], -5, _GAP[1] - _GAP[0], HEIGHT + 10, "black"),),
    "recess": _recess_lines(),
}


@dataclass(frozen=True, slots=True)
class Plan:
    """A view from above on one of `GROUNDS`; `cut` is the height of the line of the cut."""

    ground: str = "field"
    parts: tuple[Part, ...] = ()
    cut: float | None = 100.0

    def draw(self) -> str:
        """Draw the ground, the parts, and the two ticks between which the cut runs."""
        marks = [self._tick(0, 1), self._tick(WIDTH, -1)] if self.cut is not None else []
        return "".join([*(part.draw() for part in (*GROUNDS[self.ground], *self.parts)), *marks])

    def _tick(self, x: float, inward: int) -> str:
        y = self.cut or 0.0
        tip = [(x, y - 8), (x + 13 * inward, y), (x, y + 8)]
        return svg.area(tip, "white", width=2)
