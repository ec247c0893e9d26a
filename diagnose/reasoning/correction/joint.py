"""Several complaints on one car: remedies that serve more than one of them are paid once.

A joint remedy (one set of new pieces, a rewrap, a new piece under two complaints) is tried once,
after some tries at each complaint and before others. For each choice of what to try before it, the
rest of each complaint is solved exactly; the choices are searched exactly where they are few, else
improved one complaint at a time from several starts. Joint remedies that share no complaint add up.
Complaints may hang together by a cause of the whole vehicle: `worlds` keeps that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod

from diagnose.reasoning.correction.order import Shares, Subsets, Trouble, members, unsolved

COMBINATIONS = 5000
"""Choices of what to try before a joint remedy, up to which all are searched."""


@dataclass(frozen=True, slots=True)
class Joint:
    """A remedy paid once for several complaints.

    `places`: for each complaint that it serves (by its place in the car), where the same remedy
    stands among the complaint's own actions with its chances and what it spoils; `at_once`: it is
    one remedy only where nothing is tried before it (several pieces laid in one go).
    """

    id: str
    cost: float
    places: Mapping[int, int]
    at_once: bool = False

    @property
    def served(self) -> tuple[int, ...]:
        """The complaints that it serves."""
        return tuple(sorted(self.places))


@dataclass(frozen=True, slots=True)
class World:
    """One way in which the complaints may hang together: its chance, and their causes then."""

    chance: float
    shares: tuple[Shares, ...]


@dataclass(frozen=True, slots=True)
class Car:
    """The complaints of one car with the remedies that several of them share.

    Without `worlds` the causes of the complaints are independent.
    """

    troubles: tuple[Trouble, ...]
    joints: tuple[Joint, ...] = ()
    worlds: tuple[World, ...] = ()


@dataclass(frozen=True, slots=True)
class JointUse:
    """A joint remedy in a plan.

    `reached`: the chance that it is needed; `cost`: its own cost then; `expected`: that of it and
    of all that is tried at its complaints before and after it; `masks`: what is tried before it.
    """

    joint: Joint
    masks: tuple[int, ...]
    reached: float
    cost: float
    expected: float


@dataclass(frozen=True, slots=True)
class CarOrder:
    """For each complaint what is tried before and after the joint remedy that serves it."""

    uses: tuple[JointUse, ...]
    before: tuple[tuple[int, ...], ...]
    after: tuple[tuple[int, ...], ...]
    expected: float

    def of(self, complaint: int) -> JointUse | None:
        """The joint remedy that serves a complaint."""
        return next((use for use in self.uses if complaint in use.joint.places), None)


def best_of_car(car: Car, solved: Sequence[Subsets]) -> CarOrder:
    """The plan of least expected cost for the whole car; `solved` are its troubles, searched."""
    uses = [_use(car, solved, joint) for joint in car.joints]
    return min(
        (_plan(solved, chosen) for chosen in _disjoint(uses)), key=lambda plan: plan.expected
    )


def apart(solved: Sequence[Subsets]) -> CarOrder:
    """The plan in which nothing is shared."""
    return _plan(solved, ())


def _disjoint(uses: Sequence[JointUse]) -> Iterator[tuple[JointUse, ...]]:
    """Every choice of joint remedies of which no two serve the same complaint."""
    if not uses:
        yield ()
        return
    first, *rest = uses
    for chosen in _disjoint(rest):
        yield chosen
        if all(not set(first.joint.places) & set(use.joint.places) for use in chosen):
            yield (first, *chosen)


def _use(car: Car, solved: Sequence[Subsets], joint: Joint) -> JointUse:
    """The best way to use a joint remedy for all of its complaints."""
    choices = [(0,) if joint.at_once else _before(solved[n], joint.places[n]) for n in joint.served]
    few = prod(len(its) for its in choices) <= COMBINATIONS
    found = product(*choices) if few else _improved(car, solved, joint, choices)
    return min((_priced(car, solved, joint, masks) for masks in found), key=lambda u: u.expected)


def _before(solved: Subsets, own: int) -> tuple[int, ...]:
    """Sets that may be tried before the joint remedy: all without it."""
    return tuple(s for s in range(len(solved.open)) if not s >> own & 1)


def _improved(
    car: Car, solved: Sequence[Subsets], joint: Joint, choices: Sequence[Sequence[int]]
) -> Iterator[tuple[int, ...]]:
    """Good choices from two starts: nothing before the joint remedy, and everything."""
    fullest = tuple(max(its, key=int.bit_count) for its in choices)
    for start in (tuple(0 for _ in choices), fullest):
        at, cost = start, _priced(car, solved, joint, start).expected
        moved = True
        while moved:
            moved = False
            for n, its in enumerate(choices):
                trials = [
                    _priced(car, solved, joint, (*at[:n], mask, *at[n + 1 :])) for mask in its
                ]
                better = min(trials, key=lambda use: use.expected)
                if better.expected < cost - 1e-9:
                    at, cost, moved = better.masks, better.expected, True
        yield at


def _priced(car: Car, solved: Sequence[Subsets], joint: Joint, masks: tuple[int, ...]) -> JointUse:
    reached, cost = _reached(car, joint, masks), _spoiled(car, joint, masks)
    total = reached * cost
    for n, mask in zip(joint.served, masks, strict=True):
        its, own = solved[n], joint.places[n]
        done = mask | 1 << own
        found_out = its.trouble.actions[own].after_failure
        total += its.before[mask] + its.open[done] * found_out + its.after[done]
    return JointUse(joint, masks, reached, cost, total)


def _spoiled(car: Car, joint: Joint, masks: Sequence[int]) -> float:
    """Cost of the joint remedy, as dear as the worst of its complaints makes it."""
    factors = [1.0]
    for n, mask in zip(joint.served, masks, strict=True):
        actions = car.troubles[n].actions
        name = actions[joint.places[n]].id
        factors.append(prod(actions[p].spoils.get(name, 1.0) for p in members(mask)))
    return joint.cost * max(factors)


def _reached(car: Car, joint: Joint, masks: Sequence[int]) -> float:
    """Chance that at least one of its complaints is still open."""
    worlds = car.worlds or (World(1.0, tuple(t.shares for t in car.troubles)),)
    return sum(world.chance * (1 - _all_ended(car, joint, masks, world)) for world in worlds)


def _all_ended(car: Car, joint: Joint, masks: Sequence[int], world: World) -> float:
    return prod(
        1 - unsolved(car.troubles[n], members(mask), world.shares[n])
        for n, mask in zip(joint.served, masks, strict=True)
    )


def _plan(solved: Sequence[Subsets], uses: tuple[JointUse, ...]) -> CarOrder:
    before = [its.onward().places for its in solved]
    after: list[tuple[int, ...]] = [() for _ in solved]
    total = sum(use.expected for use in uses)
    for use in uses:
        for n, mask in zip(use.joint.served, use.masks, strict=True):
            before[n] = solved[n].way_to(mask)
            after[n] = solved[n].onward(mask | 1 << use.joint.places[n]).places
    served = {n for use in uses for n in use.joint.places}
    total += sum(its.after[0] for n, its in enumerate(solved) if n not in served)
    return CarOrder(uses, tuple(before), tuple(after), total)
