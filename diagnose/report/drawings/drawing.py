"""What every maker of drawings hands over."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Drawing:
    """One finished drawing.

    `svg` is a whole SVG document, `title` and `description` are its alternative text,
    `width` and `height` are its size in drawing units (CSS pixels at 100 %).
    """

    svg: str
    title: str
    description: str
    width: float
    height: float
