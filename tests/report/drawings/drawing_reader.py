"""Reads a drawing back as a viewer or a screen reader would: elements, words, places."""

import re
from collections.abc import Iterator
from xml.etree import ElementTree

from diagnose.report.drawings.drawing import Drawing

NAMESPACE = "{http://www.w3.org/2000/svg}"
LETTER_WIDTH = 0.6


def elements(drawing: Drawing) -> Iterator[ElementTree.Element]:
    """Give every element of the drawing."""
    return ElementTree.fromstring(drawing.svg).iter()


def words(drawing: Drawing) -> list[tuple[str, float, float, float, float]]:
    """Give each text with its left, right, baseline and size in drawing units."""
    return list(_words(ElementTree.fromstring(drawing.svg), 0, 0))


def _words(
    element: ElementTree.Element, dx: float, dy: float
) -> Iterator[tuple[str, float, float, float, float]]:
    moved = re.match(r"translate\((\S+) (\S+)\)", element.get("transform", ""))
    if moved:
        dx, dy = dx + float(moved[1]), dy + float(moved[2])
    if element.tag == f"{NAMESPACE}text":
        size = float(element.get("font-size", "0"))
        run = len(element.text or "") * size * LETTER_WIDTH
        share = {"start": 0.0, "middle": 0.5, "end": 1.0}[element.get("text-anchor", "start")]
        left = dx + float(element.get("x", "0")) - run * share
        yield element.text or "", left, left + run, dy + float(element.get("y", "0")), size
    for child in element:
        yield from _words(child, dx, dy)


def inks(drawing: Drawing) -> set[str]:
    """Give every value used as a filling or a line, patterns left out."""
    values = {e.get(name) for e in elements(drawing) for name in ("fill", "stroke")}
    return {value for value in values if value and not value.startswith("url(#dw-")}
