"""Pictures of dots."""

import io
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from diagnose.report.drawings import Drawing, car_drawing, half_blocks, symptom_drawing, to_png


@pytest.fixture(scope="module")
def tunnel() -> Drawing:
    drawing = symptom_drawing("tunnelling")
    assert drawing is not None
    return drawing


@pytest.mark.parametrize("width", [1, 326, 652])
def test_a_png_has_the_width_asked_for(tunnel: Drawing, width: int):
    """The picture is a PNG of that width whose height follows the drawing's shape."""
    with Image.open(io.BytesIO(to_png(tunnel, width))) as picture:
        assert picture.format == "PNG"
        assert picture.width == width
        assert picture.height == pytest.approx(width * tunnel.height / tunnel.width, abs=1)


def test_a_png_is_black_on_white(tunnel: Drawing):
    """The ground is opaque white and there is ink on it."""
    with Image.open(io.BytesIO(to_png(tunnel, 652))) as picture:
        grey = picture.convert("L")

    assert grey.getpixel((3, 3)) == 255
    assert grey.getextrema() == (0, 255)


@settings(derandomize=True, max_examples=25, deadline=None)
@given(columns=st.integers(1, 120), rows=st.integers(1, 50))
def test_half_blocks_fit_the_room(columns: int, rows: int):
    """Whatever the terminal's size, the lines fit it and are equally long."""
    drawing = symptom_drawing("tunnelling")
    assert drawing is not None

    lines = half_blocks(drawing, columns, rows)

    assert 1 <= len(lines) <= rows
    assert {len(line) for line in lines} == {len(lines[0])}
    assert 1 <= len(lines[0]) <= columns
    assert set("".join(lines)) <= set(" ▀▄█")


def test_half_blocks_show_the_ridge_above_the_film(tunnel: Drawing):
    """At 78 columns the arch of the tunnel stands above the flat film at its sides."""
    inside_frame = half_blocks(tunnel, 78, 24)[1:]
    left, arch, right = (
        next(row for row, line in enumerate(inside_frame) if line[column] != " ")
        for column in (43, 58, 74)
    )

    assert arch < left - 1
    assert arch < right - 1


def test_half_blocks_of_different_drawings_differ(tunnel: Drawing):
    """A tunnel does not look like collapsed channels in a terminal either."""
    channels = symptom_drawing("channel_lines")
    assert channels is not None

    assert half_blocks(tunnel, 78, 20) != half_blocks(channels, 78, 20)


def test_a_car_fits_a_terminal():
    """The car's sheet, higher than it is wide, is bound by the rows."""
    lines = half_blocks(car_drawing([], "van"), 80, 22)

    assert len(lines) == 22


@pytest.mark.parametrize(("columns", "rows"), [(0, 10), (10, 0), (-1, 5)])
def test_no_room_is_refused(tunnel: Drawing, columns: int, rows: int):
    """A terminal without a cell gets a sentence, not a crash within the library."""
    with pytest.raises(ValueError, match=f"{columns} columns by {rows} rows"):
        half_blocks(tunnel, columns, rows)


def test_a_picture_without_width_is_refused(tunnel: Drawing):
    """A width of nothing is refused in words."""
    with pytest.raises(ValueError, match="cannot be 0 dots wide"):
        to_png(tunnel, 0)


def test_drawing_svg_needs_no_picture_library():
    """A run that only writes SVG loads neither the rasteriser nor the picture library."""
    code = (
        "import sys; from diagnose.report.drawings import *; "
        "symptom_drawing('tunnelling'); car_drawing([], 'van'); "
        "print(sorted({'PIL', 'resvg_py', 'numpy'} & set(sys.modules)))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": ":".join(sys.path)},
    )

    assert run.stdout.strip() == "[]"
