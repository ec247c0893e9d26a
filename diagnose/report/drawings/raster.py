"""Pictures of dots from drawings: PNG, and half blocks for a terminal.

The rasteriser and the picture library load on first use, so that a run that shows no
picture does not pay for them.
"""

import io

from . import svg
from .drawing import Drawing

# A cell of a terminal is about twice as high as it is wide; each holds two dots.
_BLOCKS = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
_OVERSAMPLE = 4
_INK_SHARE = 0.22


def to_png(drawing: Drawing, width: int) -> bytes:
    """Draw a PNG `width` dots wide on white; its height follows the drawing.

    Raises ValueError for a width under one dot.
    """
    return _render(drawing.svg, width)


def half_blocks(drawing: Drawing, columns: int, rows: int) -> list[str]:
    """Draw the lines, without words, as half blocks within `columns` by `rows` cells.

    A block stands for ink, so it shows light on a dark terminal and dark on a light one.
    Every line has the same length; no colour is used. Raises ValueError for no room.
    """
    if columns < 1 or rows < 1:
        raise ValueError(f"No room for a drawing in {columns} columns by {rows} rows.")
    scale = min(columns / drawing.width, 2 * rows / drawing.height)
    across, down = max(1, int(drawing.width * scale)), max(2, int(drawing.height * scale) // 2 * 2)
    dots = _ink(svg.without_words(drawing.svg), across, down)
    return [
        "".join(_BLOCKS[dots[y][x], dots[y + 1][x]] for x in range(across))
        for y in range(0, down, 2)
    ]


def _render(text: str, width: int) -> bytes:
    import resvg_py

    if width < 1:
        raise ValueError(f"A picture cannot be {width} dots wide; ask for at least 1.")
    return bytes(resvg_py.svg_to_bytes(svg_string=text, width=width))


def _ink(text: str, across: int, down: int) -> list[list[bool]]:
    """Tell for each dot whether enough of it is inked, so that thin lines do not vanish."""
    from PIL import Image

    with Image.open(io.BytesIO(_render(text, across * _OVERSAMPLE))) as picture:
        grey = picture.convert("L").resize((across, down), Image.Resampling.BOX)
    light = 255 * (1 - _INK_SHARE)
    values = grey.tobytes()
    return [[value < light for value in values[y * across : (y + 1) * across]] for y in range(down)]
