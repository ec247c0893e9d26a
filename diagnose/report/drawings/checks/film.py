"""Scenes of the checks on the film: warm, press, prick, feel, tap, count, measure.

How each is done and read is common practice, no source, where the rule base names none.
"""

from diagnose.report.drawings.parts import Arrow, Blob, Box, Domes, Label, Line, Points, Strokes
from diagnose.report.drawings.plan import Plan
from diagnose.report.drawings.scene import Scene
from diagnose.report.drawings.section import Rise, Section
from diagnose.report.drawings.svg import trace
from diagnose.report.drawings.tools import Tool

_DO_READ = ("Do", "Read")
_DO_CUT = ("Do", "Cut through, not to scale")

FILM_CHECKS = (
    Scene(
        "heat_relax",
        "Warm and watch",
        "Keep the heat gun moving and warm a patch of 100 mm (4 in) evenly to 60 °C (140 °F), "
        "measuring the film; if nothing changes, to 90 °C (194 °F) or the limit in the film "
        "maker's bulletin, whichever is lower. Press "
        "with felt or glove. Lines from tension fade, film under tension draws back.",
        Plan(
            "field",
            (
                Box(80, 40, 140, 120, "white", 2, "7 5"),
                Arrow(trace("96,60 204,60 204,84 96,84 96,110 204,110"), 2.5),
                Label(86, 150, "keep it moving"),
                Label(10, 28, "100 mm (4 in) patch", (84, 46)),
                Strokes(((110, 70), (110, 124)), (26, 0), 4, 1),
            ),
            cut=None,
        ),
        Section(
            film=((0, 206),),
            adhesive=((0, 226),),
            parts=(
                Tool("heat_gun", 120, 82, 0, 0.85),
                Arrow(((228, 104), (204, 104)), 3),
                Label(180, 60, "draws back?", (206, 114)),
                Label(150, 24, "60 °C (140 °F)"),
                Label(10, 196, "then 90 °C (194 °F) or limit"),
            ),
        ),
        ("Warm evenly", "Watch the film"),
    ),
    Scene(
        "press_clears",
        "Press a milky patch",
        "Press the milky patch hard for five seconds with thumb or felt: it clears and stays, "
        "clears and comes back, or does not change.",
        Plan(
            "field",
            (
                Blob(150, 100, 200, 140, "mist", 0.25, 0),
                Blob(150, 100, 50, 46, "white", 0.1, 1.5),
                Tool("finger", 156, 110, -25, 1.1),
                Label(10, 24, "milky", (88, 70)),
                Label(10, 190, "clear under thumb?", (144, 112)),
            ),
            cut=None,
        ),
        Section(
            lift=(Rise(70, 120, 13, "coarse"), Rise(242, 110, 13, "coarse")),
            bed=(
                Rise(150, 300, 9, "box"),
                Rise(70, 120, -13, "coarse"),
                Rise(242, 110, -13, "coarse"),
            ),
            parts=(
                Tool("finger", 158, 108, 0, 1.2),
                Label(14, 60, "five seconds"),
                Label(90, 196, "voids close here", (158, 138)),
            ),
        ),
        _DO_CUT,
    ),
    Scene(
        "pin_prick",
        "Prick a dome",
        "Prick the rim of the dome at a low angle, not its top, and press from the far side "
        "toward the hole. Look again after ten minutes and after a day. Not near seals, wiring "
        "or airbags.",
        Plan(
            "field",
            (
                Domes(((150, 104, 52),)),
                Tool("needle", 100, 104, -60, 1.1),
                Arrow(((256, 104), (176, 104)), 4),
                Label(10, 170, "rim, low angle", (98, 108)),
                Label(200, 76, "press so"),
            ),
        ),
        Section(
            lift=(Rise(156, 120, 34),),
            parts=(
                Tool("needle", 100, 134, -55, 1.1),
                Tool("finger", 196, 98, 25, 0.8),
                Arrow(((182, 128), (118, 132)), 2),
                Line(((150, 66), (162, 82)), 3),
                Line(((162, 66), (150, 82)), 3),
                Label(90, 56, "not the top"),
                Label(60, 196, "air goes to the hole", (110, 134)),
            ),
        ),
        _DO_CUT,
    ),
    Scene(
        "bump_feel",
        "Feel of a bump",
        "Press the bump with a gloved fingertip, then slide the nail over it: hard point, soft "
        "and springy, gummy, crunchy, or liquid that moves.",
        Section(
            lift=(Rise(150, 60, 20, "ridge"),),
            parts=(
                Tool("finger", 150, 92, 0, 1),
                Arrow(((190, 40), (190, 86)), 3),
                Label(14, 60, "press"),
            ),
        ),
        Section(
            lift=(Rise(170, 60, 20, "ridge"),),
            parts=(
                Tool("finger", 120, 114, 35, 0.9),
                Arrow(((40, 100), (96, 100)), 3),
                Label(14, 60, "slide the nail"),
            ),
        ),
        ("Press", "Slide"),
    ),
    Scene(
        "sound_tap",
        "Tap for a hollow sound",
        "Tap with a fingernail along the ridge or recess: a hollow sound marks film that is off "
        "the surface.",
        Plan(
            "recess",
            (
                Points(trace("60,100 116,100 150,100 184,100 240,100"), "nib", 4),
                Tool("finger", 150, 92, 0, 0.9),
                Arrow(((20, 150), (280, 150)), 2.5),
                Label(30, 180, "tap in a row across"),
            ),
        ),
        Section(
            ground=(Rise(150, 100, -34, "channel"),),
            lift=(Rise(150, 100, 34, "channel"),),
            parts=(
                Tool("finger", 150, 112, 0, 0.9),
                Label(10, 90, "solid", (50, 119)),
                Label(226, 90, "solid", (250, 119)),
                Label(150, 164, "hollow", anchor="middle"),
            ),
        ),
        _DO_CUT,
    ),
    Scene(
        "bump_count_dm2",
        "Count in a window",
        "Lay a card with a window of 100 by 100 mm (4 by 4 in) on three places, "
        "count the faults inside each "
        "and take the mean.",
        Plan(
            "field",
            (
                Line(
                    trace("40,10 260,10 260,190 40,190 40,10"),
                    2,
                    fill="lines",
                ),
                Box(90, 40, 120, 120, "white", 2.5),
                Points(trace("110,70 150,64 186,90 130,120 174,140 196,60"), "nib", 4),
                Arrow(((92, 174), (208, 174)), both=True, size=8),
                Label(220, 112, "6"),
                Label(92, 194, "100 mm (4 in)"),
            ),
            cut=None,
        ),
        Plan(
            "field",
            (
                *(Box(x, y, 60, 60, "white", 2) for x, y in ((20, 24), (120, 100), (220, 40))),
                Points(
                    trace("36,40 60,66 50,50 136,116 160,140 236,56 260,84 250,70 232,90"), "nib", 3
                ),
                Label(50, 108, "3", None, "middle"),
                Label(150, 184, "2", None, "middle"),
                Label(250, 124, "4", None, "middle"),
                Label(10, 194, "mean 3"),
            ),
            cut=None,
        ),
        _DO_READ,
        (),
    ),
    Scene(
        "stretch_percent",
        "Stretch from a known mark",
        "Measure a mark whose unstretched length is known, such as a printed circle or two dots: "
        "new length over old length, minus one.",
        Plan(
            "field",
            (
                Blob(150, 90, 70, 70, "none", 0, 2.5),
                Arrow(((115, 150), (185, 150)), both=True, size=8),
                Label(150, 178, "old length", anchor="middle"),
            ),
            cut=None,
        ),
        Plan(
            "field",
            (
                Blob(150, 90, 130, 62, "none", 0, 2.5),
                Arrow(((85, 150), (215, 150)), both=True, size=8),
                Arrow(((72, 90), (20, 90)), 3),
                Arrow(((228, 90), (280, 90)), 3),
                Label(150, 178, "new length", anchor="middle"),
            ),
            cut=None,
        ),
        ("Unstretched", "On the car"),
        (),
    ),
)
