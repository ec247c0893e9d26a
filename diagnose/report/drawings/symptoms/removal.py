"""Scenes of the faults found at removal.

How each looks is common practice, no source.
"""

from diagnose.report.drawings.parts import Arrow, Blob, Box, Label, Line, Points
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import Scene
from diagnose.report.drawings.section import Rise, Section
from diagnose.report.drawings.svg import trace
from diagnose.report.drawings.tools import Tool

REMOVAL = (
    Scene(
        "adhesive_residue",
        "Adhesive residue",
        "From above, the film is gone and dotted islands of adhesive stay on the paint. In the "
        "cut, adhesive lies on the paint with no film over it; the film leaves almost bare.",
        Plan(
            "bare",
            (
                Blob(70, 60, 90, 60, "dots", 0.3),
                Blob(170, 130, 120, 70, "dots", 0.35),
                Blob(246, 50, 60, 50, "dots", 0.3),
                Line(trace("-5,150 60,160 70,205 -5,205"), 2.5, fill="white"),
                Label(110, 24, "sticky islands", (160, 112)),
                Label(96, 192, "film pulled off", (50, 182)),
            ),
        ),
        Section(
            film=((0, 78),),
            lift=(Rise(50, 70, 60, "curl"),),
            adhesive=trace("0,18 96,140 150,196 214,250"),
            parts=(
                Arrow(((40, 66), (64, 36))),
                Label(84, 56, "film leaves bare", (74, 74)),
                Label(128, 98, "adhesive stays", (172, 134)),
            ),
        ),
    ),
    Scene(
        "paint_lifting",
        "Paint lifting",
        "From above, the flap of film carries flakes of paint on its adhesive side and the body "
        "shows where they were. In the cut, the paint has left the body with the film.",
        Plan(
            "bare",
            (
                Line(trace("-5,-5 132,-5 112,205 -5,205"), 2.5, fill="white"),
                Line(trace("132,-5 112,205 30,190 50,10"), 2.5, fill="dots"),
                Blob(86, 70, 44, 56, "hatch", 0.4),
                Blob(74, 148, 34, 40, "hatch", 0.4),
                Blob(164, 70, 48, 58, "metal", 0.4, 2.5),
                Blob(160, 148, 36, 42, "metal", 0.4, 2.5),
                Label(14, 28, "on the film", (84, 60)),
                Label(200, 116, "bare body", (172, 84)),
            ),
        ),
        Section(
            film=((0, 170),),
            lift=(Rise(120, 100, 70, "curl"),),
            carried=((116, 166),),
            missing=((112, 176),),
            parts=(
                Arrow(((176, 60), (200, 32))),
                Label(10, 50, "comes with film", (146, 108)),
                Label(188, 112, "body bare", (160, 153)),
            ),
        ),
    ),
    Scene(
        "ghosting",
        "Mark left in the paint (ghosting)",
        "From above, the outline of the old graphic stays on the paint as a lighter or darker "
        "shape. In the cut, no film and no adhesive: only the paint itself differs.",
        Plan(
            "bare",
            (
                Line(
                    trace(
                        "60,30 120,30 120,84 180,84 180,30 240,30 "
                        "240,170 180,170 180,118 120,118 120,170 60,170"
                    ),
                    1,
                    "3 4",
                    "lines",
                ),
                Label(196, 192, "old outline", (232, 150)),
            ),
        ),
        Section(
            film=(),
            ground=(Rise(150, 120, 4, "channel"),),
            parts=(
                Box(95, 137, 110, 13, "lines", 1),
                Box(90, 106, 120, 16, "none", 1.5, "6 5"),
                Label(14, 76, "film was here", (110, 108)),
                Label(160, 194, "paint differs", (182, 144)),
            ),
        ),
    ),
    Scene(
        "film_breakup",
        "Film comes off badly",
        "From above, narrow strips and crumbs are all that comes off in one go. In the cut, the "
        "film is broken into short brittle pieces, some still down, some lifted.",
        Plan(
            "bare",
            (
                Line(
                    trace(
                        "-5,-5 120,-5 104,24 126,40 98,66 "
                        "130,88 100,112 122,140 96,160 116,205 -5,205"
                    ),
                    2.5,
                    fill="white",
                ),
                Line(trace("150,40 196,30 200,42 152,54"), 2, fill="white"),
                Line(trace("160,96 232,84 236,94 162,110"), 2, fill="white"),
                Line(trace("150,150 186,140 190,152 154,166"), 2, fill="white"),
                Points(trace("220,50 246,130 206,170 262,70 268,172"), "crumb", 6),
                Label(14, 100, "jagged", (106, 90)),
                Label(160, 194, "strips, crumbs", (206, 168)),
            ),
        ),
        Section(
            film=trace("0,62 66,96 104,126 138,166 190,204 232,244"),
            lift=(
                Rise(115, 24, 24, "curl"),
                Rise(152, 30, 40, "curl"),
                Rise(197, 16, 12, "curl_back"),
            ),
            parts=(
                Tool("grip", 168, 88, 30, 0.8),
                Label(10, 70, "breaks as it lifts", (124, 104)),
            ),
        ),
    ),
    Scene(
        "vehicle_damage",
        "Part of the vehicle damaged",
        "From above, a pane from which film was pulled: a crack runs over the glass and the "
        "heating wires are broken off. In the cut, the pane is cracked through beside the film.",
        Plan(
            "field",
            (
                Box(20, 16, 260, 168, "none", 5),
                *(Line(((24, y), (116, y)), 2) for y in (52, 84, 116, 148)),
                *(Line(((206, y), (276, y)), 2) for y in (52, 84, 116, 148)),
                Line(trace("236,20 214,66 238,92 196,128 212,180"), 4),
                Line(trace("238,92 268,106 262,132"), 2.5),
                Label(118, 40, "wires gone"),
                Label(60, 174, "glass cracked", (206, 150)),
            ),
        ),
        Section(
            film=((0, 92),),
            lift=(Rise(66, 52, 48, "curl"),),
            body=((0, 206), (214, 300)),
            parts=(
                Line(trace("210,122 204,140 214,156 206,178"), 3),
                Label(14, 50, "film comes off", (82, 88)),
                Label(180, 96, "pane cracked", (210, 132)),
            ),
        ),
    ),
)
