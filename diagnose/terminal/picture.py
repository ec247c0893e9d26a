"""A drawing on the screen: as a picture where the terminal shows them, else in quarter blocks."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache, lru_cache
from importlib.util import find_spec

from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from diagnose.report.drawings import Drawing, as_text, check_drawing, symptom_drawing, to_png
from diagnose.report.drawings.svg import without_words

QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Blocks by the quarters with ink: 1 upper left, 2 upper right, 4 lower left, 8 lower right."""

_FRAMES = ((14, 66), (338, 66))
_FRAME_WIDTH, _FRAME_HEIGHT = 300, 200
_SHEET_WIDTH, _SHEET_HEIGHT, _PICTURE_DOTS = 652, 306, 1304
_BESIDE = 56
"""From so many columns on the two frames stand side by side."""
_INK, _OVERSAMPLE = 0.3, 4


class Picture(Widget):
    """The drawing of a symptom or a check, as large as there is room; empty where there is none.

    In a terminal that shows pictures it is one, with its words; else quarter blocks without them;
    nothing where no drawing can be made, since a sentence stands beside it.
    """

    def __init__(self, drawing_id: str = "", *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._drawing_id = drawing_id

    def compose(self) -> ComposeResult:
        """The picture, where the terminal shows pictures."""
        kind = getattr(self.app, "pictures", None)
        if kind is not None:
            yield kind(png(self._drawing_id))

    def show(self, drawing_id: str) -> None:
        """Show another drawing."""
        self._drawing_id = drawing_id
        for picture in self.children:
            picture.image = png(drawing_id)  # type: ignore[attr-defined]
        self.refresh(layout=True)

    @property
    def drawn(self) -> bool:
        """Whether there is anything to show."""
        return bool(sentence(self._drawing_id))

    def on_resize(self) -> None:
        """The picture within the room, its proportions kept."""
        width, height = self.size
        across = min(width, int(2 * height * _SHEET_WIDTH / _SHEET_HEIGHT))
        for picture in self.children:
            picture.styles.width = across
            picture.styles.height = max(1, round(across * _SHEET_HEIGHT / _SHEET_WIDTH / 2))

    def render(self) -> Content:
        """The drawing within the room, in blocks."""
        return Content("" if self.children else "\n".join(blocks(self._drawing_id, *self.size)))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As high as the drawing is at this width."""
        if not sentence(self._drawing_id):
            return 0
        if self.children:
            return max(1, round(width * _SHEET_HEIGHT / _SHEET_WIDTH / 2))
        if not blocks(self._drawing_id, 12, 4):
            return 0
        if width >= _BESIDE:
            return _rows(width // 2 - 1)
        return 2 * _rows(width) + 1


@lru_cache(maxsize=64)
def png(drawing_id: str) -> io.BytesIO | None:
    """The drawing of a symptom or a check as a picture; None where there is none."""
    drawing = symptom_drawing(drawing_id) or check_drawing(drawing_id)
    return io.BytesIO(to_png(drawing, _PICTURE_DOTS)) if drawing else None


def sentence(drawing_id: str) -> str:
    """The sentence in place of a drawing; '' where there is none."""
    return as_text(drawing_id) or ""


@cache
def _can_draw() -> bool:
    """Whether what turns drawings into dots is installed."""
    return all(find_spec(name) is not None for name in ("resvg_py", "PIL"))


def _rows(columns: int) -> int:
    return max(1, columns * _FRAME_HEIGHT // _FRAME_WIDTH // 2)


@lru_cache(maxsize=256)
def blocks(drawing_id: str, columns: int, rows: int) -> tuple[str, ...]:
    """The drawing of a symptom or a check in at most so many columns and rows.

    Side by side, below one another, or the cut alone, as the room allows; nothing where there is
    no drawing or less room than ten columns by three rows.
    """
    drawing = symptom_drawing(drawing_id) or check_drawing(drawing_id)
    if drawing is None or columns < 10 or rows < 3 or not _can_draw():
        return ()
    if columns >= _BESIDE:
        left, right = (_frame(drawing, n, columns // 2 - 1, rows) for n in (0, 1))
        return tuple(f"{a}  {b}" for a, b in zip(left, right, strict=True))
    if rows >= 2 * _rows(columns) + 1:
        above, cut = (_frame(drawing, n, columns, _rows(columns)) for n in (0, 1))
        return (*above, "", *cut)
    return tuple(_frame(drawing, 1, columns, rows))


def _frame(drawing: Drawing, number: int, columns: int, rows: int) -> list[str]:
    """One of the two frames within the room, its proportions kept."""
    down = min(rows, _rows(columns))
    across = min(columns, down * 2 * _FRAME_WIDTH // _FRAME_HEIGHT + 1)
    left, top = _FRAMES[number]
    box = f'viewBox="{left} {top} {_FRAME_WIDTH} {_FRAME_HEIGHT}"'
    text = re.sub(r'viewBox="[^"]*"', box, without_words(drawing.svg), count=1)
    text = re.sub(r' width="[^"]*"', f' width="{_FRAME_WIDTH}"', text, count=1)
    text = re.sub(r' height="[^"]*"', f' height="{_FRAME_HEIGHT}"', text, count=1)
    dots = _ink(replace(drawing, svg=text), 2 * across, 2 * down)
    return quarters(dots)


def quarters(dots: Sequence[Sequence[bool]]) -> list[str]:
    """Rows of dots as blocks of two by two; both counts are even."""
    return [
        "".join(
            QUARTERS[upper[x] + 2 * upper[x + 1] + 4 * lower[x] + 8 * lower[x + 1]]
            for x in range(0, len(upper), 2)
        )
        for upper, lower in zip(dots[::2], dots[1::2], strict=True)
    ]


def _ink(drawing: Drawing, across: int, down: int) -> list[list[bool]]:
    """Tell for each dot whether it holds enough ink."""
    from PIL import Image, ImageOps

    with Image.open(io.BytesIO(to_png(drawing, across * _OVERSAMPLE))) as picture:
        ink = ImageOps.invert(picture.convert("L"))
    values = ink.resize((across, down), Image.Resampling.BOX).tobytes()
    return [
        [value > 255 * _INK for value in values[y : y + across]]
        for y in range(0, across * down, across)
    ]
