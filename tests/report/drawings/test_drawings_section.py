"""The cut through the layers."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.report.drawings.section import _FORMS, PAINT_TOP, Rise, Section
from tests.examples import examples

COORDINATES = re.compile(r"(-?\d+(?:\.\d)?),(-?\d+(?:\.\d)?)")


def blacks(section: Section) -> list[list[tuple[float, float]]]:
    """Give the outlines of the black layers, which are the film."""
    root = ElementTree.fromstring(f"<g>{section.draw()}</g>")
    return [
        [(float(x), float(y)) for x, y in COORDINATES.findall(path.get("d", ""))]
        for path in root.iter("path")
        if path.get("fill") == "black"
    ]


rises = st.builds(
    Rise,
    at=st.integers(20, 280),
    width=st.integers(4, 200),
    height=st.integers(0, 60),
    form=st.sampled_from(sorted(_FORMS)),
)


@settings(derandomize=True, max_examples=examples(60), deadline=None)
@given(st.lists(rises, max_size=3))
def test_lifted_film_never_goes_below_the_paint(lift: list[Rise]):
    """However the film is lifted, every point of it lies above the surface of the paint."""
    (film,) = blacks(Section(lift=tuple(lift)))

    assert max(y for _, y in film) < PAINT_TOP


@settings(derandomize=True, max_examples=examples(60), deadline=None)
@given(st.lists(rises, max_size=3), st.integers(5, 140), st.integers(150, 295))
def test_each_piece_of_film_keeps_to_its_stretch(lift: list[Rise], start: int, end: int):
    """Two pieces give two outlines that begin and end where they were told to."""
    pieces = blacks(Section(lift=tuple(lift), film=((0, start), (end, 300))))

    assert [(min(x for x, _ in p), max(x for x, _ in p)) for p in pieces] == [
        (0, start),
        (end, 300),
    ]


@pytest.mark.parametrize("form", sorted(_FORMS))
def test_a_rise_keeps_within_its_height_and_width(form: str):
    """A rise is nought outside its stretch, and reaches its height inside but not over it."""
    rise = Rise(100, 40, 20, form)
    inside = [rise.over(80 + step / 4) for step in range(161)]

    assert rise.over(79.9) == rise.over(120.1) == 0
    assert max(inside) == pytest.approx(20, abs=0.5)
    assert min(inside) >= 0


def test_sound_film_is_drawn_with_four_corners():
    """Points on a straight line are left out, so that flat layers stay short."""
    (film,) = blacks(Section())

    assert len(film) == 4


def test_a_pocket_is_filled_only_where_the_film_is_off():
    """Water lies below the raised film and nowhere else."""
    section = Section(lift=(Rise(150, 100, 20, "pouch"),), void="water")
    root = ElementTree.fromstring(f"<g>{section.draw()}</g>")
    (pool,) = [p for p in root.iter("path") if p.get("fill") == "url(#dw-water)"]
    across = [float(x) for x, _ in COORDINATES.findall(pool.get("d", ""))]

    assert (min(across), max(across)) == pytest.approx((100, 200), abs=2)


def test_film_gets_thin_but_never_vanishes():
    """A stretch that would take all of the film still leaves a line of it."""
    (film,) = blacks(Section(gauge=(Rise(150, 60, -50, "pouch"),)))
    top, bottom = (sorted(y for x, y in film if y > 100)[index] for index in (0, -1))
    thin = [y for x, y in film if 120 < x < 180]

    assert top < bottom
    assert thin
    assert all(y <= bottom - 1.5 for y in thin)
