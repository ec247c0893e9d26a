"""Pictures of dots from drawings: PNG, and half blocks for a terminal.

The rasteriser and the picture library load on first use, so that a run that shows no
picture does not pay for them.
"""

import io

from diagnose.report.drawings import svg
from diagnose.report.drawings.drawing import Drawing

# A cell of a terminal is about twice as high as it is wide; each holds two dots.
_BLOCKS = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
_OVERSAMPLE = 4
_INK_SHARE = 0.17


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
    dots = _ink(svg.without_words(drawing.svg), columns, 2 * rows)
    return [
        "".join(_BLOCKS[pair] for pair in zip(upper, lower, strict=True))
        for upper, lower in zip(dots[::2], dots[1::2], strict=True)
    ]


def _render(text: str, width: int) -> bytes:
    import resvg_py

    if width < 1:
        raise ValueError(f"A picture cannot be {width} dots wide; ask for at least 1.")
    return bytes(resvg_py.svg_to_bytes(svg_string=text, width=width))


def _ink(text: str, columns: int, dots: int) -> list[list[bool]]:
    """Tell for each dot of the inked part whether it holds enough ink.

    Shrinking weighs areas, and a fifth of a dot suffices, so that thin lines do not vanish.
    The number of rows of dots is even and at most `dots`.
    """
    from PIL import Image, ImageOps

    with Image.open(io.BytesIO(_render(text, columns * _OVERSAMPLE))) as picture:
        ink = ImageOps.invert(picture.convert("L"))
    ink = ink.crop(ink.getbbox())
    scale = min(columns / ink.width, dots / ink.height)
    across, down = max(1, int(ink.width * scale)), max(2, int(ink.height * scale) // 2 * 2)
    values = ink.resize((across, down), Image.Resampling.BOX).tobytes()
    enough = 255 * _INK_SHARE
    return [
        [value > enough for value in values[y : y + across]]
        for y in range(0, across * down, across)
    ]
