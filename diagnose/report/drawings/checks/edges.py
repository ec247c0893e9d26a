"""Scenes of the checks at an edge: how far it reaches, how deep it lifts.

How each is done and read is common practice, no source, where the rule base names none.
"""

from diagnose.report.drawings.parts import Arrow, Box, Label, Line, Points, Strokes
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import Scene
from diagnose.report.drawings.section import Rise, Section
from diagnose.report.drawings.svg import trace
from diagnose.report.drawings.tools import Tool

_DO_READ = ("Do", "Read")
_DO_CUT = ("Do", "Cut through, not to scale")

EDGE_CHECKS = (
    Scene(
        "edge_retreat_mm",
        "Measure of the retreat",
        "Lay the rule square to the edge and read from the film's present edge to the old line "
        "of adhesive or dirt.",
        Plan(
            "bare",
            (
                Box(-5, -5, 165, 210, width=3),
                Box(160, -5, 40, 210, "dots", 0),
                Line(((200, 0), (200, 200)), 2.5, "8 5"),
                Box(120, 96, 150, 30, "white", 2),
                Strokes(((126, 96), (126, 106)), (8, 0), 18, 1.2),
                Arrow(((160, 80), (200, 80)), 2, both=True, size=8),
                Label(10, 40, "edge now", (160, 56)),
                Label(214, 40, "old line", (200, 60)),
                Label(10, 176, "rule square to edge", (132, 120)),
            ),
            cut=None,
        ),
        Section(
            film=((0, 160),),
            adhesive=((0, 200),),
            parts=(
                Line(((160, 72), (160, 118)), 1.2, "4 3"),
                Line(((200, 72), (200, 138)), 1.2, "4 3"),
                Arrow(((162, 92), (198, 92)), both=True, size=8),
                Label(180, 66, "mm", anchor="middle"),
            ),
        ),
        _DO_CUT,
    ),
    Scene(
        "lift_depth_mm",
        "Depth of the lift with a paper strip",
        "Slide a strip of paper under the lifted edge without force until it stops; mark it at "
        "the edge, draw it out and measure.",
        Plan(
            "edge",
            (
                Line(trace("150,80 296,80 296,120 150,120"), 2, fill="lines"),
                Line(((-5, 70), (210, 70), (210, 132), (-5, 132)), 0, "", "none"),
                Box(140, 76, 70, 48, "white", 0),
                Line(((152, 80), (210, 80)), 1.5, "4 3"),
                Line(((152, 120), (210, 120)), 1.5, "4 3"),
                Line(((152, 80), (152, 120)), 2.5, "4 3"),
                Line(((210, 0), (210, 200)), 3),
                Arrow(((292, 100), (226, 100)), 3),
                Label(10, 60, "stops here", (152, 90)),
                Label(10, 176, "no force"),
            ),
            cut=None,
        ),
        Section(
            film=((0, 228),),
            lift=(Rise(174, 110, 34, "curl"),),
            parts=(
                Line(((152, 139), (228, 137), (296, 130)), 3.5),
                Line(((152, 140), (152, 182)), 1.2, "4 3"),
                Line(((228, 84), (228, 182)), 1.2, "4 3"),
                Arrow(((154, 182), (226, 182)), 2, both=True, size=8),
                Label(236, 118, "paper", (268, 132)),
                Label(20, 190, "depth in mm"),
            ),
        ),
        _DO_CUT,
    ),
    Scene(
        "thumb_relay",
        "Lay back with the thumb",
        "Press the lifted edge back cold with a gloved thumb, let go and wait ten minutes: it "
        "holds, creeps up, or does not stick.",
        Section(
            film=((0, 214),),
            parts=(
                Tool("finger", 190, 118, 0, 1.1),
                Arrow(((232, 60), (232, 108)), 4),
                Label(14, 60, "press, no heat"),
            ),
        ),
        Section(
            film=((0, 214),),
            lift=(Rise(182, 66, 24, "curl"),),
            parts=(
                Arrow(((228, 124), (228, 92)), 3),
                Label(14, 60, "after ten minutes:"),
                Label(160, 84, "creeps up?", (204, 104)),
                Label(40, 196, "or stays down"),
            ),
        ),
        _DO_READ,
    ),
    Scene(
        "wrap_round_mm",
        "Film behind the edge",
        "Measure how far the film is stuck on the return behind the edge, with a mirror.",
        Section(
            body=((0, 200),),
            film=((0, 206),),
            parts=(
                Box(200, 120, 11, 66, "black", 0.5),
                Box(191, 140, 9, 36, "dots", 1),
                Arrow(((232, 122), (232, 186)), both=True),
                Label(240, 160, "mm"),
                Label(20, 70, "outer face", (90, 120)),
                Label(180, 84, "edge", (206, 120)),
            ),
        ),
        Section(
            film=((0, 200),),
            body=((0, 206),),
            parts=(
                Label(20, 70, "cut flush:", None),
                Label(20, 92, "nothing behind", (200, 124)),
            ),
        ),
        ("Wrapped round", "Cut at the edge"),
    ),
    Scene(
        "overlap_mm",
        "Width of the overlap",
        "Measure from the upper piece's edge to where the lower piece ends below it (a small "
        "step can be felt), and note which way water or wind runs over the edge.",
        Plan(
            "field",
            (
                Box(-5, -5, 195, 210, "white", 3),
                Line(((130, 0), (130, 200)), 2, "6 5"),
                Arrow(((132, 100), (188, 100)), both=True),
                Label(10, 40, "lower ends", (130, 60)),
                Label(200, 40, "upper edge", (190, 60)),
                Label(160, 132, "mm", anchor="middle"),
            ),
        ),
        Section(
            film=((120, 300),),
            parts=(
                Line(trace("0,125.5 96,125.5 122,105 190,105"), 11),
                Box(0, 131, 96, 9, "dots", 0.8),
                Box(124, 111, 66, 8, "dots", 0.8),
                Arrow(((122, 82), (190, 82)), both=True),
                Label(156, 70, "mm", anchor="middle"),
                Points(((98, 136), (108, 136)), "crumb", 1.5),
            ),
        ),
        _DO_CUT,
    ),
)
