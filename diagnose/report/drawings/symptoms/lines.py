"""Scenes of lines, creases and milky areas.

How each looks is common practice, no source.
"""

from diagnose.report.drawings.parts import Arrow, Blob, Box, Label, Line, Points, Ridge, Strokes
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import PAINT_TO_LAMINATE, Scene
from diagnose.report.drawings.section import WHOLE, Rise, Section
from diagnose.report.drawings.svg import trace
from diagnose.report.drawings.tools import Tool

LINES = (
    Scene(
        "wrinkles_fingers",
        "Wrinkles and fingers",
        "From above, a fan of short folds starts at the edge and spreads into the field. In the "
        "cut along the edge, several small ridges stand side by side.",
        Plan(
            "low_edge",
            (
                Ridge((150, 158), (150, 66), 17),
                Ridge((122, 158), (98, 72), 17),
                Ridge((178, 158), (202, 72), 17),
                Ridge((96, 158), (50, 88), 16),
                Ridge((204, 158), (250, 88), 16),
                Label(150, 34, "a fan of short folds", (150, 70), "middle"),
                Label(14, 190, "outer curve", (70, 162)),
            ),
            cut=126,
        ),
        Section(
            lift=tuple(Rise(x, 28, 16, "ridge") for x in (74, 110, 150, 190, 226)),
            parts=(
                Label(14, 76, "many, each small", (150, 100)),
                Label(80, 194, "press one: next comes"),
            ),
        ),
    ),
    Scene(
        "creases",
        "Crease (hard fold)",
        "From above, one sharp kinked line. In the cut, the film is doubled over on itself and "
        "stuck: a hard edge, no hollow.",
        Plan(
            "field",
            (
                Line(trace("170,-5 146,60 152,100 140,150 150,205"), 5),
                Line(trace("176,-5 152,60 158,100 146,150 156,205"), 1),
                Line(((152, 100), (206, 78)), 2),
                Label(14, 60, "sharp line", (146, 68)),
                Label(200, 150, "stays flat", (150, 128)),
            ),
        ),
        Section(
            film=((0, 146), (220, 300)),
            adhesive=((0, 182), (220, 300)),
            parts=(
                Line(((122, 118), (176, 118)), 4, "1 4"),
                Line(((122, 104), (176, 104)), 4, "1 4"),
                Line(trace("140,125.5 176,125.5 182,118 176,111 126,111 120,104 126,97"), 9),
                Line(trace("126,97 190,97 206,108 218,125.5 224,125.5"), 9),
                Label(14, 70, "film doubled", (122, 100)),
                Label(158, 70, "stuck to itself", (160, 104)),
            ),
        ),
    ),
    Scene(
        "channel_lines",
        "Collapsed-channel lines",
        "From above, flat lines in the grid of the adhesive's air channels, often in arcs where "
        "the film was lifted and laid again. In the cut, the film's top is dead flat; channels "
        "in the adhesive are folded shut.",
        Plan(
            "field",
            (
                Blob(150, 100, 210, 130, "honeycomb", 0.2, 0),
                Line(trace("30,150 100,168 190,160 270,122"), 2.5, smooth=True),
                Line(trace("36,164 104,182 196,174 276,136"), 1.5, smooth=True),
                Label(14, 24, "grid in side light", (110, 60)),
                Label(150, 194, "arc of a lift", (180, 174)),
            ),
        ),
        Section(
            bed=(Rise(150, 300, 16, "box"),),
            parts=(
                *(
                    Line(((x, 141), (x + 5, 122), (x + 17, 122), (x + 22, 141)), 1.5, fill="white")
                    for x in (14, 54, 226, 266)
                ),
                *(
                    Line(((x, 140), (x + 6, 124), (x - 1, 131), (x + 11, 134)), 3)
                    for x in (98, 124, 150, 176, 202)
                ),
                Line(((0, 96), (300, 96)), 1, "6 5"),
                Label(14, 66, "top stays flat", (70, 104)),
                Label(220, 66, "open", (238, 130)),
                Label(100, 196, "folded shut", (156, 132)),
            ),
        ),
    ),
    Scene(
        "silvering",
        "Silvering under the film (incomplete wet-out)",
        "From above, a pale grainy area in film that does hold. In the cut, the adhesive touches "
        "only the high points and fine voids stay between adhesive and paint.",
        Plan(
            "field",
            (
                Blob(150, 104, 190, 120, "mist", 0.3, 0),
                Blob(150, 104, 120, 70, "gas", 0.3, 0),
                Tool("finger", 250, 150, -30, 0.7),
                Label(14, 30, "pale, grainy", (110, 74)),
                Label(120, 190, "clears if pressed", (244, 146)),
            ),
        ),
        Section(
            lift=(Rise(150, 190, 13, "coarse"),),
            bed=(Rise(150, 190, -13, "coarse"), Rise(150, 300, 9, "box")),
            parts=(
                Label(14, 66, "touches points only", (126, 139)),
                Label(110, 194, "fine voids", (161, 135)),
            ),
        ),
    ),
    Scene(
        "laminate_silvering",
        "Laminate silvering",
        "From above, silver flecks lie over dark printed solids in bands and leave the unprinted "
        "part alone. In the cut, fine voids are between print and laminate; the film holds.",
        Plan(
            "field",
            (
                Box(60, 0, 180, 200, "dense", 2),
                Blob(104, 100, 34, 190, "white", 0.06, 0),
                Blob(196, 100, 34, 190, "white", 0.06, 0),
                *(
                    Points(
                        (
                            (x, 20),
                            (x - 6, 52),
                            (x + 4, 84),
                            (x - 5, 118),
                            (x + 3, 150),
                            (x - 4, 182),
                        ),
                        "fleck",
                        5,
                    )
                    for x in (100, 192)
                ),
                Label(10, 30, "print", (66, 40)),
                Label(110, 110, "flecks", (198, 100)),
            ),
        ),
        Section(
            ink=((60, 240),),
            laminate=WHOLE,
            skin=(Rise(104, 64, 10, "coarse"), Rise(196, 64, 10, "coarse")),
            laminate_gauge=(
                Rise(150, 300, 5, "box"),
                Rise(104, 64, -10, "coarse"),
                Rise(196, 64, -10, "coarse"),
            ),
            parts=(
                Label(14, 60, "voids over the print", (104, 112)),
                Label(90, 194, "sound below", (150, 131)),
            ),
            film=WHOLE,
        ),
        key=PAINT_TO_LAMINATE,
    ),
    Scene(
        "laminate_tunnelling",
        "Laminate tunnelling",
        "From above, several like ridges run side by side across the print. In the cut, only "
        "the clear layer rises; print and film stay flat.",
        Plan(
            "field",
            (
                Box(0, 0, 300, 200, "mist", 0),
                Ridge((66, 6), (66, 194), 24),
                Ridge((122, 6), (122, 194), 24),
                Ridge((178, 6), (178, 194), 24),
                Ridge((234, 6), (234, 194), 24),
                Label(150, 106, "parallel ridges", None, "middle"),
            ),
        ),
        Section(
            ink=WHOLE,
            laminate=WHOLE,
            skin=tuple(Rise(x, 42, 24, "ridge") for x in (66, 122, 178, 234)),
            parts=(
                Label(14, 56, "only clear layer up", (122, 80)),
                Label(90, 194, "film stays flat", (150, 124)),
            ),
        ),
        key=PAINT_TO_LAMINATE,
    ),
    Scene(
        "laminate_delamination",
        "Laminate delamination",
        "From above, the clear layer peels back from the edge and the print stays on the car. In "
        "the cut, the laminate curls up with dirt below it; film and print are down.",
        Plan(
            "edge",
            (
                Box(0, 0, 207, 200, "mist", 0),
                Line(
                    trace("168,-5 160,60 150,100 160,150 168,205 210,205 210,-5"),
                    1.5,
                    fill="check",
                    smooth=False,
                ),
                Line(
                    trace("168,-5 160,60 150,100 160,150 168,205 120,190 106,100 122,8"),
                    2.5,
                    fill="white",
                    smooth=True,
                ),
                Label(8, 60, "clear layer", (114, 90)),
                Label(8, 180, "print stays", (188, 150)),
            ),
        ),
        Section(
            film=((0, 210),),
            ink=((0, 210),),
            laminate=((0, 206),),
            skin=(Rise(168, 80, 44, "curl"),),
            parts=(
                Points(((176, 114), (186, 113), (196, 114)), "crumb", 2.5),
                Label(14, 56, "only laminate lifts", (196, 72)),
                Label(60, 194, "film and print hold", (120, 122)),
            ),
        ),
        key=PAINT_TO_LAMINATE,
    ),
    Scene(
        "stretch_marks",
        "Stretch marks and stress whitening",
        "From above, the texture is drawn long and the film turns pale over the recess. In the "
        "cut, the film is down but thin where it was pulled over and into the recess.",
        Plan(
            "recess",
            (
                Box(102, 0, 96, 200, "white", 0),
                Strokes(((104, 16), (196, 16)), (0, 12), 15, 1),
                *(Blob(x, y, 9, 9, "white", 0) for x in (36, 66, 234, 264) for y in (66, 100, 134)),
                *(Blob(150, y, 54, 9, "white", 0) for y in (66, 100, 134)),
                Arrow(((92, 184), (12, 184))),
                Arrow(((208, 184), (288, 184))),
                Label(150, 38, "drawn long, pale", anchor="middle"),
            ),
        ),
        Section(
            ground=(Rise(150, 100, -28, "channel"),),
            gauge=(Rise(150, 116, -8, "pouch"),),
            parts=(
                Arrow(((104, 96), (44, 96))),
                Arrow(((196, 96), (256, 96))),
                Label(150, 72, "thin here", (150, 152), "middle"),
                Label(10, 80, "full", (30, 116)),
            ),
        ),
    ),
    Scene(
        "orange_peel",
        "Orange-peel or wavy texture of the film",
        "From above, an even fine waviness over the whole surface. In the cut, paint and "
        "adhesive are flat; only the film's own top is wavy.",
        Plan(
            "field",
            (
                Box(0, 0, 300, 200, "ripple", 0),
                Label(150, 106, "even, everywhere", anchor="middle"),
            ),
        ),
        Section(
            gauge=(Rise(150, 300, 6, "ripple"),),
            parts=(
                Label(14, 70, "film's top is wavy", (125, 109)),
                Label(120, 194, "paint is smooth", (200, 134)),
            ),
        ),
    ),
    Scene(
        "curls_before_laying",
        "Film curls before it is laid",
        "From above, a sheet on a table whose corners roll up and whose middle ripples. In the "
        "cut, the film has come off its liner at both ends and in a wave; no vehicle is below.",
        Plan(
            "field",
            (
                Box(34, 30, 232, 140, "check", 2),
                Line(((34, 30), (88, 30), (34, 84)), 2.5, fill="dots"),
                Line(((266, 30), (212, 30), (266, 84)), 2.5, fill="dots"),
                Line(((34, 170), (88, 170), (34, 116)), 2.5, fill="dots"),
                Line(((266, 170), (212, 170), (266, 116)), 2.5, fill="dots"),
                Ridge((120, 44), (120, 156), 18),
                Ridge((180, 44), (180, 156), 18),
                Label(96, 22, "corners roll up", (66, 44)),
                Label(112, 192, "ripples", (150, 156)),
            ),
            cut=None,
        ),
        Section(
            body=(),
            lift=(
                Rise(30, 60, 56, "curl_back"),
                Rise(150, 70, 22, "ridge"),
                Rise(270, 60, 56, "curl"),
            ),
            parts=(
                Box(0, 142, 300, 6),
                Label(84, 40, "lets go of the liner", (40, 78)),
                Label(104, 176, "liner, no vehicle", (150, 148)),
            ),
        ),
        ("From above, on the table", "Cut through, not to scale"),
        ("adhesive", "film"),
    ),
)
