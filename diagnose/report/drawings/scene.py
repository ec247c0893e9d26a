"""A scene is the description of one drawing; composing it gives the drawing."""

from dataclasses import dataclass

from diagnose.report.drawings import svg
from diagnose.report.drawings.drawing import Drawing
from diagnose.report.drawings.section import HEIGHT, WIDTH, Part

_MARGIN, _GUTTER, _TOP, _FOOT = 14.0, 24.0, 66.0, 40.0
SHEET_WIDTH = 2 * (_MARGIN + WIDTH) + _GUTTER
SHEET_HEIGHT = _TOP + HEIGHT + _FOOT
_KEY = {
    "paint": ("hatch", "paint"),
    "adhesive": ("dots", "adhesive"),
    "film": ("black", "film"),
    "print": ("check", "print"),
    "laminate": ("white", "laminate"),
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
        + _frame(f"{scene.id}-left", _MARGIN, scene.captions[0], scene.left)
        + _frame(f"{scene.id}-right", second, scene.captions[1], scene.right)
        + _layer_key(scene.key)
    )
    text = svg.sheet(
        scene.id, scene.title, scene.description, body, width=SHEET_WIDTH, height=SHEET_HEIGHT
    )
    return Drawing(text, scene.title, scene.description, SHEET_WIDTH, SHEET_HEIGHT)


def _frame(key: str, x: float, caption: str, content: Part) -> str:
    clip = svg.element(
        "clipPath", svg.element("rect", width=WIDTH, height=HEIGHT), id=f"{key}-frame"
    )
    inside = svg.element("g", content.draw(), clip_path=f"url(#{key}-frame)")
    border = svg.element(
        "rect", width=WIDTH, height=HEIGHT, fill="none", stroke=svg.INK, stroke_width=2
    )
    return svg.lettering(x, _TOP - 10, caption, size=14) + svg.moved(
        x, _TOP, clip + inside + border
    )


def _layer_key(layers: tuple[str, ...]) -> str:
    y = _TOP + HEIGHT + 14
    pieces, x = [], _MARGIN
    for fill, word in (_KEY[name] for name in layers):
        pieces.append(svg.swatch(x, y, fill) + svg.lettering(x + 33, y + 12, word, size=14))
        x += 33 + svg.lettering_width(word, 14) + 22
    return "".join(pieces)
