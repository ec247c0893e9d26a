"""Pictures of a report: the symptom drawn, the car with the marked places, photos."""

from __future__ import annotations

import re
from dataclasses import replace

from diagnose.knowledge.panels import PANELS
from diagnose.report.content.data import ComplaintReport, Report
from diagnose.report.drawings import PANELS as DRAWN
from diagnose.report.drawings import Drawing, Mark, car_drawing, symptom_drawing
from diagnose.report.formats.blocks import Figure

_IDS = {name: panel for panel, name in PANELS.items()}
_STANDS_FOR = {
    "tailgate": "boot_lid",
    "rear_door_van_left": "boot_lid",
    "rear_door_van_right": "boot_lid",
    "sliding_door_left": "rear_door_left",
    "sliding_door_right": "rear_door_right",
    "side_left": "rear_quarter_left",
    "side_right": "rear_quarter_right",
    "wheel_arch_front_left": "front_wing_left",
    "wheel_arch_front_right": "front_wing_right",
    "wheel_arch_rear_left": "rear_quarter_left",
    "wheel_arch_rear_right": "rear_quarter_right",
    "glass": "windscreen",
}
"""A place that is not drawn by itself, and the panel that shows it."""

_CLASSES = (
    ("bus", r"\bbus\b|\bcoach\b"),
    ("van", r"\bvan\b|lorry|truck|trailer|\bbox\b|minibus|camper|motorhome"),
    ("estate", r"estate|\bsuv\b|off-road|pickup|\bute\b|hatch|city car|mini"),
)


_LONGER = re.compile(r"lorry|truck|trailer|camper|motorhome")


def vehicle_class(words: str) -> str:
    """The drawn class that a description of a vehicle fits best."""
    folded = words.casefold()
    return next((name for name, called in _CLASSES if re.search(called, folded)), "saloon")


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
    where = f"Where on the {kind}." if kind in ("van", "bus") else "Where on the car."
    if kind == "van" and _LONGER.search(words.casefold()):
        where = "Where on the vehicle; the outline is that of a van."
    return _figure(larger, where, 0.85 if wide else 0.48)


# The sheet of the car is shown at a third of its size, where its words could not be read.
_CAPTION = re.compile(r'font-size="14"(?= text-anchor="start"[^>]*>\D)')
_PLACE = re.compile(r'font-size="14"(?= text-anchor="start"[^>]*>\d)')


def _readable(svg: str) -> str:
    return _PLACE.sub('font-size="22"', _CAPTION.sub('font-size="22"', svg))


def _drawn_panel(name: str, drawn: set[str]) -> str | None:
    panel = _IDS.get(name, "")
    return next((p for p in (panel, _STANDS_FOR.get(panel, "")) if p in drawn), None)


def symptom(complaint: ComplaintReport, share: float = 0.85) -> Figure | None:
    """The kind of failure as a drawing, so broad a part of the page; None where there is none."""
    drawing = symptom_drawing(complaint.symptom_id)
    if drawing is None:
        return None
    return _figure(drawing, f"What {complaint.symptom.lower()} looks like.", share)


def _figure(drawing: Drawing, caption: str, share: float) -> Figure:
    told = f"{drawing.title}. {drawing.description}"
    return Figure(drawing.svg, told, caption, drawing.width, drawing.height, share)
