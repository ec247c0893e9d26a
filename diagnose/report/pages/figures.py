"""Pictures of a report: the symptom drawn, the car with the marked places, photos."""

from __future__ import annotations

import re
from dataclasses import replace

from diagnose.knowledge.panels import PANELS, sideless
from diagnose.report.content.data import ComplaintReport, Report
from diagnose.report.drawings import PANELS as DRAWN
from diagnose.report.drawings import Drawing, Mark, car_drawing, symptom_drawing
from diagnose.report.drawings.vehicles import vehicle_class
from diagnose.report.formats.blocks import Figure

_IDS = {name: panel for panel, name in PANELS.items()}
_STANDS_FOR = {
    "tailgate": ("boot_lid",),
    "rear_door_van": ("boot_lid",),
    "sliding_door": ("rear_door", "side"),
    "rear_door": ("side",),
    "side": ("rear_quarter",),
    "wheel_arch_front": ("front_wing",),
    "wheel_arch_rear": ("rear_quarter",),
    "rear_window": ("boot_lid",),
    "quarter_window": ("rear_side_window",),
    "c_pillar": ("rear_quarter", "side"),
    "d_pillar": ("rear_quarter", "side"),
    "rear_door_handle": ("rear_door", "side"),
    "glass": ("windscreen",),
}
"""A place that is not drawn by itself, and the panels that can show it, on its own side if any."""


def car(report: Report, wide: bool = False) -> Figure | None:
    """The car with the complaints' places by number; None where no place is drawn.

    `wide`: all views in one row, nearly as broad as the page.
    """
    words = dict(report.facts).get("vehicle", "")
    kind = vehicle_class(words)
    drawn = {p.id for p in DRAWN if p.vehicle == kind}
    marks = [
        Mark(c.number, panel, name=c.panel[:1].lower() + c.panel[1:])
        for c in report.complaints
        if (panel := _drawn_panel(c.panel, drawn)) is not None
    ]
    if not marks:
        return None
    drawing = car_drawing(marks, kind, wide)
    larger = replace(drawing, svg=_readable(drawing.svg))
    return _figure(larger, f"Where on the {_drawn_as(kind, words)}.", 0.85 if wide else 0.48)


def _drawn_as(kind: str, words: str) -> str:
    """What the picture shows; a car without an outline of its own is told which one it has."""
    if kind not in _CARS:
        return kind
    borrowed = words and kind not in words.casefold()
    return f"car, drawn with the outline of {_CARS[kind]}" if borrowed else "car"


_CARS = {"saloon": "a saloon", "estate": "an estate"}


# The sheet of the car is shown at a third of its size, where its words could not be read.
_CAPTION = re.compile(r'font-size="14"(?= text-anchor="start"[^>]*>\D)')
_PLACE = re.compile(r'font-size="14"(?= text-anchor="start"[^>]*>\d)')


def _readable(svg: str) -> str:
    return _PLACE.sub('font-size="22"', _CAPTION.sub('font-size="22"', svg))


def _drawn_panel(name: str, drawn: set[str]) -> str | None:
    panel = _IDS.get(name, "")
    stem = sideless(panel)
    side = panel.removeprefix(stem)
    ways = [panel, *(way + end for way in _STANDS_FOR.get(stem, ()) for end in (side, ""))]
    return next((way for way in ways if way in drawn), None)


def symptom(complaint: ComplaintReport, share: float = 0.85) -> Figure | None:
    """The kind of failure as a drawing, so broad a part of the page; None where there is none."""
    drawing = symptom_drawing(complaint.symptom_id)
    if drawing is None:
        return None
    return _figure(drawing, f"What {complaint.symptom.lower()} looks like.", share)


def _figure(drawing: Drawing, caption: str, share: float) -> Figure:
    told = f"{drawing.title}. {drawing.description}"
    return Figure(drawing.svg, told, caption, drawing.width, drawing.height, share)
