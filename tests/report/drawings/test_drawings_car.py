"""The car on which a complaint's place is picked and marked."""

import itertools

import pytest
from drawing_reader import elements, inks, words

from diagnose.report.drawings import (
    PANELS,
    VEHICLES,
    VIEWS,
    Mark,
    car_drawing,
    panel_at,
    panel_name,
    panel_on_sheet,
)
from diagnose.report.drawings.panels import SIZES, panels_of, wheels_of
from diagnose.report.drawings.vehicles import vehicle_class

EVERYWHERE = """
    front_bumper bonnet front_wing_left front_wing_right front_door_left front_door_right
    rear_door_left rear_door_right rear_quarter_left rear_quarter_right sill_left sill_right
    roof boot_lid rear_bumper mirror_left mirror_right a_pillar_left a_pillar_right
    b_pillar_left b_pillar_right fuel_flap front_door_handle_left front_door_handle_right
    rear_door_handle_left rear_door_handle_right headlamp_left headlamp_right rear_lamp_left
    rear_lamp_right windscreen
""".split()  # noqa: SIM905
# These lie on another panel by their nature.
ON_TOP = ("handle", "mirror", "flap", "lamp", "window")
# So far beside a view a tap finds nothing any more.
RIM = 8
SHOWN = list(itertools.product(VEHICLES, VIEWS))


def points(view: str, step: int = 3) -> list[tuple[float, float]]:
    """Give a grid of points over a view and its rim, off the corners' whole numbers."""
    width, height = SIZES[view]
    return [
        (x + 0.375, y + 0.4375)
        for y in range(-RIM, int(height) + RIM, step)
        for x in range(-RIM, int(width) + RIM, step)
    ]


LACKS = {
    "camper": {"rear_door_left", "rear_door_handle_left"},
    "lorry": {"rear_door_left", "rear_door_right"}
    | {"rear_door_handle_left", "rear_door_handle_right"},
}
TRAILER = """
    front_wall roof side_left side_right boot_lid rear_bumper sill_left sill_right
    rear_quarter_left rear_quarter_right rear_lamp_left rear_lamp_right
""".split()  # noqa: SIM905


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_every_vehicle_has_the_usual_panels(vehicle: str):
    """What drives has each panel on which complaints are recorded, a trailer those of its box."""
    usual = set(TRAILER) if vehicle == "trailer" else set(EVERYWHERE) - LACKS.get(vehicle, set())
    assert usual <= {panel.id for panel in PANELS if panel.vehicle == vehicle}


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("refrigerated trailer", "trailer"),
        ("caravan", "trailer"),
        ("camper trailer", "trailer"),
        ("camper van", "camper"),
        ("motor-home", "camper"),
        ("box van", "lorry"),
        ("lorry tractor", "lorry"),
        ("city bus", "bus"),
        ("minibus", "van"),
        ("pick-up truck", "pick-up"),
        ("white ute, 2019", "pick-up"),
        ("compact crossover", "estate"),
        ("sports car", "saloon"),
        ("", "saloon"),
    ],
)
def test_a_description_finds_the_body_that_it_means(words: str, kind: str):
    """Lorry, trailer, camper and pick-up have outlines of their own, and no trailer is drawn as a van."""
    assert vehicle_class(words) == kind


@pytest.mark.parametrize(("vehicle", "view"), SHOWN)
def test_a_point_on_the_car_always_hits_a_panel(vehicle: str, view: str):
    """There is no hole: what hits nothing is a wheel or is reached from outside the car."""
    wheels = wheels_of(vehicle, view)
    empty = {
        point
        for point in points(view)
        if panel_at(view, *point, vehicle) is None
        and not any(wheel.contains(*point) for wheel in wheels)
    }
    outside = {min(empty)}
    edge = list(outside)
    while edge:
        x, y = edge.pop()
        beside = {(x + dx, y + dy) for dx, dy in ((3, 0), (-3, 0), (0, 3), (0, -3))}
        fresh = {point for point in beside if point in empty} - outside
        outside |= fresh
        edge.extend(fresh)

    assert empty - outside == set()


@pytest.mark.parametrize(("vehicle", "view"), SHOWN)
def test_panels_do_not_dispute_a_point(vehicle: str, view: str):
    """Two panels share no more than the breadth of a line, parts that lie on others apart."""
    there = [
        [p.id for p in panels_of(vehicle, view) if p.contains(*point)] for point in points(view)
    ]
    car = [ids for ids in there if ids]
    disputed = [ids for ids in car if len(ids) > 1 and not any(w in ids[-1] for w in ON_TOP)]

    assert len(disputed) <= 0.012 * len(car), disputed


@pytest.mark.parametrize("panel", PANELS, ids=lambda p: f"{p.vehicle}-{p.view}-{p.id}")
def test_every_panel_can_be_hit(panel):
    """No panel is wholly hidden below another."""
    xs, ys = zip(*panel.outline, strict=True)
    grid = [
        (min(xs) + (max(xs) - min(xs)) * i / 20, min(ys) + (max(ys) - min(ys)) * j / 20)
        for i in range(1, 20)
        for j in range(1, 20)
    ]

    assert any(panel_at(panel.view, *point, panel.vehicle) == panel for point in grid)


def test_left_and_right_are_mirror_images():
    """The same spot on the other side is the other side's panel, the flap apart."""
    for x, y in points("left", 5):
        left = panel_at("left", x, y, "saloon")
        right = panel_at("right", 400 - x, y, "saloon")
        if right is not None and right.id == "fuel_flap":
            assert left.id == "rear_quarter_left"
        else:
            assert (left and left.id.replace("_left", "_right")) == (right and right.id)


@pytest.mark.parametrize(
    ("view", "x", "y", "panel"),
    [
        ("left", 100, 76, "front_wing_left"),
        ("right", 300, 76, "front_wing_right"),
        ("left", 180, 95, "front_door_left"),
        ("top", 80, 97, "bonnet"),
        ("top", 80, 97 + 70, "front_wing_left"),
        ("top", 80, 97 - 70, "front_wing_right"),
        ("front", 90 + 50, 84, "headlamp_left"),
        ("rear", 90 - 60, 70, "rear_lamp_left"),
        ("left", 88, 114, None),
        ("left", 5, 5, None),
    ],
)
def test_a_tap_on_the_saloon_finds_the_panel_there(view: str, x: float, y: float, panel):
    """A tap finds the panel by the driver's left and right; wheels and thin air find none."""
    hit = panel_at(view, x, y)

    assert (hit and hit.id) == panel


def test_a_broad_finger_beside_the_car_finds_the_nearest_panel():
    """A tap that misses the bonnet's nose by a little counts; one well away does not."""
    front = min(x for p in panels_of("saloon", "top") for x, _ in p.outline)

    assert panel_at("top", front - 3, 97).id == "front_bumper"
    assert panel_at("top", front - 5, 97) is None


def test_a_tap_on_the_whole_sheet_finds_the_same_panel():
    """The drawing's own coordinates lead to the view that lies there."""
    assert panel_on_sheet(20 + 180, 466 + 95).id == "front_door_left"
    assert panel_on_sheet(450 + 90, 64 + 70).id == "bonnet"
    assert panel_on_sheet(5, 5) is None


@pytest.mark.parametrize("wide", [False, True])
@pytest.mark.parametrize("vehicle", VEHICLES)
def test_marks_show_their_number_and_the_list_their_panel(vehicle: str, wide: bool):
    """Each number stands in a circle on the car and beside the panel's name in the list."""
    marks = [Mark(1, "roof"), Mark(2, "rear_lamp_left"), Mark(7, "rear_lamp_left")]

    drawing = car_drawing(marks, vehicle, wide)

    texts = [text for text, *_ in words(drawing)]
    assert {"1", "2", "7", "1 roof", "7 rear lamp, left"} <= set(texts)
    assert "2 rear lamp, left" in drawing.description
    assert inks(drawing) <= {"black", "white", "none"}


def test_marks_on_one_panel_keep_clear_of_each_other():
    """Three complaints on one door give three circles that can all be read."""
    drawing = car_drawing([Mark(n, "rear_door_right") for n in (1, 2, 3)], "saloon")
    spots = [(left, base) for text, left, _, base, _ in words(drawing) if text in "123"]

    for (x1, y1), (x2, y2) in itertools.combinations(spots, 2):
        assert ((x1 - x2) ** 2 + (y1 - y2) ** 2) ** 0.5 > 20


def test_a_mark_goes_where_it_was_put():
    """A point picked by hand is kept to the unit."""
    drawing = car_drawing([Mark(4, "roof", "top", (200.0, 60.0))], "estate")
    circles = [(e.get("cx"), e.get("cy")) for e in elements(drawing) if e.tag.endswith("ellipse")]

    assert ("200", "60") in circles


@pytest.mark.parametrize("wide", [False, True])
def test_a_long_list_of_marks_makes_the_sheet_longer(wide: bool):
    """Twenty complaints are all listed, within the sheet."""
    panels = sorted({p.id for p in PANELS if p.vehicle == "saloon"})[:20]

    drawing = car_drawing([Mark(n, panel) for n, panel in enumerate(panels, 1)], "saloon", wide)

    assert max(base for _, _, _, base, _ in words(drawing)) < drawing.height
    assert max(right for _, _, right, _, _ in words(drawing)) < drawing.width


def test_an_unmarked_car_says_so():
    """The sentence in place of the drawing does not leave the reader guessing."""
    assert car_drawing([], "van").description.endswith("Marked: no place is marked.")


def test_unknown_marks_are_refused_all_at_once():
    """Each wrong panel and view is named, with what there is to choose from."""
    wrong = [Mark(1, "bonet"), Mark(2, "roof"), Mark(3, "roof", "below")]

    with pytest.raises(ValueError) as refused:
        car_drawing(wrong, "saloon")

    message = str(refused.value)
    assert "Mark 1: no panel 'bonet'" in message
    assert "Mark 3: no panel 'roof' in view 'below'" in message
    assert "Mark 2" not in message
    assert "bonnet" in message


def test_an_unknown_vehicle_is_refused_with_the_choices():
    """A vehicle class that is not drawn gives one sentence with those that are."""
    with pytest.raises(ValueError, match="choose one of saloon, estate, pick-up, van"):
        car_drawing([], "tram")


@pytest.mark.parametrize(
    ("panel", "vehicle", "name"),
    [
        ("front_door_left", "saloon", "front door, left"),
        ("a_pillar_right", "estate", "A-pillar, right"),
        ("boot_lid", "saloon", "boot lid or tailgate"),
        ("boot_lid", "van", "rear doors"),
        ("boot_lid", "pick-up", "tailgate"),
        ("boot_lid", "trailer", "rear doors"),
        ("rear_door_right", "camper", "door of the living part, right"),
        ("windscreen", "van", "windscreen"),
    ],
)
def test_panels_are_named_in_plain_words(panel: str, vehicle: str, name: str):
    """The name is what a person would say at the car."""
    assert panel_name(panel, vehicle) == name
