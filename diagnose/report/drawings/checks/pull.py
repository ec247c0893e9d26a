"""Scenes of the checks that show a standing pull: cuts, lines, peeling.

How each is done and read is common practice, no source, where the rule base names none.
"""

from diagnose.report.drawings.parts import Arrow, Box, Label, Line, Strokes
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import PAINT_TO_LAMINATE, Scene
from diagnose.report.drawings.section import Rise, Section
from diagnose.report.drawings.svg import trace
from diagnose.report.drawings.tools import Tool

_DO_READ = ("Do", "Read")
_DO_CUT = ("Do", "Cut through, not to scale")


def _gape(x: float, y: float, *, across: bool) -> Line:
    """Draw a cut that gapes: a thin lens of bare paint."""
    lens = ((0, 0), (7, 30), (0, 60), (-7, 30))
    turned = tuple((x + v, y + u) if across else (x + u, y + v) for u, v in lens)
    return Line(turned, 2, fill="hatch", smooth=True)


PULL_CHECKS = (
    Scene(
        "relief_cut",
        "Relief cut",
        "Lift the film clear of the paint over a shield, cut 15 mm (0.6 in) across to the edge "
        "and 15 mm along it, lay it back. The cut that lies across the pull gapes: a gaping cut "
        "along the edge tells of a pull toward the edge. Never cut on the paint.",
        Plan(
            "edge",
            (
                Box(120, 70, 110, 80, "metal", 1.5, "5 3"),
                Line(((210, 110), (150, 110)), 3, "7 4"),
                Line(((150, 80), (150, 140)), 3, "7 4"),
                Tool("blade", 152, 110, 55, 0.8),
                Label(10, 36, "15 mm along edge", (150, 84)),
                Label(10, 192, "shield under film", (134, 146)),
                Label(190, 180, "15 mm across", (190, 110)),
            ),
            cut=None,
        ),
        Plan(
            "edge",
            (
                _gape(140, 14, across=False),
                Arrow(((60, 44), (126, 44)), 3),
                Label(10, 24, "pulled to edge"),
                _gape(140, 150, across=True),
                Arrow(((60, 176), (60, 128)), 3),
                Label(76, 116, "pulled along", (146, 146)),
                Line(((0, 98), (300, 98)), 1.5),
            ),
            cut=None,
        ),
        _DO_READ,
    ),
    Scene(
        "relief_gap_mm",
        "Gape of the relief cut",
        "One minute after the cut, read the width of the gape at the middle of the cut with a "
        "scale loupe, square to the cut.",
        Plan(
            "edge",
            (
                Line(trace("130,30 118,100 130,170 142,100"), 2, fill="hatch", smooth=True),
                Tool("loupe", 130, 134, 0, 1.5),
                Label(10, 30, "middle of the cut", (130, 92)),
            ),
            cut=None,
        ),
        Section(
            film=((0, 118), (182, 300)),
            parts=(
                Line(((118, 76), (118, 116)), 1.2, "4 3"),
                Line(((182, 76), (182, 116)), 1.2, "4 3"),
                Arrow(((120, 94), (180, 94)), both=True),
                Label(150, 72, "gape in mm", anchor="middle"),
            ),
        ),
        _DO_CUT,
    ),
    Scene(
        "lines_and_pull",
        "Lines and the direction of pull",
        "Film is pulled along an edge, not toward it. Look how fine lines lie to the pull: lines "
        "across the pull tell of tension, lines along the strokes of the tool, arcs of a restart.",
        Plan(
            "edge",
            (
                Tool("grip", 100, 104, 180, 0.8),
                Arrow(((100, 60), (100, 14)), 4),
                Label(116, 36, "along: right"),
                Arrow(((124, 150), (196, 150)), 4),
                Line(((150, 136), (170, 164)), 3),
                Line(((170, 136), (150, 164)), 3),
                Label(10, 192, "toward edge: tension"),
            ),
            cut=None,
        ),
        Plan(
            "field",
            (
                Arrow(((24, 60), (280, 60)), 3),
                Strokes(((60, 72), (60, 112)), (14, 0), 8, 1.5),
                Strokes(((190, 80), (280, 80)), (0, 8), 5, 1.5),
                Strokes(trace("60,172 120,186 190,182 250,160"), (2, -9), 2, 1.5, smooth=True),
                Label(24, 46, "pull"),
                Label(44, 134, "across pull"),
                Label(178, 134, "along strokes"),
                Label(10, 194, "restart", None),
            ),
            cut=None,
        ),
        _DO_READ,
    ),
    Scene(
        "wrinkle_line",
        "Pull lines to the edge",
        "In raking light, look for fine pale lines that point from the field to the edge: they "
        "show a pull toward the edge.",
        Plan(
            "edge",
            (
                Strokes(((120, 60), (206, 52)), (2, 16), 6, 1.5),
                Arrow(((20, 180), (104, 120)), 2),
                Label(10, 40, "lines point to edge", (150, 72)),
                Label(40, 194, "light from the side"),
            ),
            cut=None,
        ),
        Section(
            film=((0, 214),),
            gauge=tuple(Rise(x, 8, 3, "tent") for x in (120, 140, 160, 180)),
            parts=(
                Arrow(((14, 96), (108, 114)), 2),
                Arrow(((150, 92), (214, 92)), 3),
                Label(150, 78, "was pulled so"),
                Label(14, 84, "raking light"),
            ),
        ),
        _DO_CUT,
    ),
    Scene(
        "peel_compare",
        "Peel here and on a sound place",
        "Peel 50 mm (2 in) at the fault and as much "
        "on a sound place of the same panel by hand, at the "
        "same angle, the same slow speed and the same temperature, and compare the pull.",
        Plan(
            "field",
            (
                Line(trace("40,60 120,60 120,92 40,92"), 2, fill="hatch"),
                Line(trace("180,60 260,60 260,92 180,92"), 2, fill="hatch"),
                Line(trace("40,60 12,56 12,96 40,92"), 2, fill="dots"),
                Line(trace("180,60 152,56 152,96 180,92"), 2, fill="dots"),
                Arrow(((40, 112), (120, 112)), 2, both=True, size=8),
                Arrow(((180, 112), (260, 112)), 2, both=True, size=8),
                Label(80, 40, "here", None, "middle"),
                Label(220, 40, "sound", None, "middle"),
                Label(150, 140, "50 mm (2 in) each", None, "middle"),
                Label(150, 180, "one panel, one temperature", None, "middle"),
            ),
            cut=None,
        ),
        Section(
            film=((90, 300),),
            lift=(Rise(124, 68, 62, "curl_back"),),
            parts=(
                Tool("grip", 88, 62, 200, 0.6),
                Arrow(((100, 40), (166, 22)), 3),
                Line(((128, 116), (150, 92), (160, 112)), 1.5),
                Label(176, 60, "same angle", (148, 98)),
                Label(176, 84, "same speed"),
            ),
        ),
        _DO_CUT,
    ),
    Scene(
        "laminate_probe",
        "Does the laminate part?",
        "At a lifted edge, try with tape or a blade tip whether the clear layer parts from the "
        "print. Do not press the tip into the paint.",
        Plan(
            "edge",
            (
                Box(0, 0, 207, 200, "mist", 0),
                Line(trace("150,80 290,70 290,130 150,120"), 2, fill="upright"),
                Arrow(((256, 100), (164, 52)), 3),
                Label(10, 60, "tape on the edge", (164, 100)),
            ),
            cut=None,
        ),
        Section(
            film=((0, 210),),
            ink=((0, 210),),
            laminate=((0, 210),),
            skin=(Rise(180, 60, 36, "curl"),),
            parts=(
                Tool("grip", 210, 72, 30, 0.6),
                Arrow(((196, 54), (216, 18)), 3),
                Label(14, 50, "only clear layer?", (196, 80)),
                Label(30, 194, "print stays?", (120, 114)),
            ),
        ),
        _DO_CUT,
        PAINT_TO_LAMINATE,
    ),
)
