"""Scenes of the faults of colour and print.

How each looks is common practice, no source.
"""

from diagnose.report.drawings.parts import Arrow, Blob, Box, Label, Line
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import PAINT_TO_FILM, PAINT_TO_LAMINATE, Scene
from diagnose.report.drawings.section import WHOLE, Section
from diagnose.report.drawings.svg import trace

_TWO_PANELS = ((0.0, 144.0), (156.0, 300.0))

COLOUR = (
    Scene(
        "colour_mismatch",
        "Colour mismatch between pieces",
        "From above, two neighbouring pieces, each even in itself, differ; the border is the "
        "gap. In the cut, both are sound: they come from different lots or run the other way.",
        Plan(
            "gap",
            (
                Box(-5, -5, 149, 210, "mist", 0),
                Box(156, -5, 149, 210, "shade", 0),
                Arrow(((60, 150), (60, 60))),
                Arrow(((240, 60), (240, 150))),
                Label(10, 34, "piece 1"),
                Label(226, 34, "piece 2"),
                Label(20, 188, "each even", (100, 120)),
            ),
        ),
        Section(
            body=_TWO_PANELS,
            film=_TWO_PANELS,
            parts=(
                Box(156, 120, 144, 11, "pale", 1),
                Label(20, 80, "one lot", (60, 122)),
                Label(200, 80, "other lot", (240, 120)),
                Label(150, 194, "both lie sound", anchor="middle"),
            ),
        ),
    ),
    Scene(
        "print_misalignment",
        "Image misalignment",
        "From above, a printed stripe does not go on at the same height across the gap. In the "
        "cut, both pieces lie sound; only the print is off.",
        Plan(
            "gap",
            (
                Line(trace("-5,120 144,64 144,104 -5,160"), 1.5, fill="check"),
                Line(trace("156,94 305,38 305,78 156,134"), 1.5, fill="check"),
                Line(((144, 64), (204, 42)), 1.5, "5 4"),
                Arrow(((176, 54), (176, 84)), 2, both=True, size=8),
                Label(184, 30, "offset", (178, 62)),
                Label(10, 188, "one image", (60, 136)),
            ),
        ),
        Section(
            body=_TWO_PANELS,
            film=_TWO_PANELS,
            ink=((0, 126), (196, 300)),
            parts=(
                Line(((156, 84), (156, 110)), 1.5, "4 3"),
                Line(((196, 84), (196, 108)), 1.5, "4 3"),
                Arrow(((158, 92), (194, 92)), 2, both=True, size=8),
                Label(150, 74, "print is off", anchor="middle"),
                Label(150, 194, "nothing lifts", anchor="middle"),
            ),
        ),
        key=(*PAINT_TO_FILM, "print"),
    ),
    Scene(
        "print_flaws",
        "Print flaws",
        "From above, bands and missing lines repeat at an even distance in the printed part. In "
        "the cut, the laminate is whole and the ink below it has gaps.",
        Plan(
            "field",
            (
                Box(0, 0, 300, 200, "check", 0),
                *(Box(x, 0, 9, 200, "white", 0) for x in (70, 130, 190, 250)),
                *(Box(x + 16, 0, 3, 200, "white", 0) for x in (70, 130, 190)),
                Line(trace("20,40 44,52 30,76 52,84"), 6),
                Label(150, 40, "even distance", anchor="middle"),
                Label(6, 180, "smear", (40, 80)),
            ),
        ),
        Section(
            ink=trace("0,70 80,128 140,188 200,248 260,300"),
            laminate=WHOLE,
            parts=(
                Label(14, 66, "laminate whole", (60, 106)),
                Label(140, 194, "gaps in the ink", (194, 114)),
            ),
        ),
        key=PAINT_TO_LAMINATE,
    ),
    Scene(
        "fading",
        "Fading or colour change",
        "From above, the exposed part is evenly paler; where a plate or handle gave shade, the "
        "old colour stands. In the cut, the film's upper part has lost colour; no powder on it.",
        Plan(
            "field",
            (
                Box(0, 0, 300, 200, "mist", 0),
                Box(156, 50, 116, 100, "dense", 0),
                Label(10, 36, "paler, smooth", (60, 80)),
                Label(150, 186, "in the shade", (210, 140)),
            ),
        ),
        Section(
            parts=(
                Box(0, 119.5, 152, 8, "pale", 0),
                *(Arrow(((x, 62), (x + 16, 108)), 1.8, size=8) for x in (14, 56, 98)),
                Box(156, 84, 140, 16, "shade", 1.5),
                Label(16, 50, "sun"),
                Label(200, 76, "shade"),
                Label(14, 194, "paler on top", (70, 122)),
            ),
        ),
    ),
    Scene(
        "yellowing",
        "Yellowing or discolouring of a clear layer",
        "From above, the clear layer is evenly tinted where light came and clear where a part "
        "covered it. In the cut, the clear layer alone has the tint.",
        Plan(
            "field",
            (
                Box(0, 0, 300, 200, "upright", 0),
                Blob(216, 100, 110, 110, "white", 0, 1),
                Label(10, 36, "straw tint", (70, 70)),
                Label(120, 190, "covered: clear", (200, 130)),
            ),
        ),
        Section(
            laminate=((0, 160),),
            laminate_fill="upright",
            parts=(
                Box(160, 111, 140, 9, "white"),
                Label(14, 70, "tinted clear layer", (80, 116)),
                Label(196, 90, "clear", (230, 116)),
                Label(60, 194, "film below as it was", (120, 128)),
            ),
        ),
        key=(*PAINT_TO_FILM, "laminate"),
    ),
)
