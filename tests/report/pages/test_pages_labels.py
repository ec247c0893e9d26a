"""The words in a drawing stay whole on paper: no rim of one letter lies on another."""

from __future__ import annotations

import re
import shutil
import subprocess
from io import BytesIO

import pytest
import typst
from page_samples import pdf_text, squeezed
from PIL import Image, ImageChops

from diagnose.knowledge.base import Base
from diagnose.report.drawings import symptom_drawing
from diagnose.report.drawings.svg import LETTERING
from diagnose.report.formats.blocks import Document, Figure, Paper
from diagnose.report.formats.pdf import _rims_first, render
from tests.outside.fetch import ALL_JUDGES

_SHEET = b"""#set page(width: auto, height: auto, margin: 0pt)
#image(bytes(sys.inputs.svg), format: "svg")
"""
_PLACE = re.compile(r'x="[^"]*" y="[^"]*"')
_LABEL = re.compile(r"<text [^>]*>([^<]*)</text>")


painter = pytest.mark.skipif(
    shutil.which("pdftoppm") is None and not ALL_JUDGES,
    reason="pdftoppm, which paints PDFs, is not installed",
)


def picture(svg: str) -> Image.Image:
    """A drawing as a reader of PDFs paints it, in greys."""
    page = typst.compile(_SHEET, sys_inputs={"svg": svg}, ignore_system_fonts=True)
    command = ["pdftoppm", "-r", "100", "-gray", "-png", "-singlefile", "-"]
    painted = subprocess.run(command, input=page, capture_output=True, check=True).stdout
    return Image.open(BytesIO(painted)).convert("L")


def words_alone(svg: str) -> str:
    """The labels of a drawing on white, each on a line of its own."""
    labels = [found[0] for found in _LABEL.finditer(svg)]
    lines = [_PLACE.sub(f'x="10" y="{30 * n}"', label) for n, label in enumerate(labels, 1)]
    lines = [line.replace('text-anchor="middle"', "").replace('"end"', '"start"') for line in lines]
    size = f'width="500" height="{30 * len(labels) + 20}" font-family="{LETTERING}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{"".join(lines)}</svg>'


def without_rims(svg: str) -> str:
    """The same labels with nothing round their letters."""
    return re.sub(r' stroke="white"[^>]*paint-order="stroke"', "", svg)


def ink(one: Image.Image) -> float:
    """How much black is on a picture."""
    return sum(255 - grey for grey in one.tobytes()) / 255


@painter
def test_every_letter_of_a_label_is_there(base: Base) -> None:
    """On white, where a rim shows nowhere, labels with rims look as labels without."""
    told = 0
    for symptom in base.symptoms:
        drawing = symptom_drawing(symptom)
        if drawing is None:
            continue
        labels = words_alone(drawing.svg)
        plain, rimmed = picture(without_rims(labels)), picture(_rims_first(labels))
        apart = ink(ImageChops.invert(ImageChops.difference(plain, rimmed)))
        assert apart < 0.02 * ink(plain), symptom
        told += 1

    assert told > 20


@painter
def test_rim_and_letter_in_one_go_would_eat_letters() -> None:
    """What the rims first are for: set letter by letter, part of the ink of each label is gone."""
    drawing = symptom_drawing("edge_lifting")
    assert drawing is not None
    labels = words_alone(drawing.svg)

    assert ink(picture(labels)) < 0.92 * ink(picture(without_rims(labels)))


def test_words_of_a_drawing_can_be_read_from_the_page() -> None:
    """Text in a drawing is text in the file too, whole."""
    drawing = symptom_drawing("edge_lifting")
    assert drawing is not None
    figure = Figure(drawing.svg, "An edge.", "An edge.", drawing.width, drawing.height)
    page = Document("A drawing", "For the file", "2026-11-25 09:00", "Foot", (figure,))

    text = squeezed(pdf_text(render(page, Paper.A4)))

    labels = [found[1] for found in _LABEL.finditer(drawing.svg)]
    assert len(labels) > 5
    assert all(squeezed(words) in text for words in labels)
