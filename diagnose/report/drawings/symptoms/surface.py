"""Scenes of the faults of the film's face: shine, stains, cracks.

How each looks is common practice, no source.
"""

from diagnose.report.drawings.parts import Arrow, Blob, Box, Label, Line, Points, Strokes
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import PAINT_TO_FILM, Scene
from diagnose.report.drawings.section import Rise, Section
from diagnose.report.drawings.svg import trace
from diagnose.report.drawings.tools import Tool

SURFACE = (
    Scene(
        "sheen_patches",
        "Sheen patches (gloss difference)",
        "From above, a shiny patch in matte film, or a dull one in gloss film; the colour is the "
        "same. In the cut, the matte film's rough top is flat in the patch and throws light one "
        "way.",
        Plan(
            "field",
            (
                Box(0, 0, 300, 200, "mist", 0),
                Blob(150, 100, 130, 96, "white", 0.25, 0),
                Strokes(((118, 118), (150, 78)), (16, 4), 3, 2),
                Label(10, 30, "matte", (40, 70)),
                Label(180, 186, "shines", (170, 126)),
            ),
        ),
        Section(
            gauge=(Rise(42, 84, 6, "rough"), Rise(258, 84, 6, "rough")),
            parts=(
                Arrow(((110, 60), (148, 118)), 1.8),
                Arrow(((152, 118), (192, 58)), 1.8),
                Arrow(((6, 64), (38, 110)), 1.8),
                Arrow(((42, 110), (46, 70)), 1.2, size=7),
                Arrow(((42, 110), (66, 84)), 1.2, size=7),
                Arrow(((42, 110), (74, 104)), 1.2, size=7),
                Label(130, 46, "one way: shines"),
                Label(6, 194, "rough: dull", (40, 124)),
            ),
        ),
    ),
    Scene(
        "heat_marks",
        "Heat marks (over-heated film)",
        "From above, a round spot, fading outward, with a crinkled or pitted middle. In the cut, "
        "the film's top has run: thin in the middle, thick at the rim.",
        Plan(
            "field",
            (
                Blob(150, 100, 170, 150, "mist", 0.1, 0),
                Blob(150, 100, 116, 100, "dense", 0.1, 0),
                Blob(150, 100, 60, 54, "white", 0.2, 0),
                Line(trace("120,104 132,92 140,108 152,94 162,108 176,96"), 2.5),
                Label(10, 30, "spot of the heat", (96, 70)),
                Label(176, 188, "crinkled", (158, 106)),
            ),
        ),
        Section(
            gauge=(
                Rise(150, 90, -7, "dome"),
                Rise(95, 40, 6),
                Rise(205, 40, 6),
                Rise(150, 70, 3, "rough"),
            ),
            parts=(
                Tool("heat_gun", 150, 82, 0, 0.8),
                Label(200, 60, "top has run", (204, 112)),
                Label(10, 60, "thin", (140, 124)),
            ),
        ),
    ),
    Scene(
        "chalking",
        "Chalking",
        "From above, a dull dry surface on which one wipe leaves a dark track and a powdery "
        "cloth. In the cut, loose powder lies on a roughened top.",
        Plan(
            "field",
            (
                Box(0, 0, 300, 200, "chalk", 0),
                Line(trace("-5,84 200,70 206,128 -5,146"), 0, fill="white"),
                Box(0, 86, 150, 50, "shade", 0),
                Tool("cloth", 196, 130, -95, 1.1),
                Label(10, 40, "dull powder", (60, 70)),
                Label(120, 186, "wiped track", (110, 112)),
            ),
        ),
        Section(
            gauge=(Rise(230, 150, 3, "rough"),),
            parts=(
                Line(
                    trace("158,118 176,104 206,98 240,102 274,97 302,100 302,118"), 0, fill="powder"
                ),
                Label(14, 90, "wiped: clean", (80, 119)),
                Label(160, 76, "loose powder", (226, 102)),
            ),
        ),
        key=(*PAINT_TO_FILM, "chalk", "powder"),
    ),
    Scene(
        "staining",
        "Staining or etching",
        "From above, rings, spots and runs with a dry, still surface. In the cut, the mark sits "
        "in the top of the film only; the film is neither soft nor lifted.",
        Plan(
            "field",
            (
                Blob(90, 76, 70, 64, "mist", 0.15, 4),
                Blob(90, 76, 46, 40, "white", 0.2, 1, "2 3"),
                Blob(184, 100, 44, 42, "pale", 0.2, 4),
                Line(
                    trace("226,20 240,20 238,150 232,166 226,150"),
                    2,
                    fill="pale",
                    smooth=True,
                ),
                Points(trace("40,150 64,168 120,150 148,172 150,40"), "crumb", 5),
                Label(14, 30, "rings", (72, 52)),
                Label(180, 192, "run", (232, 160)),
            ),
        ),
        Section(
            gauge=(Rise(90, 60, -3, "dome"), Rise(206, 46, -3, "dome")),
            parts=(
                Blob(90, 123, 56, 8, "pale", 0, 0),
                Blob(206, 123, 42, 8, "pale", 0, 0),
                Points(((90, 96), (206, 96)), "drop", 7),
                Label(14, 60, "dried drop", (86, 90)),
                Label(90, 194, "only the top is marked", (206, 122)),
            ),
        ),
    ),
    Scene(
        "chemical_attack",
        "Chemical attack (swelling, softening)",
        "From above, a splash with runs in which the film is puckered. In the cut, the film has "
        "swollen and waved and the adhesive gives way.",
        Plan(
            "field",
            (
                Line(
                    trace(
                        "70,40 130,26 200,36 236,60 226,92 222,150 208,186 "
                        "196,150 186,110 150,116 146,160 132,176 124,120 84,100 60,70"
                    ),
                    3,
                    fill="white",
                    smooth=True,
                ),
                *(
                    Line(((x, 50 + x % 7), (x + 8, 62), (x, 74), (x + 8, 88)), 2, smooth=True)
                    for x in (84, 104, 124, 144, 164, 184, 204)
                ),
                Line(trace("206,106 214,120 206,134 212,148"), 2, smooth=True),
                Label(10, 190, "puckered runs", (136, 160)),
                Label(10, 24, "splash form", (84, 44)),
            ),
        ),
        Section(
            gauge=(Rise(150, 130, 8, "dome"), Rise(150, 130, 7, "ripple")),
            lift=(Rise(128, 30, 7, "ridge"), Rise(176, 34, 8, "ridge")),
            parts=(
                Points(((120, 72), (150, 62), (182, 74)), "drop", 8),
                Label(10, 66, "soft, swollen", (112, 104)),
                Label(190, 194, "lets go", (178, 136)),
            ),
        ),
    ),
    Scene(
        "cracking",
        "Cracking and crazing",
        "From above, a net of cracks like dried mud. In the cut, the film is split through in "
        "many places and the edges of the splits curl.",
        Plan(
            "field",
            (
                Line(trace("0,50 44,66 70,40 64,0"), 3),
                Line(trace("44,66 56,116 20,140 0,136"), 3),
                Line(trace("56,116 112,128 130,80 70,40"), 3),
                Line(trace("130,80 186,68 200,20 190,0"), 3),
                Line(trace("186,68 216,108 190,150 136,158 112,128"), 3),
                Line(((216, 108), (262, 96), (300, 110)), 3),
                Line(((262, 96), (250, 44), (300, 26)), 3),
                Line(((190, 150), (204, 200)), 3),
                Line(((136, 158), (110, 200)), 3),
                Line(((250, 44), (200, 20)), 2),
                Label(10, 186, "net of cracks", (128, 144)),
            ),
        ),
        Section(
            film=trace("0,44 49,108 113,166 171,232 237,300"),
            lift=tuple(
                Rise(x, 14, 8, form)
                for x, form in (
                    (37, "curl"),
                    (56, "curl_back"),
                    (101, "curl"),
                    (120, "curl_back"),
                    (159, "curl"),
                    (178, "curl_back"),
                    (225, "curl"),
                    (244, "curl_back"),
                )
            ),
            parts=(
                Label(14, 76, "split through", (111, 112)),
                Label(180, 76, "edges curl", (229, 110)),
            ),
        ),
    ),
    Scene(
        "looks_normal",
        "Nothing seems wrong",
        "From above, whole film under a magnifying glass that shows nothing, with a tick beside "
        "it. In the cut, film and adhesive lie sound on the paint.",
        Plan(
            "field",
            (
                Blob(120, 88, 120, 120, "white", 0, 5),
                Line(((164, 132), (214, 184)), 9),
                Line(((222, 66), (240, 88), (280, 34)), 7),
                Label(84, 92, "nothing"),
            ),
        ),
        Section(
            parts=(
                Line(((118, 78), (142, 104), (196, 34)), 7),
                Label(96, 196, "holds all over", (150, 136)),
            ),
        ),
    ),
)
