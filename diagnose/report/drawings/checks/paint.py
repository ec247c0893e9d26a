"""Scenes of the checks on bare paint, and of the tape on a shiny film.

How each is done and read is common practice, no source, where the rule base names none.
"""

from diagnose.report.drawings.parts import Arrow, Blob, Box, Label, Line, Points, Strokes
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import PAINT_TO_FILM, Scene
from diagnose.report.drawings.section import Rise, Section
from diagnose.report.drawings.svg import trace
from diagnose.report.drawings.tools import Tool

_DO_READ = ("Do", "Read")
_DO_CUT = ("Do", "Cut through, not to scale")

PAINT_CHECKS = (
    Scene(
        "cross_cut_class",
        "Cross-cut",
        "In a hidden place and with written leave, make six cuts each way through the paint, "
        "brush, put tape on and take it off, and compare the lattice: class 0 (nothing gone) to "
        "5 (more than about two thirds gone).",
        Plan(
            "field",
            (
                Strokes(((100, 30), (100, 170)), (20, 0), 6, 2),
                Strokes(((80, 50), (220, 50)), (0, 20), 6, 2),
                Tool("blade", 204, 168, -35, 0.8),
                Label(14, 26, "6 cuts each way"),
                Label(14, 196, "hidden place, with leave"),
            ),
            cut=None,
        ),
        Plan(
            "field",
            (
                *(Strokes(((x, 40), (x, 110)), (14, 0), 6, 1.5) for x in (18, 116, 214)),
                *(Strokes(((x, 40), (x + 70, 40)), (0, 14), 6, 1.5) for x in (18, 116, 214)),
                Points(trace("130,54 158,54 144,82 172,96 130,96"), "crumb", 5),
                Box(214, 40, 56, 42, "black"),
                Box(228, 82, 42, 28, "black"),
                Label(53, 136, "0", None, "middle"),
                Label(151, 136, "2", None, "middle"),
                Label(249, 136, "5", None, "middle"),
                Label(150, 176, "black: paint has gone", None, "middle"),
            ),
            cut=None,
        ),
        _DO_READ,
        (),
    ),
    Scene(
        "tape_bridge_percent",
        "Tape across the recess",
        "Stick unstretched tape straight over the recess, cut it over the deepest line clear of "
        "the paint, press both halves in and measure the gap: gap divided by the bridge is the "
        "stretch that film in one piece would need.",
        Section(
            film=(),
            ground=(Rise(150, 130, -34, "channel"),),
            parts=(
                Line(((40, 136), (260, 136)), 6),
                Line(((150, 124), (150, 148)), 3, "4 3"),
                Arrow(((86, 108), (214, 108)), both=True),
                Label(150, 98, "bridge", anchor="middle"),
                Label(14, 60, "tape, not stretched", (60, 134)),
            ),
        ),
        Section(
            film=(),
            ground=(Rise(150, 130, -34, "channel"),),
            parts=(
                Line(trace("40,136 84,136 101,170 124,170"), 6),
                Line(trace("260,136 216,136 199,170 176,170"), 6),
                Arrow(((126, 150), (174, 150)), both=True, size=8),
                Label(150, 142, "gap", anchor="middle"),
                Label(14, 60, "stretch = gap / bridge"),
            ),
        ),
        ("1 bridge it", "2 cut, press in, measure"),
        ("paint", "tape"),
    ),
    Scene(
        "dyne_pen_mnm",
        "Test inks",
        "On clean bare surface, draw short strokes of rising value, each on a fresh place, and "
        "judge at two seconds: the highest ink that stays a film is the reading. Gloves, air, "
        "and the safety data sheet of the ink.",
        Plan(
            "field",
            (
                *(Box(60, y, 150, 18, "dense", 0) for y in (30, 66, 102, 138)),
                Tool("pen", 212, 148, 50, 1),
                Label(10, 46, "30"),
                Label(10, 82, "34"),
                Label(10, 118, "38"),
                Label(10, 154, "42"),
                Label(10, 190, "each on a fresh place"),
            ),
            cut=None,
        ),
        Plan(
            "field",
            (
                *(Box(60, y, 150, 18, "dense", 1) for y in (30, 66)),
                *(
                    Blob(72 + 25 * i, y + 9, 16, 15, "dense", 0.2, 1)
                    for i in range(6)
                    for y in (102, 138)
                ),
                Label(218, 82, "reading"),
                Label(218, 46, "film"),
                Label(218, 118, "beads"),
                Label(218, 154, "beads"),
                Line(trace("52,60 216,60 216,90 52,90 52,60"), 2.5),
                Label(10, 190, "after two seconds"),
            ),
            cut=None,
        ),
        _DO_READ,
        (),
    ),
    Scene(
        "water_break",
        "Water break",
        "Wet the clean upright surface with a spray of clean water and watch for a minute: an "
        "unbroken sheet, a sheet that breaks, or beads at once.",
        Plan(
            "field",
            (
                Box(70, 20, 150, 150, "water", 2),
                Tool("spray", 250, 70, 0, 1),
                Label(10, 192, "upright panel, clean water"),
            ),
            cut=None,
        ),
        Plan(
            "field",
            (
                Box(12, 30, 80, 110, "water", 2),
                Box(110, 30, 80, 110, "water", 2),
                Blob(140, 76, 34, 30, "white", 0.3, 1.5),
                Blob(164, 116, 30, 26, "white", 0.3, 1.5),
                Box(208, 30, 80, 110, "white", 2),
                Points(
                    trace("224,56 250,50 274,62 232,88 260,92 278,110 226,122 254,128"), "drop", 5
                ),
                Label(52, 164, "holds", None, "middle"),
                Label(150, 164, "breaks", None, "middle"),
                Label(248, 164, "beads", None, "middle"),
                Label(150, 190, "clean, doubtful, repels", None, "middle"),
            ),
            cut=None,
        ),
        _DO_READ,
        (),
    ),
    Scene(
        "tape_snap",
        "Tape snap",
        "Press strong tape on bare paint, rub it down and pull it off fast at a sharp angle; look "
        "at its sticky side for paint. It can take weak paint: owner's leave first.",
        Section(
            film=(),
            parts=(
                Line(((40, 136), (160, 136)), 6),
                Line(trace("160,136 152,112 90,84"), 6),
                Arrow(((90, 84), (24, 54)), 4),
                Label(100, 60, "fast, sharp angle", (110, 94)),
                Label(180, 110, "bare paint", (230, 140)),
            ),
        ),
        Plan(
            "field",
            (
                Box(40, 60, 220, 70, "dots", 2),
                Points(trace("90,84 140,104 176,78 214,110"), "crumb", 8),
                Label(40, 40, "sticky side", (56, 70)),
                Label(130, 170, "flakes of paint?", (176, 82)),
            ),
            cut=None,
        ),
        _DO_READ,
        ("paint", "adhesive", "tape"),
    ),
    Scene(
        "thumbnail_paint",
        "Nail on bare paint",
        "Press a nail into bare paint in a hidden place: a print that stays shows paint that has "
        "not cured.",
        Section(
            film=(),
            ground=(Rise(150, 16, -4, "ridge"),),
            parts=(Tool("finger", 150, 142, 0, 1.3), Label(14, 60, "press the nail")),
        ),
        Section(
            film=(),
            ground=(Rise(150, 22, -9, "ridge"),),
            parts=(Label(14, 60, "print stays:", (150, 146)), Label(14, 82, "not cured")),
        ),
        _DO_READ,
        ("paint",),
    ),
    Scene(
        "film_emissivity",
        "Tape dot for the infrared reading",
        "Put a dot of matt tape of emissivity 0.95 on the film, warm both alike and read tape and "
        "bare film with the spot well inside each. A film that reads lower than the tape is "
        "shiny to the instrument and its own reading is false.",
        Plan(
            "field",
            (
                Blob(96, 92, 74, 74, "dense", 0, 2.5),
                Blob(96, 92, 30, 30, "none", 0, 2, ""),
                Blob(216, 92, 30, 30, "none", 0, 2),
                Label(20, 32, "tape dot", (84, 62)),
                Label(170, 32, "bare film", (216, 80)),
                Label(150, 160, "spot: half the dot", (106, 104), "middle"),
                Label(150, 190, "same heat, same angle", None, "middle"),
            ),
            cut=None,
        ),
        Section(
            parts=(
                Box(40, 114, 80, 6, "dense", 1.5),
                Tool("infrared", 80, 76, 0, 0.9),
                Tool("infrared", 220, 76, 0, 0.9),
                Line(((80, 78), (80, 110)), 1.5, "3 3"),
                Line(((220, 78), (220, 116)), 1.5, "3 3"),
                Label(16, 26, "true reading"),
                Label(184, 26, "too low?"),
            ),
        ),
        _DO_CUT,
        (*PAINT_TO_FILM, "tape_dot"),
    ),
)
