"""A scene is the description of one drawing; composing it gives the drawing."""

from dataclasses import dataclass

from diagnose.report.drawings import svg
from diagnose.report.drawings.drawing import Drawing
from diagnose.report.drawings.section import HEIGHT, WIDTH, Part

_MARGIN, _GUTTER, _TOP, _FOOT = 14.0, 24.0, 66.0, 40.0
_LINE, _NARROW = 26.0, 1.0
SHEET_WIDTH = 2 * (_MARGIN + WIDTH) + _GUTTER
SHEET_HEIGHT = _TOP + HEIGHT + _FOOT
_KEY = {
    "paint": ("hatch", "paint"),
    "adhesive": ("dots", "adhesive"),
    "film": ("black", "film"),
    "print": ("check", "print"),
    "laminate": ("white", "laminate"),
    "chalk": ("chalk", "chalked film"),
    "powder": ("powder", "loose powder"),
    "tape": ("black", "tape"),
    "tape_dot": ("dense", "matt tape"),
}
PAINT_TO_FILM = ("paint", "adhesive", "film")
PAINT_TO_LAMINATE = (*PAINT_TO_FILM, "print", "laminate")


@dataclass(frozen=True, slots=True)
class Scene:
    """One drawing told as data: two frames side by side, their captions and the words.

    `description` is a whole sentence that can stand in for the drawing. `key` names the
    layers that the key below the frames explains, the lowest first.
    """

    id: str
    title: str
    description: str
    left: Part
    right: Part
    captions: tuple[str, str] = ("From above", "Cut through, not to scale")
    key: tuple[str, ...] = PAINT_TO_FILM


def compose(scene: Scene) -> Drawing:
    """Draw a scene: the same scene gives the same bytes."""
    second = _MARGIN + WIDTH + _GUTTER
    body = (
        svg.lettering(_MARGIN, 26, scene.title, size=19, bold=True)
        + _frame(f"{scene.id}-left", _MARGIN, _TOP, scene.captions[0], scene.left)
        + _frame(f"{scene.id}-right", second, _TOP, scene.captions[1], scene.right)
        + _layer_key(scene.key, _TOP + HEIGHT + 14, SHEET_WIDTH)
    )
    return _sheet(scene, body, SHEET_WIDTH, SHEET_HEIGHT)


def stacked(scene: Scene) -> Drawing:
    """Draw a scene for a narrow screen: one frame above the other, no title, hardly a margin.

    Over 390 pixels its lettering comes to 18.
    """
    top, second, width = 26.0, 26.0 + HEIGHT + 34, 2 * _NARROW + WIDTH
    body = (
        _frame(f"{scene.id}-left", _NARROW, top, scene.captions[0], scene.left, _MARGIN)
        + _frame(f"{scene.id}-right", _NARROW, second, scene.captions[1], scene.right, _MARGIN)
        + _layer_key(scene.key, second + HEIGHT + 14, width)
    )
    return _sheet(scene, body, width, second + HEIGHT + 2 * _LINE + 14)


def _sheet(scene: Scene, body: str, width: float, height: float) -> Drawing:
    text = svg.sheet(scene.id, scene.title, scene.description, body, width=width, height=height)
    return Drawing(text, scene.title, scene.description, width, height)


def _frame(
    key: str, x: float, y: float, caption: str, content: Part, said_at: float | None = None
) -> str:
    """A frame with its caption over it, which begins with the frame unless told otherwise."""
    clip = svg.element(
        "clipPath", svg.element("rect", width=WIDTH, height=HEIGHT), id=f"{key}-frame"
    )
    inside = svg.element("g", content.draw(), clip_path=f"url(#{key}-frame)")
    border = svg.element(
        "rect", width=WIDTH, height=HEIGHT, fill="none", stroke=svg.INK, stroke_width=2
    )
    over = svg.lettering(x if said_at is None else said_at, y - 10, caption, size=14)
    return over + svg.moved(x, y, clip + inside + border)


def _layer_key(layers: tuple[str, ...], y: float, width: float) -> str:
    """The key from a height on; what would reach over the right margin begins a new line."""
    pieces, x = [], _MARGIN
    for fill, word in (_KEY[name] for name in layers):
        if x + 33 + svg.lettering_width(word, 14) > width:
            x, y = _MARGIN, y + _LINE
        pieces.append(svg.swatch(x, y, fill) + svg.lettering(x + 33, y + 12, word, size=14))
        x += 33 + svg.lettering_width(word, 14) + 22
    return "".join(pieces)
