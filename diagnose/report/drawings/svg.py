"""The few SVG elements that every drawing is made of.

Black lines, white, and patterns of lines and dots: a drawing says the same after a bad
photocopy. Numbers are rounded to a tenth, so the same drawing is always the same text.
"""

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

Point = tuple[float, float]
Points = Sequence[Point]

INK = "black"
PAPER = "white"
LETTERING = "DejaVu Sans, Liberation Sans, Helvetica, Arial, sans-serif"
# No letter of the usual screen faces is wider than this on the average of a short label.
LETTER_WIDTH = 0.6

# A pattern is its tile's width, height and content; black on nothing unless it says so. Nothing in
# it is finer than a bad photocopy at a third of the size keeps.
_TILES: dict[str, tuple[float, float, str]] = {
    "hatch": (7, 7, '<path d="M-1,8L8,-1M-2,2L2,-2M5,9L9,5" stroke="black" stroke-width="1.2"/>'),
    "metal": (14, 14, '<path d="M-1,-1L15,15" stroke="black" stroke-width="1.5"/>'),
    "dots": (
        8,
        8,
        '<circle cx="2" cy="2" r="1.3"/><circle cx="6" cy="6" r="1.3"/>',
    ),
    "mist": (15, 15, '<circle cx="3.7" cy="3.7" r="1.8"/><circle cx="11.2" cy="11.2" r="1.8"/>'),
    "dense": (7, 7, '<circle cx="1.8" cy="1.8" r="1.9"/><circle cx="5.3" cy="5.3" r="1.9"/>'),
    "lines": (8, 8, '<path d="M0,4H8" stroke="black" stroke-width="1.8"/>'),
    "upright": (8, 8, '<path d="M4,0V8" stroke="black" stroke-width="1.8"/>'),
    "shade": (6, 6, '<path d="M3,0V6" stroke="black" stroke-width="2.4"/>'),
    "water": (
        14,
        8,
        '<path d="M0,4Q3.5,0 7,4T14,4" fill="none" stroke="black" stroke-width="1.2"/>',
    ),
    "gas": (
        12,
        12,
        '<circle cx="3" cy="3" r="2" fill="none" stroke="black"/>'
        '<circle cx="9" cy="9" r="2" fill="none" stroke="black"/>',
    ),
    "rust": (8, 8, '<path d="M1,1L6,6M6,1L1,6" stroke="black" stroke-width="1.5"/>'),
    "ripple": (
        22,
        12,
        '<path d="M1,7Q6,0 11,6M12,11Q17,5 21,9" fill="none" stroke="black" stroke-width="1.7"/>',
    ),
    "honeycomb": (
        18,
        10.4,
        '<path d="M0,5.2H3L6,0H12L15,5.2H18M3,5.2L6,10.4H12L15,5.2" fill="none" '
        'stroke="black" stroke-width="1.3"/>',
    ),
    "chalk": (
        12,
        10,
        '<path d="M1,2H6M7,5H11M2,8H7" stroke="black" stroke-width="1.5"/>',
    ),
    "powder": (11, 9, '<path d="M1,4L3,0L5,4ZM6,9L8,5L10,9Z"/>'),
    "check": (6, 6, '<path d="M0,0H3V3H0ZM3,3H6V6H3Z"/>'),
    "pale": (
        8,
        8,
        '<rect width="8" height="8"/><circle cx="2" cy="2" r="1.8" fill="white"/>'
        '<circle cx="6" cy="6" r="1.8" fill="white"/>',
    ),
}
PATTERNS = frozenset(_TILES)


def trace(text: str) -> tuple[Point, ...]:
    """Read points written as "x,y x,y"."""
    pairs = (pair.split(",") for pair in text.split())
    return tuple((float(x), float(y)) for x, y in pairs)


def number(value: float) -> str:
    """Write a length with at most one decimal and no trailing nought."""
    text = f"{value:.1f}"
    return "0" if text == "-0.0" else text.removesuffix(".0")


def element(name: str, content: str = "", **attributes: str | float) -> str:
    """Write one element; underscores in attribute names become hyphens."""
    given = "".join(
        f" {key.rstrip('_').replace('_', '-')}={quoteattr(_plain(value))}"
        for key, value in attributes.items()
        if value != ""
    )
    return f"<{name}{given}>{content}</{name}>" if content else f"<{name}{given}/>"


def _plain(value: str | float) -> str:
    return value if isinstance(value, str) else number(value)


def paint(fill: str) -> str:
    """Turn the name of a pattern, or black, white or none, into what `fill` takes."""
    return f"url(#dw-{fill})" if fill in _TILES else fill


def outline(points: Iterable[Point], *, closed: bool = False) -> str:
    """Give path data through the points, by straight lines."""
    pairs = [f"{number(x)},{number(y)}" for x, y in points]
    return "M" + "L".join(pairs) + ("Z" if closed else "")


def curve(points: Points, *, closed: bool = False) -> str:
    """Give path data through the points, rounded (Catmull-Rom turned into Bezier)."""
    count = len(points)

    def at(index: int) -> Point:
        return points[index % count] if closed else points[max(0, min(index, count - 1))]

    pieces = [f"M{number(points[0][0])},{number(points[0][1])}"]
    for index in range(count if closed else count - 1):
        before, start, end, after = (at(index + step) for step in (-1, 0, 1, 2))
        handles = (
            (start[0] + (end[0] - before[0]) / 6, start[1] + (end[1] - before[1]) / 6),
            (end[0] - (after[0] - start[0]) / 6, end[1] - (after[1] - start[1]) / 6),
            end,
        )
        pieces.append("C" + " ".join(f"{number(x)},{number(y)}" for x, y in handles))
    return "".join(pieces) + ("Z" if closed else "")


def path(
    data: str, *, fill: str = "none", width: float = 1.5, dash: str = "", ink: str = INK
) -> str:
    """Draw path data with a black line `width` wide (0: no line) and a filling."""
    return element(
        "path",
        d=data,
        fill=paint(fill),
        stroke=ink if width else "",
        stroke_width=width or "",
        stroke_dasharray=dash,
        stroke_linejoin="round",
        stroke_linecap="round" if width else "",
    )


def area(points: Iterable[Point], fill: str, *, width: float = 1.5) -> str:
    """Draw a closed polygon; a pattern lies on white, so nothing shows through it."""
    data = outline(points, closed=True)
    ground = path(data, fill=PAPER, width=0) if fill in _TILES else ""
    return ground + path(data, fill=fill, width=width)


def ellipse(
    x: float, y: float, across: float, down: float, fill: str = PAPER, width: float = 1.5
) -> str:
    """Draw an ellipse by its two half-axes; a pattern lies on white."""
    ground = ellipse(x, y, across, down, PAPER, 0) if fill in _TILES else ""
    return ground + element(
        "ellipse",
        cx=x,
        cy=y,
        rx=across,
        ry=down,
        fill=paint(fill),
        stroke=INK if width else "",
        stroke_width=width or "",
    )


def lettering(
    x: float, y: float, text: str, *, size: float = 15, anchor: str = "start", bold: bool = False
) -> str:
    """Write text with a white rim, so that it reads on any pattern."""
    return (
        "\n"
        + element(
            "text",
            escape(text),
            x=x,
            y=y,
            font_size=size,
            text_anchor=anchor,
            font_weight="bold" if bold else "",
            stroke=PAPER,
            stroke_width=9,
            stroke_linejoin="round",
            paint_order="stroke",
        )
        + "\n"
    )


def swatch(x: float, y: float, fill: str) -> str:
    """Draw the small sample of a pattern that stands before its name."""
    box = [(x, y), (x + 26, y), (x + 26, y + 13), (x, y + 13)]
    return "\n" + element("g", area(box, fill), class_="swatch") + "\n"


def without_words(text: str) -> str:
    """Leave words and swatches out of a drawing: each stands on a line of its own."""
    words = ("<text", '<g class="swatch"')
    return "".join(line for line in text.splitlines() if not line.startswith(words))


def lettering_width(text: str, size: float = 15) -> float:
    """Estimate, on the safe side, how wide a text runs in drawing units."""
    return len(text) * size * LETTER_WIDTH


def moved(x: float, y: float, content: str) -> str:
    """Shift content."""
    return element("g", content, transform=f"translate({number(x)} {number(y)})")


def sheet(key: str, title: str, description: str, body: str, *, width: float, height: float) -> str:
    """Wrap a body into a whole SVG with its alternative text and the patterns it uses.

    `key` makes the ids of the alternative text differ where drawings share one page.
    """
    used = [name for name in _TILES if f"url(#dw-{name})" in body]
    tiles = "".join(
        element(
            "pattern",
            _TILES[name][2],
            id=f"dw-{name}",
            patternUnits="userSpaceOnUse",
            width=_TILES[name][0],
            height=_TILES[name][1],
        )
        for name in used
    )
    return element(
        "svg",
        element("title", escape(title), id=f"{key}-title")
        + element("desc", escape(description), id=f"{key}-desc")
        + (element("defs", tiles) if tiles else "")
        + element("rect", width=width, height=height, fill=PAPER)
        + body,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        width=width,
        height=height,
        role="img",
        aria_labelledby=f"{key}-title {key}-desc",
        font_family=LETTERING,
    )
