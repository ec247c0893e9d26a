"""Scenes of the faults at edges, seams and recesses.

How each looks is common practice, no source.
"""

from diagnose.report.drawings.parts import Arrow, Box, Label, Line, Points, Ridge
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import Scene
from diagnose.report.drawings.section import Rise, Section
from diagnose.report.drawings.svg import trace

EDGES = (
    Scene(
        "edge_lifting",
        "Edge lifting",
        "From above, a run of the film's edge bulges out over the bare paint. In the cut, the "
        "last stretch of film and its adhesive curl up off the paint; a paper strip slides under.",
        Plan(
            "edge",
            (
                Line(
                    trace(
                        "208,20 224,45 214,70 230,100 216,130 "
                        "226,155 208,182 178,160 168,100 178,42"
                    ),
                    2.5,
                    fill="white",
                    smooth=True,
                ),
                Line(
                    trace("178,42 168,100 178,160 186,152 178,100 186,50"),
                    0,
                    fill="shade",
                    smooth=True,
                ),
                Label(20, 60, "stands off", (196, 90)),
                Label(20, 150, "still holds", (120, 120)),
            ),
        ),
        Section(
            film=((0, 228),),
            lift=(Rise(189, 82, 34, "curl"),),
            parts=(
                Line(((192, 138), (250, 129), (296, 122)), 2.5),
                Points(((210, 128), (219, 126), (226, 130)), "crumb", 2),
                Label(20, 60, "edge curls up", (208, 104)),
                Label(196, 76, "paper strip", (262, 127)),
            ),
        ),
    ),
    Scene(
        "corner_lifting",
        "Corner lifting",
        "From above, only the tip of the piece folds back like the corner of a page and shows "
        "its adhesive side. In the cut, a short tip stands up steeply; all behind it holds.",
        Plan(
            "corner",
            (
                Line(((150, 143), (213, 78), (213, 143)), 0, fill="hatch"),
                Line(((150, 140), (210, 80), (156, 84)), 2.5, fill="dots"),
                Label(20, 40, "tip folds back", (168, 96)),
                Label(20, 110, "the rest holds", (70, 126)),
            ),
        ),
        Section(
            film=((0, 214),),
            lift=(Rise(192, 44, 62, "curl"),),
            parts=(
                Label(20, 60, "only the tip", (204, 78)),
                Label(20, 110, "holds", (80, 122)),
            ),
        ),
    ),
    Scene(
        "edge_retreat",
        "Edge retreat",
        "From above, a straight strip of old adhesive lies bare between the film's present edge "
        "and the line where it was cut. In the cut, the film is down tight but ends short.",
        Plan(
            "bare",
            (
                Box(-5, -5, 175, 210, width=3),
                Box(170, -5, 40, 210, "dots", 0),
                Line(((210, 0), (210, 200)), 2.5, "8 5"),
                Arrow(((208, 60), (174, 60))),
                Label(20, 40, "edge now", (170, 50)),
                Label(218, 180, "old edge", (210, 130)),
                Label(20, 160, "bare adhesive", (188, 120)),
            ),
        ),
        Section(
            film=((0, 170),),
            adhesive=((0, 210),),
            parts=(
                Line(((210, 88), (210, 140)), 2, "6 4"),
                Arrow(((208, 102), (174, 102))),
                Label(20, 60, "tight, but short", (150, 121)),
                Label(190, 82, "old edge", (210, 90)),
                Label(110, 194, "tacky line", (190, 135)),
            ),
        ),
    ),
    Scene(
        "seam_opening",
        "Seam opening",
        "From above, two pieces that met now leave a gap, widest in the middle. In the cut, bare "
        "paint lies between two film edges.",
        Plan(
            "seam",
            (
                Line(
                    trace("150,8 128,60 122,100 128,140 150,192 172,140 178,100 172,60"),
                    2.5,
                    fill="hatch",
                    smooth=True,
                ),
                Arrow(((116, 100), (78, 100))),
                Arrow(((184, 100), (222, 100))),
                Label(14, 36, "piece 1"),
                Label(222, 36, "piece 2"),
                Label(14, 176, "gap", (140, 130)),
            ),
        ),
        Section(
            film=((0, 122), (178, 300)),
            lift=(Rise(114, 24, 7, "curl"), Rise(186, 24, 7, "curl_back")),
            parts=(
                Arrow(((126, 96), (174, 96)), both=True),
                Label(150, 82, "gap", anchor="middle"),
                Label(20, 60, "piece 1", (60, 122)),
                Label(220, 60, "piece 2", (246, 122)),
            ),
        ),
    ),
    Scene(
        "recess_pop_out",
        "Recess pop-out (tenting)",
        "From above, the film over a groove has no shadow of the groove any more but a taut flat "
        "span. In the cut, the film runs straight over the groove with a void below it.",
        Plan(
            "recess",
            (
                Box(98, 34, 104, 130, "white", 2),
                Arrow(((130, 80), (104, 80))),
                Arrow(((170, 80), (196, 80))),
                Label(150, 130, "taut, hollow", anchor="middle"),
                Label(10, 188, "groove shows", (108, 184)),
            ),
        ),
        Section(
            ground=(Rise(150, 100, -34, "channel"),),
            lift=(Rise(150, 100, 34, "channel"),),
            parts=(
                Arrow(((150, 104), (104, 104))),
                Arrow(((150, 104), (196, 104))),
                Label(150, 92, "taut", anchor="middle"),
                Label(150, 158, "hollow", anchor="middle"),
            ),
        ),
    ),
    Scene(
        "tunnelling",
        "Tunnelling under the film",
        "From above, one long narrow ridge runs from the edge inward. In the cut, film and "
        "adhesive together rise in a rounded, hollow arch; nothing is doubled.",
        Plan(
            "low_edge",
            (
                Ridge((150, 160), (150, 14), 38),
                Label(14, 60, "long ridge", (134, 70)),
                Label(176, 146, "from the edge", (152, 158)),
            ),
        ),
        Section(
            lift=(Rise(150, 116, 56, "ridge"),),
            parts=(
                Label(150, 133, "hollow", anchor="middle"),
                Label(14, 56, "film rises whole", (140, 68)),
            ),
        ),
    ),
    Scene(
        "panel_loss",
        "Film off over an area (flagging)",
        "From above, a hand-sized area of bare paint lies open and the film hangs from it as a "
        "flap with its adhesive side up. In the cut, the film has let go over a long stretch.",
        Plan(
            "field",
            (
                Line(trace("100,40 264,26 272,168 112,162"), 2.5, fill="hatch"),
                Line(
                    trace("100,40 112,162 58,178 20,150 28,88 12,50 60,34"),
                    2.5,
                    fill="dots",
                    smooth=True,
                ),
                Label(178, 100, "bare paint"),
                Label(20, 194, "flap", (60, 150)),
            ),
        ),
        Section(
            film=((0, 152),),
            lift=(Rise(106, 92, 96, "curl"),),
            parts=(
                Arrow(((92, 60), (118, 34))),
                Label(10, 54, "flaps", (128, 50)),
                Label(180, 110, "nothing holds", (216, 138)),
            ),
        ),
    ),
    Scene(
        "edges_in_sight",
        "Film ends or seams in sight",
        "From above, two pieces of film with a joint between them end short of the panel's edge, "
        "and nothing has moved. In the cut, the film lies tight and ends; clean paint runs on.",
        Plan(
            "bare",
            (
                Box(40, -5, 90, 150, width=3),
                Box(134, -5, 90, 150, width=3),
                Line(((20, 178), (280, 178)), 2.5, "8 5"),
                Arrow(((132, 148), (132, 174))),
                Label(44, 40, "two pieces"),
                Label(144, 120, "joint in sight", (134, 80)),
                Label(150, 168, "ends short", (134, 162)),
            ),
        ),
        Section(
            film=((0, 120), (126, 200)),
            parts=(
                Line(((270, 84), (270, 136)), 2, "6 4"),
                Label(14, 76, "tight, with a joint", (123, 118)),
                Label(196, 74, "expected", (270, 90)),
                Label(176, 194, "clean paint", (236, 138)),
            ),
        ),
    ),
)
