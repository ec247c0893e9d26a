"""The order of remedies where they overlap, spoil each other and do not always hold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.reasoning.correction.order import (
    EXACT,
    Action,
    Subsets,
    Trouble,
    after_failure,
    allowed,
    best,
    by_ratio,
    cost_after,
    ending,
    expected_cost,
    holds,
    unsolved,
)


@st.composite
def troubles(draw: st.DrawFn, most: int = 5) -> Trouble:
    """Troubles with up to four causes and `most` remedies, with every kind of dependence."""
    causes, count = draw(st.integers(1, 4)), draw(st.integers(0, most))
    raw = draw(st.lists(st.floats(0.01, 1), min_size=causes + 1, max_size=causes + 1))
    odds = st.sampled_from((0.0, 0.1, 0.5, 0.9, 1.0))
    actions = tuple(
        Action(
            id=f"r{n}",
            cost=draw(st.floats(0, 500)),
            cures=(*draw(st.lists(odds, min_size=causes, max_size=causes)), 0.0),
            after_failure=draw(st.sampled_from((0.0, 25.0, 60.0))),
            spoils={
                f"r{k}": draw(st.sampled_from((1.1, 1.5, 2.0)))
                for k in range(count)
                if k != n and draw(st.booleans())
            },
            anew=draw(st.booleans()),
        )
        for n in range(count)
    )
    then = tuple(draw(st.floats(0, 800)) for _ in raw) if draw(st.booleans()) else ()
    tries, least = draw(st.sampled_from((None, 0, 1, 2))), draw(st.sampled_from((0.0, 0.1, 0.3)))
    shares = tuple(x / sum(raw) for x in raw)
    return Trouble(shares, actions, draw(st.floats(0, 2000)), then, tries, least)


def orders(trouble: Trouble) -> Iterator[tuple[int, ...]]:
    """Every order of every choice of remedies that makes sense."""
    for count in range(len(trouble.actions) + 1):
        for order in permutations(range(len(trouble.actions)), count):
            if sensible(trouble, order):
                yield order


def sensible(trouble: Trouble, order: tuple[int, ...]) -> bool:
    """Whether each step of an order makes sense after those before it."""
    return all(allowed(trouble, p, order[:n]) for n, p in enumerate(order))


@given(troubles())
def test_no_order_costs_less_than_the_plan(trouble: Trouble) -> None:
    """Against every order of every choice of up to five remedies, spoiling and failing included."""
    plan = best(trouble)
    every = min(expected_cost(trouble, order) for order in orders(trouble))
    assert plan.expected == pytest.approx(every, rel=1e-9, abs=1e-9)
    assert expected_cost(trouble, plan.places) == pytest.approx(plan.expected, rel=1e-9, abs=1e-9)


@given(troubles(most=4))
def test_cost_up_to_a_set_and_on_from_it_add_up(trouble: Trouble) -> None:
    """What is spent to try a set and what follows it are the cheapest ways there and on."""
    solved = Subsets.of(trouble)
    for mask in range(len(solved.open)):
        if solved.before[mask] == float("inf"):
            every = permutations([p for p in range(len(trouble.actions)) if mask >> p & 1])
            assert not any(sensible(trouble, order) for order in every)
            continue
        way = solved.way_to(mask)
        rest = solved.onward(mask)
        whole = expected_cost(trouble, (*way, *rest.places))
        assert solved.before[mask] + rest.expected == pytest.approx(whole, rel=1e-9, abs=1e-9)
        assert sum(1 << p for p in way) == mask


@given(troubles())
def test_ratio_order_is_never_better_and_never_senseless(trouble: Trouble) -> None:
    """The ratio order is a plan that makes sense, and the exact one costs no more."""
    guess = by_ratio(trouble)
    assert guess.places in set(orders(trouble))
    assert best(trouble).expected <= guess.expected + 1e-9


@given(troubles())
def test_nothing_old_is_repaired_once_a_piece_is_new(trouble: Trouble) -> None:
    """After a remedy that lays anew only another such remedy follows."""
    kinds = [trouble.actions[p].anew for p in best(trouble).places]
    assert kinds == sorted(kinds)


def test_a_cheap_failure_can_make_the_dear_remedy_dearer() -> None:
    """A try at 20 % for 30 saves 10 of 200; if failing adds half to the new piece, it costs."""
    anew = Action("anew", 200, (1.0,), anew=True)
    plain, spoiling = Action("try", 30, (0.2,)), Action("try", 30, (0.2,), spoils={"anew": 1.5})
    assert best(Trouble((1.0,), (plain, anew), 1e9)).places == (0, 1)
    plan = best(Trouble((1.0,), (spoiling, anew), 1e9))
    assert plan.places == (1,)
    assert plan.expected == pytest.approx(200)
    assert expected_cost(Trouble((1.0,), (spoiling, anew), 1e9), (0, 1)) == pytest.approx(270)


def test_spoiling_multiplies() -> None:
    """Two failed tries that each add a tenth leave the new piece dearer by 21 %."""
    tries = tuple(Action(f"try{n}", 10, (0.5,), spoils={"anew": 1.1}) for n in range(2))
    trouble = Trouble((1.0,), (*tries, Action("anew", 100, (1.0,))), 1e9)
    assert cost_after(trouble, 2, (0, 1)) == pytest.approx(121)


def test_stop_and_look_further_when_the_cause_is_likely_not_listed() -> None:
    """A new piece for 300 that would hold in 18 % is not laid before someone has looked for 150."""
    anew = Action("anew", 300, (0.9, 0.0), anew=True)
    assert best(Trouble((0.2, 0.8), (anew,), 150 + 300)).places == ()
    assert best(Trouble((0.9, 0.1), (anew,), 150 + 300)).places == (0,)


def test_giving_up_costs_what_is_left_turns_out_to_need() -> None:
    """Dirt 60, pull 40: cleaning for 10 ends dirt; pull then costs 50 to find out and 200 to mend."""
    clean = Action("clean", 10, (1.0, 0.0))
    trouble = Trouble((0.6, 0.4), (clean,), 50, then=(30, 200))
    assert expected_cost(trouble, ()) == pytest.approx(50 + 0.6 * 30 + 0.4 * 200)
    assert expected_cost(trouble, (0,)) == pytest.approx(10 + 0.4 * (50 + 200))
    assert ending(trouble, (0,)) == pytest.approx(250)
    assert best(trouble).expected == pytest.approx(10 + 0.4 * 250)


def test_two_repairs_in_vain_and_the_piece_is_new() -> None:
    """Three repairs at 30 % would each pay by themselves; the owner comes in for two of them."""
    again = tuple(Action(f"again{n}", 10 + n, (0.3,), after_failure=20) for n in range(3))
    wipe = Action("wipe", 12, (0.2,))
    anew = Action("anew", 400, (1.0,), after_failure=20, anew=True)
    patient = Trouble((1.0,), (*again, wipe, anew), 1e6)
    assert [patient.actions[p].id for p in best(patient).places[:-1]] == [
        "wipe", "again0", "again1", "again2"
    ]  # fmt: skip
    named = [patient.actions[p].id for p in best(replace(patient, tries=2)).places]
    assert named == ["wipe", "again0", "again1", "anew"]
    assert [patient.actions[p].id for p in best(replace(patient, tries=0)).places] == [
        "wipe", "anew"
    ]  # fmt: skip


def test_what_hardly_ever_holds_is_not_tried() -> None:
    """Watching for 1 ends one of twenty for next to nothing; under one of ten nobody is asked."""
    watch = Action("watch", 1, (0.05, 1.0))
    anew = Action("anew", 400, (1.0, 0.0), anew=True)
    trouble = Trouble((1.0, 0.0), (watch, anew), 1e6)
    assert best(trouble).places == (0, 1)
    assert best(replace(trouble, least=0.1)).places == (1,)
    likelier = replace(trouble, shares=(0.9, 0.1), least=0.1)
    assert best(likelier).places[0] == 0


def test_causes_after_a_failure() -> None:
    """Dirt 60 %, pull 40 %; cleaning cures dirt in 80 %: once it failed it is pull, 77 to 23."""
    after = after_failure((0.6, 0.4), (0.8, 0.0))
    assert after == pytest.approx((0.12 / 0.52, 0.4 / 0.52))
    assert after_failure((1.0,), (1.0,)) == (1.0,)


@given(troubles())
def test_failures_in_any_order_leave_the_same_causes(trouble: Trouble) -> None:
    """What is known after several failures does not hang on their order, and sums to one."""
    ways = []
    for order in (trouble.actions, tuple(reversed(trouble.actions))):
        shares = trouble.shares
        for action in order:
            if holds(shares, action.cures) < 1 - 1e-9:
                shares = after_failure(shares, action.cures)
        ways.append(shares)
    assert sum(ways[0]) == pytest.approx(1)
    if unsolved(trouble, range(len(trouble.actions))) > 1e-6:
        assert ways[0] == pytest.approx(ways[1], abs=1e-6)


def test_many_remedies_go_by_ratio() -> None:
    """Beyond the exact limit the plan is the ratio order, cut off where it costs least."""
    actions = tuple(Action(f"r{n}", 10 + n, (0.05 + n / 100, 0.0)) for n in range(EXACT + 2))
    trouble = Trouble((0.9, 0.1), actions, 500)
    assert best(trouble) == by_ratio(trouble)
