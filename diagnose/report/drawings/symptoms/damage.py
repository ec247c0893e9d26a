"""Scenes of damage.

How each looks is common practice, no source.
"""

from diagnose.report.drawings.parts import Arrow, Blob, Label, Line, Points, Strokes
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import Scene
from diagnose.report.drawings.section import Rise, Section
from diagnose.report.drawings.svg import trace
from diagnose.report.drawings.tools import Tool

DAMAGE = (
    Scene(
        "squeegee_scratches",
        "Hand-work scratches",
        "From above, fine parallel straight strokes in the direction of the squeegee. In the "
        "cut, fine grooves in the film's top, where the nail catches.",
        Plan(
            "field",
            (
                Strokes(((40, 176), (236, 36)), (4, 5), 9, 1.3),
                Tool("squeegee", 252, 56, 55, 0.9),
                Label(10, 40, "straight, parallel", (130, 108)),
            ),
        ),
        Section(
            gauge=tuple(Rise(x, 8, -7, "tent") for x in range(100, 206, 15)),
            parts=(
                Tool("squeegee", 226, 119, 20, 0.9),
                Label(14, 80, "grooves on top", (128, 119)),
            ),
        ),
    ),
    Scene(
        "wash_marring",
        "Wash marring and brush haze",
        "From above, swirls and arcs over a wide field. In the cut, a great many shallow marks "
        "dull the whole top.",
        Plan(
            "field",
            (
                Strokes(trace("20,150 80,84 160,70 250,100"), (5, 7), 6, 1.1, smooth=True),
                Strokes(trace("50,40 120,20 200,40 270,120"), (-4, 8), 5, 1.1, smooth=True),
                Strokes(((180, 190), (120, 130), (80, 60)), (9, -2), 5, 1.1, smooth=True),
                Label(150, 190, "arcs, swirls, all over", anchor="middle"),
            ),
        ),
        Section(
            gauge=(Rise(75, 150, -3, "rough"), Rise(225, 150, -3, "rough")),
            parts=(
                Tool("brush", 150, 112, 0),
                Arrow(((186, 84), (232, 96), (206, 108)), 2),
                Label(10, 60, "shallow, all over", (70, 122)),
            ),
        ),
    ),
    Scene(
        "knife_cuts",
        "Knife cuts",
        "From above, one thin dead-straight line. In the cut, a notch through the film and down "
        "into the paint, where rust can start.",
        Plan(
            "field",
            (
                Line(((150, -5), (150, 205)), 2.5),
                Tool("blade", 150, 120, 30),
                Label(10, 50, "one straight line", (150, 62)),
            ),
        ),
        Section(
            film=((0, 146), (154, 300)),
            parts=(
                Line(((141, 140), (159, 140), (150, 166)), 2, fill="white"),
                Label(14, 80, "through the film", (147, 126)),
                Label(10, 196, "into the paint", (145, 150)),
            ),
        ),
    ),
    Scene(
        "torn_edges",
        "Torn or frayed film",
        "From above, a ragged edge with slivers missing and a flap blown back. In the cut, a "
        "torn tongue is bent over while the adhesive right beside it holds.",
        Plan(
            "bare",
            (
                Line(
                    trace(
                        "-5,-5 206,-5 190,18 212,30 176,48 196,62 150,84 "
                        "160,100 146,118 186,130 172,146 208,160 190,176 206,205 -5,205"
                    ),
                    2.5,
                    fill="white",
                ),
                Line(trace("150,84 146,118 92,112 98,88"), 2.5, fill="dots"),
                Points(((236, 60), (256, 128), (226, 150)), "crumb", 5),
                Arrow(((286, 100), (216, 100)), 4),
                Label(10, 50, "flap blown back", (104, 94)),
                Label(188, 190, "slivers gone", (180, 132)),
            ),
        ),
        Section(
            film=((0, 150),),
            parts=(
                Line(trace("144,125.5 162,106 148,88 112,92"), 8, smooth=True),
                Line(trace("154,130 172,105 150,78 110,83"), 2, "1 4", smooth=True),
                Arrow(((280, 104), (190, 104)), 4),
                Label(196, 84, "jet or wind"),
                Label(20, 194, "holds beside it", (116, 136)),
            ),
        ),
    ),
    Scene(
        "impact_damage",
        "Impact damage",
        "From above, pits with broken, starred rims. In the cut, a stone has gone through the "
        "film and dented paint and body.",
        Plan(
            "field",
            (
                Points(((150, 100),), "pit", 16),
                Points(((70, 60), (226, 148), (90, 156)), "pit", 8),
                Label(180, 50, "pit, starred", (158, 88)),
            ),
        ),
        Section(
            film=((0, 136), (164, 300)),
            ground=(Rise(150, 40, -13, "ridge"),),
            lift=(Rise(130, 12, 8, "curl"), Rise(170, 12, 8, "curl_back")),
            parts=(
                Blob(158, 84, 30, 26, "shade", 0.3, 2),
                Arrow(((184, 48), (168, 70)), 2.5),
                Label(14, 76, "film broken", (134, 114)),
                Label(90, 196, "dent below", (150, 152)),
            ),
        ),
    ),
)
