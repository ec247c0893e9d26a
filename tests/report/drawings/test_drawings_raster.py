"""Pictures of dots."""

import io
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from diagnose.report.drawings import Drawing, car_drawing, half_blocks, svg, symptom_drawing, to_png
from tests.examples import examples


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


@settings(derandomize=True, max_examples=examples(25), deadline=None)
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


def photocopied(text: str, width: int) -> Image.Image:
    """What a bad copier leaves of a drawing at a third of its size: black or white, no grey."""
    large = Drawing(text, "", "", 660, 330)
    with Image.open(io.BytesIO(to_png(large, 3 * width))) as picture:
        grey = picture.convert("L").resize((width, picture.height * width // picture.width))
    return grey.point(lambda value: 255 if value > 150 else 0)


def ink(picture: Image.Image) -> set[int]:
    """The black dots of a picture by their place."""
    return {place for place, value in enumerate(picture.tobytes()) if value == 0}


@pytest.mark.parametrize("name", sorted(svg.PATTERNS))
def test_each_pattern_survives_a_photocopy(name: str):
    """Dots and lines are coarse enough to stay when shrunk and copied without grey."""
    square = svg.area([(0, 0), (660, 0), (660, 330), (0, 330)], name, width=0)
    sheet = svg.sheet(name, name, name, square, width=660, height=330)

    picture = photocopied(sheet, 250)

    share = len(ink(picture)) / (picture.width * picture.height)
    assert 0.02 < share < 0.98


def copied(symptom: str) -> set[int]:
    """The ink of a symptom's drawing, without words, in a photocopy."""
    drawing = symptom_drawing(symptom)
    assert drawing is not None
    return ink(photocopied(svg.without_words(drawing.svg), 250))


@pytest.fixture(scope="module")
def frames() -> set[int]:
    """The ink that all drawings share: frames, and the layers where nothing is wrong."""
    return copied("grit_bumps") & copied("knife_cuts") & copied("air_bubbles")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("tunnelling", "channel_lines"),
        ("tunnelling", "laminate_tunnelling"),
        ("tunnelling", "creases"),
        ("channel_lines", "silvering"),
        ("fading", "chalking"),
        ("edge_lifting", "edge_retreat"),
        ("sheen_patches", "heat_marks"),
    ],
)
def test_what_is_taken_for_another_differs_in_a_photocopy(
    one: str, other: str, frames: set[int]
) -> None:
    """Of the ink that says what is wrong, much stands in only one of two copies."""
    first, second = copied(one) - frames, copied(other) - frames

    assert len(first ^ second) > 0.4 * len(first | second)
