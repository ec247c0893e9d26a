"""Several complaints on one car: what serves them together is paid once."""

from __future__ import annotations

from itertools import permutations, product
from math import prod

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.reasoning.correction.joint import Car, CarOrder, Joint, World, apart, best_of_car
from diagnose.reasoning.correction.order import Action, Subsets, Trouble, expected_cost

Orders = tuple[tuple[int, ...], ...]

TWO_CAUSES = st.tuples(st.floats(0.05, 1), st.floats(0.05, 1), st.floats(0.05, 1))


def solved(car: Car) -> list[Subsets]:
    """The complaints, searched."""
    return [Subsets.of(trouble) for trouble in car.troubles]


def plan(car: Car) -> CarOrder:
    """The plan of a car."""
    return best_of_car(car, solved(car))


@st.composite
def cars(draw: st.DrawFn) -> Car:
    """Two complaints with two remedies of their own and one that serves both."""
    odds = st.sampled_from((0.0, 0.3, 0.8, 1.0))
    troubles = []
    for _ in range(2):
        raw = draw(TWO_CAUSES)
        own = [
            Action(
                f"own{n}",
                draw(st.floats(1, 80)),
                (draw(odds), draw(odds), 0.0),
                20.0,
                {"set": draw(st.sampled_from((1.0, 1.2, 1.5)))},
            )
            for n in range(2)
        ]
        whole = Action("set", draw(st.floats(50, 200)), (draw(odds), 0.9, 0.0), 20.0, anew=True)
        shares = tuple(x / sum(raw) for x in raw)
        then = tuple(draw(st.floats(0, 400)) for _ in range(3)) if draw(st.booleans()) else ()
        troubles.append(Trouble(shares, (*own, whole), draw(st.floats(100, 600)), then))
    return Car(tuple(troubles), (Joint("set", draw(st.floats(50, 300)), {0: 2, 1: 2}),))


def spent(car: Car, joint: Joint, before: Orders, after: Orders) -> float:
    """What a plan costs on average, by going through every cause and every luck of every try.

    Written apart from the search: the causes of the complaints are drawn independently.
    """
    shares, total = [trouble.shares for trouble in car.troubles], 0.0
    for causes in product(*(range(len(s)) for s in shares)):
        chance = 1.0
        for n, cause in enumerate(causes):
            chance *= shares[n][cause]
        money, still_open = 0.0, []
        for n, cause in enumerate(causes):
            paid, left = walk(car.troubles[n], before[n], cause)
            money += paid
            still_open.append(left)
        all_ended = (1 - still_open[0]) * (1 - still_open[1])
        money += (1 - all_ended) * joint.cost * dearest(car, before)
        for n, cause in enumerate(causes):
            trouble = car.troubles[n]
            action = trouble.actions[joint.places[n]]
            left = still_open[n] * (1 - action.cures[cause])
            money += left * action.after_failure
            paid, rest = walk(trouble, after[n], cause)
            then = trouble.then[cause] if trouble.then else 0.0
            money += left * (paid + rest * (trouble.giving_up + then))
        total += chance * money
    return total


def dearest(car: Car, before: Orders) -> float:
    """How much dearer the shared remedy is where one complaint's failed tries spoilt it most."""
    return max(
        prod(trouble.actions[place].spoils["set"] for place in places)
        for trouble, places in zip(car.troubles, before, strict=True)
    )


def walk(trouble: Trouble, places: tuple[int, ...], cause: int) -> tuple[float, float]:
    """Money spent on average on tries at a known cause, and the chance that it is open then."""
    money, left = 0.0, 1.0
    for place in places:
        action = trouble.actions[place]
        money += left * action.cost
        left *= 1 - action.cures[cause]
        money += left * action.after_failure
    return money, left


@given(cars())
def test_a_shared_remedy_costs_what_going_through_every_case_says(car: Car) -> None:
    """Where the plan shares a remedy, its expected cost is that of every cause and every luck."""
    way = plan(car)
    if way.uses:
        told = spent(car, way.uses[0].joint, way.before, way.after)
        assert way.expected == pytest.approx(told, rel=1e-9)


@given(cars())
def test_no_plan_of_this_form_costs_less(car: Car) -> None:
    """Against every choice and order of tries before the shared remedy, and against no sharing."""
    joint, searched = car.joints[0], solved(car)
    tries = [order for k in range(3) for order in permutations((0, 1), k)]
    every = [apart(searched).expected]
    for before in product(tries, tries):
        masks = [sum(1 << p for p in order) | 1 << 2 for order in before]
        after = tuple(s.onward(mask).places for s, mask in zip(searched, masks, strict=True))
        every.append(spent(car, joint, before, after))
    assert plan(car).expected == pytest.approx(min(every), rel=1e-9)


def test_five_panels_of_one_bad_roll_are_laid_in_one_go() -> None:
    """Five new pieces at 180 each cost 900, one set of five 600; re-laying holds in one of ten.

    The cheapest first step, re-laying five edges for 30 each, is not the plan: it would leave
    nearly all panels to be laid anew and cost a visit besides.
    """
    # bad roll, dirt, not listed
    shares = (0.9, 0.07, 0.03)
    relay = Action("relay", 30, (0.05, 0.6, 0.0), after_failure=10, spoils={"set": 1.1})
    piece = Action("piece", 180, (0.9, 0.9, 0.0), after_failure=10, anew=True)
    whole = Action("set", 200, (0.9, 0.9, 0.0), after_failure=10, anew=True)
    panel = Trouble(shares, (relay, piece, whole), 330 + 180)
    car = Car((panel,) * 5, (Joint("set", 600, dict.fromkeys(range(5), 2)),))
    way = plan(car)
    assert [use.joint.id for use in way.uses] == ["set"]
    assert all(order == () for order in way.before)
    # of each panel 12.7 % is still open then: a visit, a single piece, and of those that fail
    # again (3.97 %) another visit and looking further
    after = 0.127 * (10 + 180) + 0.0397 * (10 + 510)
    assert way.expected == pytest.approx(600 + 5 * after)
    assert apart(solved(car)).expected > way.expected
    # beginning with the cheap step: five edges, a visit for those that fail, then a dearer set
    fails = 1 - 0.9 * 0.05 - 0.07 * 0.6
    assert 5 * (30 + fails * 10) + 600 * 1.1 * (1 - (1 - fails) ** 5) > way.expected - 5 * after


def test_complaints_of_one_cause_need_the_shared_remedy_less_often() -> None:
    """If both edges fail together, one set is needed half as often as if each failed by itself."""
    half = Trouble(
        (0.5, 0.5, 0.0), (Action("relay", 1, (1, 0, 0)), Action("set", 99, (1, 1, 0))), 999
    )
    joint = Joint("set", 100, {0: 1, 1: 1})
    independent = Car((half, half), (joint,))
    worlds = tuple(World(0.5, ((a, 1 - a, 0.0),) * 2) for a in (1.0, 0.0))
    together = Car((half, half), (joint,), worlds)
    assert plan(together).uses[0].reached == pytest.approx(0.5)
    assert plan(together).expected == pytest.approx(2 + 0.5 * 100)
    assert best_of_car(independent, solved(independent)).expected == pytest.approx(
        min(2 + 0.75 * 100, 2 * (1 + 0.5 * 99))
    )


def test_two_shared_remedies_that_serve_different_complaints_add_up() -> None:
    """Two complaints on each of two doors: two new pieces, each paid once."""
    trouble = Trouble((1.0, 0.0), (Action("piece", 100, (1.0, 0.0), anew=True),), 999)
    pieces = (Joint("piece", 100, {0: 0, 1: 0}), Joint("piece", 100, {2: 0, 3: 0}))
    way = plan(Car((trouble,) * 4, pieces))
    assert len(way.uses) == 2
    assert way.expected == pytest.approx(200)
    assert way.of(3) is way.uses[1] or way.of(3) is way.uses[0]


def test_pieces_laid_in_one_go_come_without_tries_before() -> None:
    """Where the price holds only for all pieces at once, nothing is tried first."""
    trouble = Trouble(
        (0.5, 0.5, 0.0),
        (Action("relay", 1, (1, 0, 0)), Action("piece", 100, (1, 1, 0), anew=True)),
        999,
    )
    joint = Joint("piece", 120, {0: 1, 1: 1}, at_once=True)
    way = plan(Car((trouble,) * 2, (joint,)))
    assert not way.uses
    assert way.expected == pytest.approx(2 * (1 + 0.5 * 100))
    cheap = Joint("piece", 90, {0: 1, 1: 1}, at_once=True)
    assert plan(Car((trouble,) * 2, (cheap,))).before == ((), ())


def test_many_tries_are_improved_from_several_starts() -> None:
    """With more tries than can all be combined, the plan still beats both simple ways."""
    tries = tuple(Action(f"t{n}", 5 + n, (0.06, 0.0, 0.0)) for n in range(7))
    trouble = Trouble((0.8, 0.15, 0.05), (*tries, Action("set", 150, (0.9, 0.9, 0))), 600)
    car = Car((trouble,) * 3, (Joint("set", 250, dict.fromkeys(range(3), 7)),))
    way = plan(car)
    assert way.expected < apart(solved(car)).expected
    none_first = expected_cost(trouble, (7,)) - 150
    assert way.expected < 250 + 3 * none_first
