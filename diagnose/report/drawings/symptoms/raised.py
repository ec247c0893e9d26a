"""Scenes of the raised spots.

How each looks is common practice, no source.
"""

from diagnose.report.drawings.parts import (
    Arrow,
    Blob,
    Box,
    Domes,
    Label,
    Line,
    Points,
    Strokes,
    Tube,
)
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import Scene
from diagnose.report.drawings.section import Rise, Section
from diagnose.report.drawings.svg import trace
from diagnose.report.drawings.tools import Tool

RAISED = (
    Scene(
        "grit_bumps",
        "Grit bumps (nibs)",
        "From above, small hard points each with a star of tented film, scattered. In the cut, "
        "a hard grain holds the film up like a tent pole.",
        Plan(
            "field",
            (
                Points(
                    trace("60,50 110,130 150,100 206,60 236,140 84,172 268,92 34,108"),
                    "nib",
                    6,
                ),
                Label(150, 186, "hard points", (112, 136)),
            ),
        ),
        Section(
            lift=(Rise(150, 92, 24, "tent"),),
            parts=(
                Line(trace("136,140 141,126 150,117 158,125 164,140"), 1, fill="black"),
                Label(14, 60, "film tented", (132, 108)),
                Label(206, 76, "hard grain", (156, 130)),
            ),
        ),
    ),
    Scene(
        "fibre_inclusion",
        "Lint or hair under the film",
        "From above, one thin raised worm, curved, a few millimetres long. In the cut, a round "
        "thread lies between paint and film.",
        Plan(
            "field",
            (
                Tube(trace("90,150 110,104 150,100 178,74 216,88 226,52")),
                Label(150, 160, "raised worm", (122, 108)),
            ),
        ),
        Section(
            lift=(Rise(150, 56, 18, "ridge"),),
            parts=(
                Blob(150, 132, 14, 14, "shade", 0),
                Label(170, 80, "thread", (152, 132)),
            ),
        ),
    ),
    Scene(
        "air_bubbles",
        "Air bubbles",
        "From above, a few soft domes of different size. In the cut, an empty dome; pressed, the "
        "air moves to the side and it stays flat once pricked.",
        Plan(
            "field",
            (
                Domes(((150, 100, 38), (66, 60, 18), (236, 150, 24))),
                Label(14, 176, "few, soft", (74, 74)),
            ),
        ),
        Section(
            lift=(Rise(150, 120, 34),),
            parts=(
                Tool("finger", 150, 82, 0, 0.9),
                Arrow(((140, 124), (108, 126))),
                Arrow(((160, 124), (192, 126))),
                Label(196, 70, "air moves", (184, 122)),
            ),
        ),
    ),
    Scene(
        "gas_blisters",
        "Gas blisters (outgassing)",
        "From above, very many small domes close together, some already joined. In the cut, gas "
        "rises out of the paint and fills one dome after the other; pricked, they come back.",
        Plan(
            "field",
            (
                Domes(
                    tuple(
                        (
                            22 + 32 * column + 13 * (row % 2),
                            22 + 26 * row,
                            7 + (column * 7 + row * 5) % 5,
                        )
                        for row in range(6)
                        for column in range(9)
                    )
                ),
                Domes(((150, 100, 19), (172, 106, 17), (158, 124, 15))),
                Label(40, 190, "many, joining", (150, 118)),
            ),
        ),
        Section(
            lift=(Rise(60, 50, 20), Rise(118, 46, 22), Rise(158, 50, 26), Rise(240, 60, 20)),
            void="gas",
            parts=(
                *(Arrow(((x, 152), (x, 130)), 1.5, size=7) for x in (60, 118, 158, 240)),
                Label(14, 80, "gas in each dome", (150, 122)),
                Label(120, 196, "out of the paint", (160, 148)),
            ),
        ),
    ),
    Scene(
        "water_pockets",
        "Water or moisture pockets",
        "From above, a flat pouch of irregular form below a badge or seal, in which liquid "
        "creeps. In the cut, a low flat pocket full of water.",
        Plan(
            "field",
            (
                Blob(150, 118, 170, 96, "water", 0.35, 2.5),
                Box(96, 18, 108, 34, "shade", 2.5),
                Points(((120, 66), (178, 62)), "drop", 5),
                Label(14, 40, "badge", (100, 36)),
                Label(14, 190, "liquid creeps", (96, 140)),
            ),
        ),
        Section(
            lift=(Rise(150, 190, 21, "pouch"),),
            void="water",
            parts=(
                Label(14, 60, "flat soft pouch", (100, 100)),
                Label(190, 194, "water", (200, 130)),
            ),
        ),
    ),
    Scene(
        "adhesive_lumps",
        "Adhesive lumps and gels",
        "From above, rounded bumps without a dark core and a smear of rolled-up adhesive. In the "
        "cut, the adhesive itself is thick there; nothing hard is in it.",
        Plan(
            "field",
            (
                Domes(((150, 100, 24), (210, 56, 15)), fill="dots"),
                Line(
                    trace("48,150 86,138 110,150 140,142 142,154 108,164 80,152 50,162"),
                    1.5,
                    fill="dots",
                    smooth=True,
                ),
                Label(14, 60, "no dark core", (140, 94)),
                Label(160, 184, "rolled-up smear", (122, 154)),
            ),
        ),
        Section(
            lift=(Rise(150, 70, 22, "ridge"),),
            void="dots",
            parts=(Label(14, 76, "adhesive heaped", (150, 122)),),
        ),
    ),
    Scene(
        "rust_blisters",
        "Rust or paint blisters under the film",
        "From above, a crusty swelling grows from a chip and breaks up at its rim. In the cut, "
        "rust between body and paint lifts the paint and the film with it.",
        Plan(
            "field",
            (
                Blob(150, 100, 130, 96, "rust", 0.45, 2.5),
                Blob(236, 52, 40, 34, "rust", 0.45, 2.5),
                Line(trace("120,84 142,100 136,118 164,110 182,124"), 3),
                Label(14, 186, "crusty, cracked", (136, 118)),
            ),
        ),
        Section(
            blister=(Rise(150, 130, 26),),
            parts=(
                Line(((146, 113), (153, 120), (147, 128)), 2.5),
                Label(14, 64, "paint is up too", (112, 128)),
                Label(170, 194, "rust below it", (170, 142)),
            ),
        ),
    ),
    Scene(
        "substrate_read_through",
        "Read-through of the surface (telegraphing)",
        "From above, chips, sanding scratches and old edges show through. In the cut, the film "
        "lies tight everywhere and follows the form of the paint.",
        Plan(
            "field",
            (
                Strokes(((40, 30), (110, 62)), (4, -7), 5, 1),
                Blob(104, 110, 26, 20, "white", 0.4, 1.5, "3 3"),
                Blob(68, 150, 16, 14, "white", 0.4, 1.5, "3 3"),
                Line(((200, 0), (200, 200)), 2, "3 3"),
                Label(14, 188, "chips", (70, 152)),
                Label(210, 150, "old edge", (200, 120)),
                Label(112, 86, "scratches", (100, 54)),
            ),
        ),
        Section(
            ground=(Rise(104, 26, -9, "tent"), Rise(66, 14, -6, "tent"), Rise(250, 100, 7, "step")),
            parts=(
                Label(14, 70, "film lies tight", (92, 116)),
                Label(110, 196, "form is in the paint", (206, 140)),
            ),
        ),
    ),
)
