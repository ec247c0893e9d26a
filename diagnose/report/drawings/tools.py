"""Hand and tools, each drawn round its working tip at (0, 0), pointing down."""

from dataclasses import dataclass

from diagnose.report.drawings import svg


@dataclass(frozen=True, slots=True)
class Tool:
    """A tool with its tip at (x, y), turned clockwise by `turn` degrees."""

    kind: str
    x: float
    y: float
    turn: float = 0
    scale: float = 1

    def draw(self) -> str:
        """Draw the tool; `kind` is one of `TOOLS`."""
        place = f"translate({svg.number(self.x)} {svg.number(self.y)})"
        turn = f" rotate({svg.number(self.turn)})" if self.turn else ""
        size = f" scale({self.scale:g})" if self.scale != 1 else ""
        return svg.element("g", TOOLS[self.kind], transform=place + turn + size)


def _shape(data: str, fill: str = "white", width: float = 2) -> str:
    ground = svg.path(data, fill="white", width=0) if fill in svg.PATTERNS else ""
    return ground + svg.path(data, fill=fill, width=width)


# A gloved finger: tip, knuckle line, cuff.
_FINGER = (
    _shape("M0,0C-8,0 -11,-6 -11,-14L-12,-52C-12,-64 14,-64 13,-52L11,-14C11,-6 8,0 0,0Z")
    + _shape("M-9,-26Q0,-22 10,-26M-10,-31Q0,-27 11,-31", "none", 1.2)
    + _shape("M-15,-54H16V-68H-15Z", "upright")
)
# Finger and thumb that hold something between them at the tip.
_GRIP = (
    _shape("M0,2C-6,-2 -14,-10 -16,-20C-20,-36 -22,-50 -14,-58L26,-58C30,-44 22,-20 2,2Z")
    + _shape("M2,2C6,-12 4,-24 -4,-34", "none", 1.5)
    + _shape("M-18,-56H30V-70H-18Z", "upright")
)
_SQUEEGEE = _shape("M-26,-8H26L22,-42H-22Z") + _shape("M-27,-9H27V0H-27Z", "dense")
_BLADE = _shape("M0,0L-7,-16V-24H7V-6Z", "black") + _shape("M-8,-24H9V-66C9,-72 -8,-72 -8,-66Z")
_GUN = (
    _shape("M-9,0H9L13,-18H-13Z", "dense")
    + _shape("M-15,-18H15V-62C15,-70 -15,-70 -15,-62Z")
    + _shape("M15,-54L46,-44L42,-28L15,-36Z")
    + _shape("M-8,8Q-4,14 -8,20M0,8Q4,14 0,20M8,8Q12,14 8,20", "none", 1.5)
)
_NEEDLE = _shape("M0,0V-34", "none", 2) + _shape("M-4,-34H4V-56H-4Z", "lines")
_PEN = (
    _shape("M0,0L-5,-12H5Z", "black")
    + _shape("M-8,-12H8V-60H-8Z")
    + _shape("M-8,-44H8V-60H-8Z", "shade")
)
_LOUPE = _shape(
    "M0,0C-14,0 -22,-10 -22,-22A22,22 0 1 1 22,-22C22,-10 14,0 0,0Z", "none", 3
) + _shape("M15,-38L38,-62L44,-56L21,-32Z", "shade")
_SPRAY = _shape("M-8,-14H10V-24H-8ZM-4,-24H14V-60H-14V-32Z") + _shape(
    "M-12,-16L-26,-6M-12,-19L-30,-18M-12,-22L-26,-32", "none", 1.5
)
_CLOTH = _shape("M-30,0C-20,6 -10,-4 0,2C10,6 20,-4 30,0L24,-22C10,-30 -12,-28 -26,-20Z", "check")
_BRUSH = _shape("M-24,0V-20M-16,0V-20M-8,0V-20M0,0V-20M8,0V-20M16,0V-20M24,0V-20", "none", 1.5) + (
    _shape("M-28,-20H28V-32H-28Z", "shade") + _shape("M-6,-32H6V-52H-6Z")
)
_LENS = (
    _shape("M-10,0H10L14,-14H-14Z", "shade")
    + _shape("M-16,-14H16V-48H-16Z")
    + _shape("M-11,-42H11V-30H-11Z", "lines")
)

TOOLS = {
    "finger": _FINGER,
    "grip": _GRIP,
    "squeegee": _SQUEEGEE,
    "blade": _BLADE,
    "heat_gun": _GUN,
    "needle": _NEEDLE,
    "pen": _PEN,
    "loupe": _LOUPE,
    "spray": _SPRAY,
    "cloth": _CLOTH,
    "brush": _BRUSH,
    "infrared": _LENS,
}
