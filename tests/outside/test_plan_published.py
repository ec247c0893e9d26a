"""The order of remedies against published values and against trying every order."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measures.subjects.shop import repair_first
from diagnose.reasoning.correction.order import Action, Trouble, best, by_ratio, expected_cost
from diagnose.reasoning.correction.plan import pays_from

NEVER_GIVE_UP = 1e9

COMPUTER = Trouble(
    # program, virus, hardware
    (0.80, 0.15, 0.05),
    (
        Action("reboot", 1, (1, 0, 0)),
        Action("virus", 2, (0, 0.95, 0)),
        Action("reinstall", 25, (0.99, 0.99, 0)),
        Action("new", 500, (1, 1, 1)),
    ),
    NEVER_GIVE_UP,
)
"""jensen_nielsen_2007, example 9.2."""

PUBLISHED = (
    (("reboot", "virus", "reinstall", "new"), 27.8750),
    (("virus", "reboot", "reinstall", "new"), 29.3325),
    (("reboot", "virus", "new"), 30.1500),
    (("reboot", "reinstall", "virus", "new"), 31.1405),
    (("virus", "reboot", "new"), 31.6075),
    (("reboot", "reinstall", "new"), 31.7500),
)


@pytest.mark.parametrize(("sequence", "expected"), PUBLISHED)
def test_expected_costs_of_the_published_exercise(
    sequence: tuple[str, ...], expected: float
) -> None:
    """Each sequence of the exercise costs on average what was worked out for it."""
    assert expected_cost(COMPUTER, COMPUTER.named(*sequence)) == pytest.approx(expected, abs=1e-4)


def test_best_order_of_the_published_exercise() -> None:
    """Reboot, remove the virus, reinstall, new computer: 27.875, and the ratio order agrees."""
    assert best(COMPUTER).places == COMPUTER.named("reboot", "virus", "reinstall", "new")
    assert best(COMPUTER).expected == pytest.approx(27.875)
    assert by_ratio(COMPUTER).places == best(COMPUTER).places


def test_first_look_ratios_of_the_published_exercise() -> None:
    """Chance over cost at first look: .8, .07125, .03762, .002."""
    ratios = [
        sum(p * c for p, c in zip(COMPUTER.shares, a.cures, strict=True)) / a.cost
        for a in COMPUTER.actions
    ]
    assert ratios == pytest.approx([0.8, 0.07125, 0.03762, 0.002], abs=1e-5)


def test_small_case_by_hand() -> None:
    """Chances .5, .3, .2 at 10, 2, 4: chance over cost orders 2, 1, 3 and costs 9.8, not 11.8."""
    small = Trouble(
        (0.5, 0.3, 0.2),
        (
            Action("one", 10, (1, 0, 0)),
            Action("two", 2, (0, 1, 0)),
            Action("three", 4, (0, 0, 1)),
        ),
        NEVER_GIVE_UP,
    )
    assert best(small).expected == pytest.approx(9.8)
    assert expected_cost(small, (1, 0, 2)) == pytest.approx(9.8)
    assert expected_cost(small, (1, 2, 0)) == pytest.approx(9.8)
    assert expected_cost(small, (0, 1, 2)) == pytest.approx(11.8)


@given(st.lists(st.tuples(st.floats(0.01, 1), st.floats(0.1, 100)), min_size=2, max_size=6))
def test_independent_repairs_go_by_chance_over_cost(repairs: list[tuple[float, float]]) -> None:
    """One fault, each with its own sure repair: no order beats falling chance over cost.

    Sources: kadane_simon_1977, kalagnanam_henrion_1988.
    """
    total = sum(p for p, _ in repairs)
    actions = tuple(
        Action(str(n), cost, tuple(float(n == k) for k in range(len(repairs))))
        for n, (_, cost) in enumerate(repairs)
    )
    trouble = Trouble(tuple(p / total for p, _ in repairs), actions, NEVER_GIVE_UP)
    every = min(expected_cost(trouble, order) for order in permutations(range(len(repairs))))
    assert by_ratio(trouble).expected == pytest.approx(every, abs=1e-6, rel=1e-9)
    assert best(trouble).expected == pytest.approx(every, abs=1e-6, rel=1e-9)


@given(st.floats(1, 100), st.floats(1, 1000), st.floats(0, 1))
def test_two_repairs_follow_the_rule_of_the_trade(repair: float, anew: float, q: float) -> None:
    """Try the repair first exactly where repair < odds × replacement; the rest is saved."""
    trouble = Trouble(
        (1.0,), (Action("repair", repair, (q,)), Action("anew", anew, (1.0,))), NEVER_GIVE_UP
    )
    saved = q * anew - repair
    plan = best(trouble)
    assert plan.expected == pytest.approx(anew - max(0.0, saved), abs=1e-6)
    if abs(saved) > 1e-6:
        assert (plan.places[0] == 0) == (saved > 0)
        assert (q > pays_from(repair, 0.0, anew, anew)) == (saved > 0)


def test_worked_idea_in_hours() -> None:
    """Half an hour at 60 % before three: 1.7 h, saves 1.3; a second try at 25 % only 0.25 h."""
    for odds, expected in ((0.60, 1.7), (0.25, 2.75)):
        pair = (Action("again", 0.5, (odds,)), Action("anew", 3, (1.0,)))
        assert best(Trouble((1.0,), pair, NEVER_GIVE_UP)).expected == pytest.approx(expected)
        assert repair_first(0.5, 3, 100 * odds) == pytest.approx(3 - expected)
