"""A shop's figures: read strictly, every problem at its place; film cut from the roll."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.shop import read_shop
from diagnose.reasoning.correction.pricing import Pricer
from diagnose.reasoning.correction.roll import film_need
from tests.reasoning.plan_cases import SHOP, diagnosed, places, pricer, shop
from tests.reasoning.plan_cases import base as small_base

EXAMPLE = Path(__file__).resolve().parents[2] / "rules" / "shop" / "example_shop.yml"


def problems(*changes: tuple[str, str]) -> list[str]:
    """The problems of the shop's file with some words changed."""
    text = SHOP
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return [str(p) for p in read_shop("my_shop.yml", text, small_base()).problems]


def test_the_shipped_example_is_sound_and_says_that_it_is_one(base: Base) -> None:
    """Nobody takes the example's money for their own: the file and the shop say what they are."""
    text = EXAMPLE.read_text(encoding="utf-8")
    reading = read_shop(EXAMPLE.name, text, base)
    assert reading.problems == ()
    assert reading.content is not None
    assert reading.content.example
    assert "nobody's own" in text


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("rate: 60", "rate: sixty", "'sixty' must be a number"),
        ("rate: 60", "rat: 60", "did you mean rate"),
        ("finish: print", "finish: prints", "finish has no answer 'prints' (did you mean"),
        ("finish: print", "finsh: print", "called 'finsh' (did you mean finish"),
        ("08:00-17:00", "8-17", "'8-17' is no opening time"),
        ("08:00-17:00", "17:00-08:00", "is no opening time: write it as"),
        ("2026-12-25", "25.12.2026", "'25.12.2026' is no date"),
        ("country: none", "country: ZZ", "no holidays are known for 'ZZ'"),
        ("country: none", "region: BY", "a region needs its country"),
        ("country: none", "country: DE, region: XX", "known for 'DE' with 'XX'"),
        ("front_door:", "frontdoor:", "there is no panel 'frontdoor' (did you mean"),
        ("{side:", "{sode:", "there is no panel 'sode' (did you mean"),
        ("of_others: {}", "of_others: {renwe: 80}", "'renwe' (did you mean renew"),
        ("pieces_high: 6", "pieces_high: 2", "'pieces_high' must be more"),
        ("roll_m: 1}", "roll_m: 0}", "roll_m: input should be greater than or equal to 0.3"),
        ("small_piece_m2: 0", "small_piece_m2: 2", "must be more than 'small_piece_m2'"),
        ("film_m2: 36, pieces: {side: [1.5, 3]}", "film_m2: 36, pieces: {side: [1.5, 13]}", "12"),
    ],
)
def test_a_fault_is_named_at_its_place(old: str, new: str, says: str) -> None:
    """What is wrong, in which line, and what was probably meant."""
    line = SHOP[: SHOP.index(old)].count("\n") + 1
    found = problems((old, new))
    assert any(p.startswith(f"my_shop.yml:{line}:") and says in p for p in found), found


def test_all_faults_at_once() -> None:
    """Three faults of shape are three problems in one reading, in the order of the file."""
    found = problems(
        ("rate: 60", "rate: x"), ("bleed_m: 0", "bleed_m: 9"), ("people: 1", "people: 0")
    )
    assert len(found) == 3


def test_a_fault_of_shape_hides_no_fault_of_meaning() -> None:
    """A rate below nought, a place and a remedy that nobody knows, a wrong time: all in one go."""
    found = problems(
        ("rate: 60, of_others: {}", "rate: -5, of_others: {renwe: 80}"),
        ("front_door:", "frontdoor:"),
        ("08:00-17:00", "8-17"),
        ("country: none", "country: Norway"),
        ("currency: EUR", "currency: 12 EUR"),
    )
    for said in ("rate:", "did you mean renew", "front_door", "8-17", "two letters", "no currency"):
        assert sum(said in problem for problem in found) == 1, (said, found)
    assert len(found) == 6


def test_the_last_film_stands_for_all_other_jobs() -> None:
    """A film without a condition before the last, or a condition on the last, is a fault."""
    assert "only the last film" in problems(("when: {finish: print}, ", ""))[0]
    assert (
        "the last film has no"
        in problems(("name: colour film", "name: colour film, when: {finish: plain}"))[0]
    )


def test_an_empty_file_says_what_to_do() -> None:
    """Nothing in it: copy the example."""
    assert "copy the example" in str(read_shop("empty.yml", "", small_base()).problems[0])


def test_sizes_by_panel_and_kind_of_vehicle() -> None:
    """A van's door is twice a car's here, its side has a size of its own, a mirror has none."""
    its = shop()
    car, van = its.vehicle_classes
    assert its.vehicle_class("white panel van, 2019") is van
    assert its.vehicle_class("no idea") is car
    assert its.piece("front_door_left", car) == (0.8, 1)
    assert its.piece("front_door_right", van) == (1.6, 2)
    assert its.piece("side_left", van) == (1.5, 3)
    assert its.piece("mirror_left", car) is None


@pytest.mark.parametrize(
    ("size", "keeps", "metres", "turned"),
    [
        ((1.4, 5.2), True, 5.83, False),
        ((1.4, 5.2), False, 5.83, False),
        ((1.75, 2.1), True, 4.84, False),
        ((1.75, 2.1), False, 4.07, True),
    ],
)
def test_film_from_the_roll(
    size: tuple[float, float], keeps: bool, metres: float, turned: bool
) -> None:
    """A side and a roof from a 1.52 m roll: drops, bleed 50 mm, overlap 13 mm, waste 10 %.

    Turning the roof saves 0.77 m, which a metallic film does not allow. Geometry, worked out once
    in one go and once turned.
    """
    its = shop(
        SHOP.replace(
            "bleed_m: 0, overlap_m: 0, waste_percent: 0",
            "bleed_m: 0.05, overlap_m: 0.013, waste_percent: 10",
        )
    )
    film = its.films[-1].model_copy(update={"roll_m": 1.52, "keeps_direction": keeps})
    need = film_need(its, film, size)
    assert need.metres == pytest.approx(metres, abs=0.005)
    assert need.turned is turned
    assert need.bought_m2 * (1 - need.waste_percent / 100) == pytest.approx(size[0] * size[1])


def test_hours_of_another_firm_have_their_own_rate() -> None:
    """What a paint shop does is reckoned with its rate, not with the bay's."""
    others = shop(SHOP.replace("of_others: {}", "of_others: {degrease: 90}"))
    car = diagnosed(("sheen", {"finish": "print"}))
    where = places(car, "front_door_left")
    remedy = small_base().remedies["degrease"]
    own = pricer().price(remedy, where)
    theirs = Pricer(small_base(), others, others.vehicle_classes[0]).price(remedy, where)
    assert theirs.likely - own.likely == pytest.approx(30)


def test_low_and_high_ends_of_a_price() -> None:
    """Half an hour less or more of an hour's work at 60."""
    price = pricer().price(
        small_base().remedies["degrease"], places(diagnosed(("sheen", {})), "bonnet")
    )
    assert (price.low, price.likely, price.high) == pytest.approx((35, 65, 95))


def test_a_piece_that_no_roll_can_give_is_told_by_its_class() -> None:
    """A bonnet of 3 m on a vehicle five times as large is 15 m: it needs a size of its own."""
    found = problems(("bonnet: [1, 1.2]", "bonnet: [1, 3]"), ("scale: 2", "scale: 4.9"))
    assert len(found) == 1
    assert "'bonnet' scaled by 4.9" in found[0]
