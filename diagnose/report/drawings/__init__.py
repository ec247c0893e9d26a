"""Drawings by code: symptoms, checks, and the car on which a complaint is marked.

Everything is composed of the same few parts in black and white and comes as SVG text. The
modules, from the ground up: `svg` (elements and patterns), `parts` and `tools` (marks, arrows,
words, hand and tools), `section` and `plan` (the two kinds of frame), `scene` (two frames to a
drawing), the tables of scenes, `vehicles`, `panels` and `car`, and `raster` for pictures of dots.
"""

from diagnose.report.drawings.car import Mark, car_drawing, panel_on_sheet
from diagnose.report.drawings.checks.all import CHECK_SCENES, check_drawing
from diagnose.report.drawings.drawing import Drawing
from diagnose.report.drawings.panels import PANELS, VIEWS, Panel, panel_at, panel_name
from diagnose.report.drawings.raster import half_blocks, to_png
from diagnose.report.drawings.symptoms.all import SYMPTOM_SCENES, symptom_drawing
from diagnose.report.drawings.vehicles import VEHICLES

__all__ = [
    "CHECK_SCENES",
    "PANELS",
    "SYMPTOM_SCENES",
    "VEHICLES",
    "VIEWS",
    "Drawing",
    "Mark",
    "Panel",
    "as_text",
    "car_drawing",
    "check_drawing",
    "half_blocks",
    "panel_at",
    "panel_name",
    "panel_on_sheet",
    "symptom_drawing",
    "to_png",
]


def as_text(drawing_id: str) -> str | None:
    """Give the sentence that stands in for the drawing of a symptom or a check, or None."""
    scene = SYMPTOM_SCENES.get(drawing_id) or CHECK_SCENES.get(drawing_id)
    return f"{scene.title}. {scene.description}" if scene else None
