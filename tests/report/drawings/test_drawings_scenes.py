"""The drawings of symptoms and checks."""

import hashlib
import io
import itertools
import re
import subprocess
import sys

import pytest
from drawing_reader import NAMESPACE, elements, inks, words
from PIL import Image, ImageChops, ImageFilter

from diagnose.report.drawings import (
    CHECK_SCENES,
    SYMPTOM_SCENES,
    Drawing,
    as_text,
    check_drawing,
    symptom_drawing,
    to_png,
)
from diagnose.report.drawings.scene import _KEY, SHEET_HEIGHT, SHEET_WIDTH, compose
from diagnose.report.drawings.section import Section

SYMPTOMS = """
    edge_lifting corner_lifting edge_retreat seam_opening recess_pop_out tunnelling
    panel_loss grit_bumps fibre_inclusion air_bubbles gas_blisters water_pockets
    adhesive_lumps rust_blisters substrate_read_through wrinkles_fingers creases
    channel_lines silvering laminate_silvering laminate_tunnelling laminate_delamination
    stretch_marks orange_peel sheen_patches heat_marks colour_mismatch print_misalignment
    print_flaws fading chalking yellowing staining chemical_attack cracking
    squeegee_scratches wash_marring knife_cuts torn_edges impact_damage adhesive_residue
    paint_lifting ghosting film_breakup edges_in_sight curls_before_laying vehicle_damage
    looks_normal
""".split()  # noqa: SIM905

CHECKS = """
    relief_cut relief_gap_mm lines_and_pull wrinkle_line heat_relax cross_cut_class
    pin_prick press_clears thumb_relay tape_bridge_percent dyne_pen_mnm water_break
    tape_snap film_emissivity peel_compare stretch_percent edge_retreat_mm lift_depth_mm
""".split()  # noqa: SIM905

ALL = [*SYMPTOM_SCENES, *CHECK_SCENES]


def drawing_of(key: str) -> Drawing:
    drawing = symptom_drawing(key) or check_drawing(key)
    assert drawing is not None
    return drawing


def test_every_symptom_has_its_own_drawing():
    """Each of the 48 symptoms is drawn, and no two drawings are the same text."""
    assert len(SYMPTOMS) == 48

    drawn = {key: symptom_drawing(key) for key in SYMPTOMS}

    assert [key for key, drawing in drawn.items() if drawing is None] == []
    assert len({drawing.svg for drawing in drawn.values() if drawing}) == 48


def test_every_hand_movement_has_its_own_drawing():
    """Each check in which the hand matters is drawn, and no two drawings are the same."""
    drawn = {key: check_drawing(key) for key in CHECKS}

    assert [key for key, drawing in drawn.items() if drawing is None] == []
    assert len({drawing.svg for drawing in drawn.values() if drawing}) == len(CHECKS)


def test_what_is_not_drawn_is_said_to_be_missing():
    """A symptom or check without a drawing gives None, and no sentence either."""
    assert symptom_drawing("flat_tyre") is None
    assert check_drawing("age_months") is None
    assert as_text("flat_tyre") is None


@pytest.mark.parametrize("key", ALL)
def test_alternative_text_is_there_and_tied_to_the_picture(key: str):
    """A screen reader finds title and description by the ids that the picture names."""
    drawing = drawing_of(key)
    found = {e.get("id"): e.text for e in elements(drawing) if e.get("id")}
    root = next(elements(drawing))

    assert root.get("role") == "img"
    assert [found[name] for name in root.get("aria-labelledby", "").split()] == [
        drawing.title,
        drawing.description,
    ]
    assert as_text(key) == f"{drawing.title}. {drawing.description}"
    assert len(drawing.description) > 60
    assert drawing.description.endswith(".")


@pytest.mark.parametrize("key", ALL)
def test_no_colour_is_needed(key: str):
    """Only black, white and patterns of both are used."""
    assert inks(drawing_of(key)) <= {"black", "white", "none"}


@pytest.mark.parametrize("key", ALL)
def test_every_pattern_and_frame_that_is_used_is_defined(key: str):
    """A filling or a clip never points at something that is not in the same drawing."""
    drawing = drawing_of(key)
    defined = {e.get("id") for e in elements(drawing)}

    assert set(re.findall(r"url\(#([^)]+)\)", drawing.svg)) <= defined


@pytest.mark.parametrize("key", ALL)
def test_words_stay_within_their_frame(key: str):
    """No label runs over the border of its frame or of the sheet, by a careful estimate."""
    frames = [(14.0, 314.0), (338.0, 638.0)]
    for text, left, right, baseline, size in words(drawing_of(key)):
        in_frame = 66 < baseline < 266
        homes = frames if in_frame else [(0.0, SHEET_WIDTH)]

        assert any(low <= left and right <= high for low, high in homes), (text, left, right)
        assert baseline - size > 0, text
        assert baseline + size * 0.25 < (266 if in_frame else SHEET_HEIGHT), text


@pytest.mark.parametrize("key", ALL)
def test_words_do_not_lie_on_each_other(key: str):
    """Two labels of a drawing never cover one another."""
    boxes = [
        (text, left, right, baseline - size * 0.8, baseline + size * 0.2)
        for text, left, right, baseline, size in words(drawing_of(key))
    ]
    for (one, l1, r1, t1, b1), (two, l2, r2, t2, b2) in itertools.combinations(boxes, 2):
        overlap = min(r1, r2) - max(l1, l2) > 8 and min(b1, b2) - max(t1, t2) > 1

        assert not overlap, (one, two)


def test_the_same_scene_gives_the_same_bytes_in_another_process():
    """Neither hashing nor order of loading changes a drawing."""
    code = (
        "import hashlib; from diagnose.report.drawings import *; "
        "print(hashlib.sha256(''.join(symptom_drawing(k).svg for k in sorted(SYMPTOM_SCENES))"
        ".encode()).hexdigest())"
    )
    here = "".join(compose(SYMPTOM_SCENES[key]).svg for key in sorted(SYMPTOM_SCENES))
    other = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONHASHSEED": "7", "PYTHONPATH": ":".join(sys.path)},
    )

    assert other.stdout.strip() == hashlib.sha256(here.encode()).hexdigest()


def photocopy(drawing: Drawing) -> Image.Image:
    """Copy the two frames badly: words off, small, blurred, then only black or white."""
    bare = "".join(line for line in drawing.svg.splitlines() if not line.startswith("<text"))
    wordless = Drawing(bare, drawing.title, drawing.description, drawing.width, drawing.height)
    with Image.open(io.BytesIO(to_png(wordless, 326))) as picture:
        grey = picture.convert("L").crop((0, 33, 326, 134)).filter(ImageFilter.GaussianBlur(1))
    return grey.point(lambda value: 255 if value > 170 else 0)


def share_that_differs(one: Image.Image, two: Image.Image) -> float:
    histogram = ImageChops.difference(one, two).histogram()
    return histogram[255] / sum(histogram)


def test_symptoms_are_told_apart_on_a_bad_photocopy_without_words():
    """Any two symptoms still differ in at least one dot of a hundred when badly copied."""
    copies = {key: photocopy(drawing_of(key)) for key in SYMPTOMS}
    alike = [
        (one, two)
        for one, two in itertools.combinations(SYMPTOMS, 2)
        if share_that_differs(copies[one], copies[two]) < 0.01
    ]

    assert alike == []


def cut_of(key: str) -> Section:
    section = SYMPTOM_SCENES[key].right
    assert isinstance(section, Section)
    return section


@pytest.mark.parametrize(
    ("key", "film_off_paint", "laminate_off_print", "paint_off_body"),
    [
        ("tunnelling", True, False, False),
        ("laminate_tunnelling", False, True, False),
        ("channel_lines", False, False, False),
        ("creases", False, False, False),
        ("wrinkles_fingers", True, False, False),
        ("silvering", True, False, False),
        ("laminate_silvering", False, True, False),
        ("edge_lifting", True, False, False),
        ("edge_retreat", False, False, False),
        ("laminate_delamination", False, True, False),
        ("rust_blisters", False, False, True),
        ("gas_blisters", True, False, False),
        ("orange_peel", False, False, False),
        ("substrate_read_through", False, False, False),
        ("sheen_patches", False, False, False),
        ("fading", False, False, False),
    ],
)
def test_the_cut_parts_the_layers_that_the_symptom_parts(
    key: str, film_off_paint: bool, laminate_off_print: bool, paint_off_body: bool
):
    """What lets go in the drawing is what lets go on the car."""
    cut = cut_of(key)

    assert (bool(cut.lift), bool(cut.skin), bool(cut.blister)) == (
        film_off_paint,
        laminate_off_print,
        paint_off_body,
    )


def test_retreat_and_residue_show_adhesive_beyond_the_film():
    """Old adhesive lies bare where film drew back or was pulled off, and not in a plain lift."""
    assert cut_of("edge_retreat").adhesive[0][1] > cut_of("edge_retreat").film[0][1]
    assert len(cut_of("adhesive_residue").adhesive) > len(cut_of("adhesive_residue").film)
    assert cut_of("edge_lifting").adhesive is None


@pytest.mark.parametrize(
    ("key", "caution"),
    [
        ("relief_cut", "Never cut on the paint"),
        ("heat_relax", "Keep the heat gun moving"),
        ("pin_prick", "airbags"),
        ("cross_cut_class", "written leave"),
        ("dyne_pen_mnm", "Gloves"),
        ("tape_snap", "owner's leave"),
        ("laminate_probe", "Do not press the tip into the paint"),
    ],
)
def test_a_risky_check_says_its_caution_in_words(key: str, caution: str):
    """Whoever only reads the sentence gets the caution too."""
    assert caution in (as_text(key) or "")


def test_titles_are_escaped_into_the_svg():
    """Text that looks like markup stays text."""
    scene = SYMPTOM_SCENES["tunnelling"]
    odd = type(scene)("odd", "<b>&", 'A "sentence" <i>.', scene.left, scene.right)

    drawing = compose(odd)

    assert [e.text for e in elements(drawing) if e.tag == f"{NAMESPACE}title"] == ["<b>&"]


def from_above(drawing: Drawing) -> str:
    """The left frame of a drawing without its words."""
    return drawing.svg.split("-left-frame", 1)[1].split("-right-frame", 1)[0]


def test_the_pattern_of_adhesive_stands_for_adhesive_alone():
    """Chalk, stains, heat and voids have other patterns: no powder reads as glue on the film."""
    for key in ("chalking", "staining", "heat_marks", "silvering", "fading"):
        assert "url(#dw-dots)" not in from_above(drawing_of(key)), key
    for key in ("adhesive_residue", "edge_retreat", "adhesive_lumps"):
        assert "url(#dw-dots)" in from_above(drawing_of(key)), key


def test_chalk_and_powder_stand_in_the_legend_with_their_own_patterns():
    """The key names each, in front of it the pattern that lies in the drawing."""
    drawing = drawing_of("chalking")

    named = [text for text, *_ in words(drawing)][-5:]
    assert named == ["paint", "adhesive", "film", "chalked film", "loose powder"]
    swatches = re.findall(r'<g class="swatch">.*?</g>', drawing.svg)
    fills = [re.findall(r'fill="([^"]+)"', swatch)[-1] for swatch in swatches]
    assert fills[1:] == ["url(#dw-dots)", "black", "url(#dw-chalk)", "url(#dw-powder)"]
    assert "url(#dw-chalk)" in from_above(drawing)


def test_no_two_layers_of_a_key_look_alike():
    """Each word of a key has a pattern that no other word of the same key has."""
    for scene in (*SYMPTOM_SCENES.values(), *CHECK_SCENES.values()):
        fills = [_KEY[name][0] for name in scene.key]
        assert len(fills) == len(set(fills)), scene.id
