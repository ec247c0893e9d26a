"""Three plans with their arithmetic: an edge, a matte patch on a printed door, a bad roll.

Harbour Lane Wraps reckons 60 an hour, 40 for a car that comes in again, 15 for looking again,
45 for a day in the shop (5 for an hour of work), 150 for looking further.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.reasoning.correction.plan import CarPlan, ComplaintPlan, plan_car
from diagnose.reasoning.correction.pricing import WorkPlace
from tests.reasoning.plan_cases import diagnosed, places, pricer, standing

RELAY = 0.5 * 60 + 2.5 + 15
"""Half an hour for a metre, standing, looking again: 47.5."""

RENEW = 3 * 60 + 0.8 * 20 + 15 + 15
"""Three hours, 0.8 m² of film at 20, standing, looking again: 226."""

MACHINES = 0.5 + 0.8 / 10 + 0.25 + 0.8 / 60 + 0.25
"""Hours at printer, laminator and cutter that a reprint's five hours hold already."""

REPRINT = 5 * 60 + 0.8 * 10 + (0.8 * 5 + 0.8 * 5 + 25) + (5 - MACHINES) * 5 + 15
"""Five hours, film, ink with laminate and shipping, standing while it is laid, looking: 375.53."""

VISIT, FURTHER = 40, 150

RENEW_TILL_IT_HOLDS = RENEW / 0.9
"""Looking further tells the cause, but a new piece holds no better for it than 90 in 100."""

REPRINT_OVER_WAX, REPRINT_OVER_STRETCH = REPRINT / 0.95, REPRINT / 0.9
"""The same for a print: 95 in 100 over wax, and over stretch no more than 90, however well told."""


def edge(**shares: float) -> ComplaintPlan:
    """The plan of a lifted edge on a front door with these causes."""
    car = diagnosed(("lifting", {"pull": "gapes", "finish": "plain"}))
    return plan_car(pricer(), standing(car, ("front_door_left",), **shares)).complaints[0]


def patch(**shares: float) -> ComplaintPlan:
    """The plan of a shiny patch on a printed and laminated front door with these causes."""
    car = diagnosed(("sheen", {"finish": "print"}))
    return plan_car(pricer(), standing(car, ("front_door_left",), **shares)).complaints[0]


def names(plan: ComplaintPlan) -> list[str]:
    """The remedies of a plan in order."""
    return [step.remedy for step in plan.steps]


def test_an_edge_under_pull_is_laid_again_first() -> None:
    """Pull 70 %, dirt 20 %: re-lay for 47.5, and if it fails (58 %) a new piece, a tenth dearer."""
    plan = edge(pulled=0.7, dirty=0.2, unlisted=0.1)
    assert names(plan) == ["relay", "renew"]
    relay, renew = plan.steps
    assert relay.cost == pytest.approx(RELAY) == pytest.approx(47.5)
    assert relay.holds == pytest.approx(0.42)
    assert renew.cost == pytest.approx(RENEW * 1.1) == pytest.approx(248.6)
    assert renew.reached == pytest.approx(0.58)
    assert plan.ended == pytest.approx(1 - 0.148)
    expected = (
        RELAY + 0.58 * VISIT + 0.58 * RENEW * 1.1 + 0.148 * (VISIT + FURTHER + RENEW_TILL_IT_HOLDS)
    )
    assert plan.expected == pytest.approx(expected) == pytest.approx(280.1724, abs=1e-4)
    assert {s.remedy: s.expected for s in plan.starts}["renew"] == pytest.approx(309.811)
    assert plan.cheapest_is_best


def test_what_is_known_after_the_edge_failed() -> None:
    """Re-laid in vain: pull is no longer 70 % but 28 of 58, dirt 20 of 58."""
    relay = edge(pulled=0.7, dirty=0.2, unlisted=0.1).steps[0]
    assert relay.after == (
        ("pulled", pytest.approx(0.28 / 0.58)),
        ("dirty", pytest.approx(0.20 / 0.58)),
    )


def test_over_dirt_the_cheapest_step_is_not_the_best() -> None:
    """Dirt 35 %, bad lot 35 %, pull 20 %: re-laying for 47.5 holds in 12 % and comes to 380.

    A new piece at once comes to 309.8. Where dirt leads, re-laying is barred besides.
    """
    plan = edge(pulled=0.2, dirty=0.35, bad_lot=0.35, unlisted=0.1)
    starts = {s.remedy: s for s in plan.starts}
    still = 1 - 0.2 * 0.6
    last = 0.2 * 0.4 * 0.1 + 0.035 + 0.035 + 0.1
    begun_cheap = (
        RELAY + still * (VISIT + RENEW * 1.1) + last * (VISIT + FURTHER + RENEW_TILL_IT_HOLDS)
    )
    begun_dear = RENEW + (0.02 + 0.035 + 0.035 + 0.1) * (VISIT + FURTHER + RENEW_TILL_IT_HOLDS)
    assert starts["relay"].expected == pytest.approx(begun_cheap) == pytest.approx(379.9858)
    assert starts["renew"].expected == pytest.approx(begun_dear) == pytest.approx(309.811)
    assert names(plan) == ["renew"]
    assert plan.cheapest == "relay"
    assert not plan.cheapest_is_best
    barred = edge(pulled=0.2, dirty=0.7, unlisted=0.1)
    assert ("relay", "heat presses the dirt in") in [(b.remedy, b.because) for b in barred.barred]
    assert "relay" not in {s.remedy for s in barred.starts}


def test_a_cause_that_may_be_it_warns_of_the_step_that_would_harm() -> None:
    """Dirt at 20 % does not bar re-laying, but the step says what it would do then."""
    relay = edge(pulled=0.7, dirty=0.2, unlisted=0.1).steps[0]
    assert [(r.cause, r.because) for r in relay.risks] == [("dirty", "heat presses the dirt in")]


def test_an_edge_of_unknown_cause_is_looked_at_further() -> None:
    """If nothing listed explains it in 70 %, no piece is laid before someone has looked."""
    plan = edge(pulled=0.15, dirty=0.15, unlisted=0.7)
    assert names(plan) == []
    assert plan.expected == pytest.approx(FURTHER + RENEW_TILL_IT_HOLDS)


def test_when_a_repair_pays_before_the_new_piece() -> None:
    """Re-laying pays from 36 %: 47.5 + (1 − q)·(40 + 248.6) = 226 at q = 0.3815."""
    limits = {t.remedy: t for t in edge(pulled=0.7, dirty=0.2, unlisted=0.1).thresholds}
    q = limits["relay"].from_chance
    assert RELAY + (1 - q) * (VISIT + RENEW * 1.1) == pytest.approx(RENEW)
    assert q == pytest.approx(0.3815, abs=1e-4)
    assert limits["relay"].chance == pytest.approx(0.42)


def test_a_matte_patch_is_cleaned_before_the_door_is_printed_again() -> None:
    """Wax 55 %, stretch 38 %: take wax off for 65 first; 56 % of doors are printed after all."""
    plan = patch(waxed=0.55, stretched=0.38, unlisted=0.07)
    assert names(plan) == ["degrease", "reprint"]
    still = 0.55 * 0.2 + 0.38 + 0.07
    waxed, stretched = 0.55 * 0.2 * 0.05, 0.38 * 0.1
    last = (waxed + stretched + 0.07) * (VISIT + FURTHER)
    last += (waxed + 0.07) * REPRINT_OVER_WAX + stretched * REPRINT_OVER_STRETCH
    expected = 65 + still * REPRINT + last
    assert plan.steps[1].reached == pytest.approx(still) == pytest.approx(0.56)
    assert plan.steps[1].cost == pytest.approx(REPRINT) == pytest.approx(375.5333, abs=1e-4)
    assert plan.expected == pytest.approx(expected)


def test_a_patch_that_is_rarely_wax_is_printed_at_once() -> None:
    """Stretch under the 40 % that bars cleaning, wax 10 %: 65 spent for one door in twelve.

    The cheapest first step would make the plan dearer, and it is not in it.
    """
    plan = patch(waxed=0.1, stretched=0.39, rubbed=0.46, unlisted=0.05)
    starts = {s.remedy: s for s in plan.starts}
    assert names(plan) == ["reprint"]
    assert plan.cheapest == "degrease"
    assert starts["degrease"].expected > starts["reprint"].expected


def test_cleaning_a_stretched_patch_is_barred_with_its_reason() -> None:
    """Where stretch leads, wiping is not tried, and the plan says why."""
    plan = patch(waxed=0.1, stretched=0.8, unlisted=0.1)
    assert names(plan) == ["reprint"]
    assert plan.barred[0].because == "no cleaner brings texture back"


PANELS = ("front_door_left", "rear_door_left", "bonnet", "front_wing_left", "rear_quarter_left")


def roll() -> CarPlan:
    """The plan of a car on which five pieces of one roll lift."""
    car = diagnosed(*(("lifting", {"finish": "plain"}) for _ in PANELS))
    return plan_car(pricer(), standing(car, PANELS, bad_lot=0.8, pulled=0.15, unlisted=0.05))


FILM = (0.8 + 0.8 + 1.2 + 0.6 + 0.6) * 20
"""Film of the five pieces at 20 a square metre, no waste: 80."""

SET = (3 + 0.75 * 7) * 60 + FILM + 8.25 * 5 + 15
"""4 m² are five middling pieces of 0.8: three quarters between two (3 h) and six (10 h): 8.25 h."""


def test_a_bad_roll_on_five_panels_is_one_set() -> None:
    """One set for 631 ends it in 76 % at each panel, and costs less than five new pieces."""
    plan = roll()
    shared = plan.shared[0]
    assert (shared.remedy, shared.complaints) == ("set", (1, 2, 3, 4, 5))
    assert shared.cost == pytest.approx(SET) == pytest.approx(631.25)
    assert shared.reached == 1
    assert plan.expected < plan.apart
    assert all(c.steps[0].remedy == "set" for c in plan.complaints)


def test_arithmetic_of_the_bad_roll() -> None:
    """The set, then what still lifts at each panel: a piece, part of a visit, looking further."""
    sizes = {"front_door_left": 0.8, "rear_door_left": 0.8, "bonnet": 1.2}
    total = SET
    for panel in PANELS:
        area = sizes.get(panel, 0.6)
        hours = 2 + 2 * area / 1.6
        piece = hours * 65 + 20 * area + 15
        # after the set: lot 4 %, pull 15 %, not listed 5 %; after a piece: 0.4, 1.5 and 5 %
        after_set, after_piece = 0.04 + 0.15 + 0.05, 0.004 + 0.015 + 0.05
        total += after_set * VISIT / 5 + after_set * piece
        total += after_piece * (VISIT / 5 + FURTHER + piece / 0.9)
    assert roll().expected == pytest.approx(total)


def test_the_cheapest_first_step_of_the_bad_roll_is_not_the_plan() -> None:
    """Re-laying an edge for 47.5 is the cheapest thing to do, and at five panels it is wasted."""
    plan = roll().complaints[0]
    assert plan.cheapest in ("relay", "seal")
    assert plan.steps[0].remedy != plan.cheapest


def test_one_panel_with_two_complaints_takes_one_new_piece() -> None:
    """Two edges of one door: a new piece under both is paid once."""
    car = diagnosed(("lifting", {"finish": "plain"}), ("lifting", {"finish": "plain"}))
    stand = standing(car, ("front_door_left", "front_door_left"), dirty=0.95, unlisted=0.05)
    plan = plan_car(pricer(), stand)
    assert plan.shared[0].remedy == "renew"
    assert plan.shared[0].cost == pytest.approx(RENEW)
    assert plan.expected == pytest.approx(
        RENEW + 2 * (0.095 + 0.05) * (VISIT / 2 + FURTHER + RENEW_TILL_IT_HOLDS)
    )


def test_terms_of_a_plan_add_up_to_what_it_costs() -> None:
    """Each chance times its money, summed, is the cost on average."""
    for plan in (edge(pulled=0.7, dirty=0.2, unlisted=0.1), patch(waxed=0.6, stretched=0.4)):
        assert sum(p * money for _, p, money in plan.terms) == pytest.approx(plan.expected)


def test_parts_of_the_complaints_add_up_to_what_the_car_costs() -> None:
    """The set stands in the sum of the first complaint alone, what follows in each complaint's."""
    plan = roll()
    assert sum(complaint.part for complaint in plan.complaints) == pytest.approx(plan.expected)
    first, *others = plan.complaints
    assert first.terms[0] == ("set", pytest.approx(1), pytest.approx(SET))
    for complaint in others:
        assert "set" not in [name for name, _, _ in complaint.terms]


def test_a_sure_cause_is_put_right_without_looking_further() -> None:
    """However dear the piece: looking further makes it hold no better, so it does not pay."""
    car = diagnosed(("lifting", {"finish": "plain"}))
    places = [WorkPlace(1, "bonnet", car.diagnoses[0].trace.values, (1.5, 10.0))]
    its = replace(standing(car, ("bonnet",), dirty=1.0)[0], place=places[0])
    plan = plan_car(pricer(), [its]).complaints[0]
    assert names(plan) == ["seal", "renew"]
    assert plan.steps[1].cost > 1000


def test_a_dear_remedy_of_a_cause_all_but_known_is_not_put_off() -> None:
    """A print of 15 m² holds in 90 over stretch, in 95 over wax: wax at 2 % is no reason to wait.

    Looking further would tell what is known already, and the print would hold no better for it.
    """
    car = diagnosed(("sheen", {"finish": "print"}))
    stand = standing(car, ("bonnet",), stretched=0.96, waxed=0.02, unlisted=0.02)
    large = replace(stand[0].place, size=(1.5, 10.0))
    plan = plan_car(pricer(), [replace(stand[0], place=large)]).complaints[0]
    assert names(plan) == ["reprint"]
    print_it = plan.steps[0].cost
    assert print_it > 10 * FURTHER
    waxed, stretched = 0.02 * 0.05, 0.96 * 0.1
    last = (waxed + stretched + 0.02) * (VISIT + FURTHER)
    last += (waxed + 0.02) * print_it / 0.95 + stretched * print_it / 0.9
    assert plan.expected == pytest.approx(print_it + last)
    assert plan.expected < FURTHER + 0.96 * print_it / 0.9 + 0.04 * print_it / 0.95


def test_a_longer_edge_costs_more_to_lay_again() -> None:
    """Three metres of edge are an hour and a half; a new piece costs what it did."""
    car = diagnosed(("lifting", {"pull": "gapes", "finish": "plain", "lift_length_mm": 3000.0}))
    stand = standing(car, ("front_door_left",), pulled=0.7, dirty=0.2, unlisted=0.1)
    costs = {s.remedy: s.cost for s in plan_car(pricer(), stand).complaints[0].starts}
    assert costs["relay"] == pytest.approx(3 * 0.5 * 65 + 15)
    assert costs["renew"] == pytest.approx(RENEW)


def test_an_edge_that_nobody_measured_is_no_longer_than_its_piece() -> None:
    """A metre is taken, but a mirror of 30 by 35 cm has no such edge: 35 cm, and it is said."""
    car = diagnosed(("lifting", {"pull": "gapes", "finish": "plain"}))
    its, values = pricer(), car.diagnoses[0].trace.values
    for size, metres in (((0.3, 0.35), 0.35), ((0.8, 1.2), 1.0), (None, 1.0)):
        price = its.price(its.base.remedies["relay"], [WorkPlace(1, "bonnet", values, size)])
        assert price.hours[1] == pytest.approx(0.5 * metres)
        assert price.assumed == (f"length not measured: {metres:.2g} m taken",)


def test_a_large_piece_takes_longer() -> None:
    """From two hours for next to nothing to four at 1.6 m², and on in line: seven at 4 m²."""
    car = diagnosed(("lifting", {"finish": "plain"}))
    its, values = pricer(), car.diagnoses[0].trace.values
    for size, hours in (((0.02, 1), 2.025), ((0.8, 1), 3), ((1.6, 1), 4), ((1, 4), 7)):
        price = its.price(its.base.remedies["renew"], [WorkPlace(1, "bonnet", values, size)])
        assert price.hours[1] == pytest.approx(hours)
        assert price.hours[0] <= price.hours[1] <= price.hours[2]


def test_a_piece_of_known_size_keeps_half_of_the_spread() -> None:
    """Two to four hours a piece: whatever its size, a factor of the fourth root of two each way."""
    car = diagnosed(("lifting", {"finish": "plain"}))
    its, values = pricer(), car.diagnoses[0].trace.values
    for size in ((0.02, 1), (0.8, 1), (1, 4)):
        low, likely, high = its.price(
            its.base.remedies["renew"], [WorkPlace(1, "bonnet", values, size)]
        ).hours
        assert (likely / low, high / likely) == pytest.approx((2**0.25, 2**0.25))


def test_a_piece_of_unknown_size_says_what_was_taken() -> None:
    """A place without a size is reckoned as a square metre, and the price says so."""
    car = diagnosed(("lifting", {"finish": "plain"}))
    its = pricer()
    unknown = WorkPlace(1, "other", car.diagnoses[0].trace.values, None)
    price = its.price(its.base.remedies["renew"], [unknown])
    assert price.film == pytest.approx(20)
    assert "1 × 1 m" in price.assumed[0]
    known = its.price(its.base.remedies["renew"], [replace(unknown, size=(0.8, 1.0))])
    assert known.assumed == ()


def test_a_fault_of_the_whole_car_is_reckoned_on_all_of_its_pieces() -> None:
    """18 m² in middling pieces of 0.8 are 22: hours for 22, film for 18 m², and the price says so."""
    car = diagnosed(("lifting", {"finish": "plain"}))
    its = pricer()
    whole = WorkPlace(1, "whole_vehicle", car.diagnoses[0].trace.values, None)
    renew = its.price(its.base.remedies["renew"], [whole])
    assert [need.net_m2 for need in renew.needs] == pytest.approx([18])
    assert renew.hours[1] == pytest.approx(22 * (2 + 2 * (18 / 22) / 1.6))
    assert renew.film == pytest.approx(18 * 20)
    assert "18 m²" in renew.assumed[0]
    relay = its.price(its.base.remedies["relay"], [whole])
    assert relay.hours[1] == pytest.approx(22 * 0.5)
    assert relay.assumed == ("length not measured: 1 m a piece taken",)
    typed = its.price(its.base.remedies["renew"], [replace(whole, size=(0.8, 1.0))])
    assert typed.likely == pytest.approx(RENEW)


def test_a_whole_vehicle_grows_with_its_area_and_is_printed_where_the_wrap_is() -> None:
    """Half as much again of film is half as many hours again; a print pays ink, laminate, machines.

    A van of 36 m² has twice the 18 of a car: 32 h for one that takes 12 to 20 on the car.
    """
    base, its = pricer().base, pricer()
    rewrap = base.remedies["set"].model_copy(
        update={
            "film": "vehicle",
            "hours": base.remedies["set"].hours.model_copy(
                update={"low": 12.0, "high": 20.0, "per": "vehicle"}
            ),
        }
    )
    van = replace(its, vehicle=its.shop.vehicle_classes[1])
    plain = places(diagnosed(("lifting", {"finish": "plain"})), "bonnet")
    printed = places(diagnosed(("lifting", {"finish": "print"})), "bonnet")
    assert its.price(rewrap, plain).hours[1] == pytest.approx(16)
    assert van.price(rewrap, plain).hours[1] == pytest.approx(32)
    assert van.price(rewrap, plain).film == pytest.approx(36 * 20)
    machines = 0.5 + 36 / 10 + 0.25 + 36 / 60 + 0.25
    dear = van.price(rewrap, printed)
    assert dear.film == pytest.approx(36 * 10)
    assert dear.printing == pytest.approx(machines * 60 + 36 * 5 + 36 * 5 + 25)
