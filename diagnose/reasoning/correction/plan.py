"""The correction as a plan: which remedy first, what each costs, when to stop repairing.

For each complaint the order of least expected cost over the causes as they stand, then the whole
car, on which a remedy that serves several complaints is paid once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Remedy
from diagnose.reasoning.conclusion import Barred
from diagnose.reasoning.correction.joint import Car, CarOrder, Joint, JointUse, apart, best_of_car
from diagnose.reasoning.correction.order import (
    EXACT,
    Action,
    Shares,
    Subsets,
    Trouble,
    after_failure,
    allowed,
    by_ratio,
    cost_after,
    ending,
    expected_cost,
    holds,
    unsolved,
)
from diagnose.reasoning.correction.pricing import Price, Pricer, WorkPlace
from diagnose.reasoning.correction.shared_causes import worlds
from diagnose.reasoning.correction.situation import Situation, barred, candidates, cures, tried_odds


@dataclass(frozen=True, slots=True)
class Risk:
    """A cause that may yet be it, and under which a step does harm."""

    cause: str
    probability: float
    because: str


@dataclass(frozen=True, slots=True)
class PlanStep:
    """One remedy of a plan.

    `cost`: with what earlier failures add (`spoiled_by`); `reached`: chance that it is needed;
    `holds`: chance that it ends the matter, done now and by itself; `ended`: chance that
    the matter is over after it; `after`: the likeliest causes if it fails; `shared`: the complaints
    that it serves at once.
    """

    remedy: str
    price: Price
    cost: float
    spoiled_by: tuple[tuple[str, float], ...]
    reached: float
    holds: float
    ended: float
    after_failure: float
    after: tuple[tuple[str, float], ...]
    risks: tuple[Risk, ...]
    shared: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Start:
    """What it costs on average to begin with a remedy and go on in the best way."""

    remedy: str
    cost: float
    holds: float
    expected: float


@dataclass(frozen=True, slots=True)
class BreakEven:
    """From which chance to hold a repair pays before the new piece, and the chance it has."""

    remedy: str
    from_chance: float
    chance: float


@dataclass(frozen=True, slots=True)
class ComplaintPlan:
    """The plan of one complaint.

    `expected`: on average, if the complaint stood alone; `terms`: its part of what the car costs on
    average, each as (what, chance, money), a shared remedy with the first complaint that it serves;
    `starts`: every first step, cheapest on average first; `cheapest`: the remedy that costs least
    by itself; `thresholds`: when a repair in place still pays.
    """

    number: int
    steps: tuple[PlanStep, ...]
    ended: float
    expected: float
    terms: tuple[tuple[str, float, float], ...]
    starts: tuple[Start, ...]
    cheapest: str | None
    thresholds: tuple[BreakEven, ...]
    barred: tuple[Barred, ...]
    nearly_sure: bool

    @property
    def part(self) -> float:
        """The sum of the terms; over all complaints, what the car costs on average."""
        return sum(chance * money for _, chance, money in self.terms)

    @property
    def cheapest_is_best(self) -> bool:
        """Whether the plan begins with the remedy that costs least by itself."""
        return bool(self.steps) and self.steps[0].remedy == self.cheapest


@dataclass(frozen=True, slots=True)
class SharedStep:
    """A remedy that is paid once for several complaints, and the chance that it is needed."""

    remedy: str
    complaints: tuple[int, ...]
    price: Price
    cost: float
    reached: float


@dataclass(frozen=True, slots=True)
class CarPlan:
    """The plans of a car; `expected` with shared remedies paid once, `apart` without sharing."""

    complaints: tuple[ComplaintPlan, ...]
    shared: tuple[SharedStep, ...]
    expected: float
    apart: float


def plan_car(pricer: Pricer, stand: Sequence[Situation]) -> CarPlan:
    """The plan of least expected cost for all complaints of a car."""
    troubles = tuple(trouble(pricer, its, len(stand)) for its in stand)
    joints = tuple(_joints(pricer, stand, troubles))
    car = Car(troubles, joints, worlds(pricer.base, stand) if joints else ())
    solved = [Subsets.of(each) for each in troubles]
    order, more = _tried_first(pricer.base, stand, solved, best_of_car(car, solved))
    shared = tuple(_shared(pricer, stand, use) for use in order.uses)
    plans = tuple(_complaint(pricer, stand, solved, order, n) for n in range(len(stand)))
    return CarPlan(plans, shared, order.expected, apart(solved).expected + more)


ABOUT_AS_MUCH = 1.1
"""Costs that differ by less than this factor are no reason to leave out a repair; a judgement."""


def _tried_first(
    base: Base, stand: Sequence[Situation], solved: Sequence[Subsets], order: CarOrder
) -> tuple[CarOrder, float]:
    """The order with what has held at the car already begun with, and what that costs more.

    Only where it costs about as much on average, and where no remedy is shared.
    """
    before, more = list(order.before), 0.0
    for n, (its, each) in enumerate(zip(stand, solved, strict=True)):
        place = _held(base, its, each) if order.of(n) is None else None
        if place is not None and before[n] and place != before[n][0]:
            before[n] = (place, *each.onward(1 << place).places)
            more += _begun(each, place) - each.after[0]
    return replace(order, before=tuple(before), expected=order.expected + more), more


def _held(base: Base, its: Situation, solved: Subsets) -> int | None:
    """The cheapest first step that was tried in small and held, if it costs about as much."""
    each, values = solved.trouble, its.diagnosis.trace.values
    most = ABOUT_AS_MUCH * solved.after[0]
    held = [
        place
        for place, action in enumerate(each.actions)
        if tried_odds(base.remedies[action.id], values) > 1
        and allowed(each, place, ())
        and _begun(solved, place) <= most
    ]
    return min(held, key=lambda place: each.actions[place].cost, default=None)


def _begun(solved: Subsets, place: int) -> float:
    """What it costs on average to begin with an action and go on in the best way."""
    each, action = solved.trouble, solved.trouble.actions[place]
    failed = 1 - holds(each.shares, action.cures)
    return action.cost + failed * action.after_failure + solved.onward(1 << place).expected


def trouble(pricer: Pricer, its: Situation, complaints: int = 1) -> Trouble:
    """A complaint as the search sees it; a visit serves all complaints of the car."""
    actions = tuple(_action(pricer, its, r, complaints) for r in candidates(pricer.base, its))
    shares = tuple(its.shares.values())
    failed = (_action(pricer, its, r, complaints) for r in its.failed)
    then = put_right(shares, (*actions, *failed))
    further, tries = pricer.looking_further(), pricer.shop.visit.most_tries
    least = pricer.base.scales.acting.least_hope_percent / 100
    whole = Trouble(shares, actions, further, then, tries, least)
    if len(actions) <= EXACT:
        return whole
    kept = by_ratio(whole).places[:EXACT]
    return replace(whole, actions=tuple(actions[p] for p in sorted(kept)))


def _action(pricer: Pricer, its: Situation, name: str, complaints: int) -> Action:
    remedy = pricer.base.remedies[name]
    cost = pricer.price(remedy, [its.place]).likely
    for earlier in its.failed if name not in its.failed else ():
        cost *= pricer.base.remedies[earlier].spoils.get(name, 1.0)
    visit = pricer.after_failure(remedy) / complaints
    anew = remedy.film in ("piece", "set", "vehicle")
    return Action(name, cost, cures(pricer.base, its, name), visit, remedy.spoils, anew)


def laying_anew(shares: Shares, actions: Sequence[Action]) -> Action | None:
    """The remedy that lays the piece anew at the least cost for its chance; None if there is none.

    Where nothing lays anew, the same among all remedies.
    """
    able = [(holds(shares, a.cures), a) for a in actions]
    known = [(chance, a) for chance, a in able if chance > 0]
    pool = [pair for pair in known if pair[1].anew] or known
    return min(pool, key=lambda pair: pair[1].cost / pair[0])[1] if pool else None


def put_right(shares: Shares, actions: Sequence[Action]) -> Shares:
    """By cause, what putting it right costs on average once looking further has told it.

    What suits the cause best is done until it holds, 1/chance times, also if it has failed before:
    a remedy that lays anew where there is one, for a repair in place is not done again and again.
    What nothing here suits costs what laying anew costs where it holds best; 0 where nothing is
    known that holds.
    """
    anew = laying_anew(shares, actions)
    otherwise = anew.cost / max(anew.cures) if anew else 0.0
    return tuple(_at_least(actions, cause, otherwise) for cause in range(len(shares)))


def _at_least(actions: Sequence[Action], cause: int, otherwise: float) -> float:
    able = [a for a in actions if a.cures[cause] > 0]
    pool = [a for a in able if a.anew] or able
    return min((a.cost / a.cures[cause] for a in pool), default=otherwise)


def _joints(
    pricer: Pricer, stand: Sequence[Situation], troubles: Sequence[Trouble]
) -> Iterator[Joint]:
    """Remedies that several complaints share: a set, the whole car, one piece under two.

    Pieces on several panels are laid in one go where all are laid at once.
    """
    groups: dict[tuple[str, str], dict[int, int]] = {}
    for n, (its, each) in enumerate(zip(stand, troubles, strict=True)):
        for place, action in enumerate(each.actions):
            for key in _shared_by(pricer.base.remedies[action.id], its.place):
                groups.setdefault((action.id, key), {})[n] = place
    for (name, key), places in groups.items():
        panels = {stand[n].place.panel for n in places}
        single = pricer.base.remedies[name].film == "piece"
        if len(places) > 1 and (key or not single or len(panels) > 1):
            price = pricer.price(pricer.base.remedies[name], [stand[n].place for n in places])
            yield Joint(name, price.likely, places, at_once=single and not key)


def _shared_by(remedy: Remedy, place: WorkPlace) -> tuple[str, ...]:
    """What complaints must have in common to share a remedy: '' the car, or a panel."""
    if remedy.film in ("set", "vehicle") or remedy.hours.per == "vehicle":
        return ("",)
    return (place.panel, "") if remedy.film == "piece" else ()


def _joint_price(pricer: Pricer, stand: Sequence[Situation], joint: Joint) -> Price:
    return pricer.price(pricer.base.remedies[joint.id], [stand[n].place for n in joint.served])


def _complaint(
    pricer: Pricer,
    stand: Sequence[Situation],
    solved: Sequence[Subsets],
    order: CarOrder,
    n: int,
) -> ComplaintPlan:
    its, each, use = stand[n], solved[n].trouble, order.of(n)
    middle = (use.joint.places[n],) if use else ()
    places = (*order.before[n], *middle, *order.after[n])
    steps = []
    for k, place in enumerate(places):
        step = _step(pricer, its, each, places[:k], place)
        steps.append(_with(step, _shared(pricer, stand, use)) if use and place in middle else step)
    starts = _starts(solved[n])
    cheapest = min(starts, key=lambda start: start.cost).remedy if starts else None
    ended = max(0.0, 1 - unsolved(each, places))
    return ComplaintPlan(
        number=its.place.number,
        steps=tuple(steps),
        ended=ended,
        expected=solved[n].after[0] if use else expected_cost(each, places),
        terms=tuple(_terms(each, places, use, n)),
        starts=starts,
        cheapest=cheapest,
        thresholds=tuple(_thresholds(pricer.base, each)),
        barred=barred(pricer.base, its),
        nearly_sure=ended >= pricer.base.scales.acting.nearly_sure_percent / 100,
    )


def _step(
    pricer: Pricer, its: Situation, each: Trouble, tried: Sequence[int], place: int
) -> PlanStep:
    action = each.actions[place]
    open_before, open_after = unsolved(each, tried), unsolved(each, (*tried, place))
    shares = each.shares
    for earlier in (*tried, place):
        shares = after_failure(shares, each.actions[earlier].cures)
    ranked = sorted(zip(its.shares, shares, strict=True), key=lambda pair: -pair[1])
    spoiled = (
        (each.actions[t].id, each.actions[t].spoils[action.id])
        for t in tried
        if action.id in each.actions[t].spoils
    )
    return PlanStep(
        remedy=action.id,
        price=pricer.price(pricer.base.remedies[action.id], [its.place]),
        cost=cost_after(each, place, tried),
        spoiled_by=tuple(spoiled),
        reached=open_before if tried else 1.0,
        holds=holds(each.shares, action.cures),
        ended=1 - open_after,
        after_failure=action.after_failure,
        after=tuple(ranked[:2]),
        risks=tuple(_risks(its, action.id, pricer.base.scales.acting.in_play)),
    )


def _shared(pricer: Pricer, stand: Sequence[Situation], use: JointUse) -> SharedStep:
    numbers = tuple(stand[n].place.number for n in use.joint.served)
    price = _joint_price(pricer, stand, use.joint)
    return SharedStep(use.joint.id, numbers, price, use.cost, use.reached)


def _with(step: PlanStep, shared: SharedStep) -> PlanStep:
    """The same step with the price of the remedy that serves several complaints."""
    return replace(step, price=shared.price, cost=shared.cost, shared=shared.complaints)


def _risks(its: Situation, remedy: str, in_play: float) -> Iterator[Risk]:
    for cause in its.causes:
        for never in cause.never:
            if never.remedy == remedy and its.shares[cause.id] >= in_play:
                yield Risk(cause.id, its.shares[cause.id], never.because)


def _terms(
    each: Trouble, places: Sequence[int], use: JointUse | None, n: int
) -> Iterator[tuple[str, float, float]]:
    for k, place in enumerate(places):
        action = each.actions[place]
        if use is None or place != use.joint.places[n]:
            yield action.id, unsolved(each, places[:k]), cost_after(each, place, places[:k])
        elif n == use.joint.served[0]:
            yield action.id, use.reached, use.cost
        if action.after_failure:
            yield "visit", unsolved(each, places[: k + 1]), action.after_failure
    yield "look_further", unsolved(each, places), ending(each, places)


def _starts(solved: Subsets) -> tuple[Start, ...]:
    """Every first step that may be taken, and such as may not where it would be no better."""
    each, found = solved.trouble, []
    for place, action in enumerate(each.actions):
        chance, expected = holds(each.shares, action.cures), _begun(solved, place)
        if allowed(each, place, ()) or expected >= solved.after[0]:
            found.append(Start(action.id, action.cost, chance, expected))
    return tuple(sorted(found, key=lambda start: start.expected))


def pays_from(repair: float, visit: float, anew: float, dearer: float) -> float:
    """The chance to hold from which a repair pays before laying anew; over 1 it never pays.

    repair + (1 − q)·(visit + dearer) < anew, where `dearer` is what laying anew costs once the
    repair has failed.
    """
    return 1 - (anew - repair) / (visit + dearer) if visit + dearer > 0 else 0.0


def _thresholds(base: Base, each: Trouble) -> Iterator[BreakEven]:
    """For each repair in place, when it pays before laying the piece anew."""
    anew = laying_anew(each.shares, each.actions)
    if anew is None or not anew.anew:
        return
    for action in each.actions:
        if not action.anew and base.remedies[action.id].kind in ("in_place", "surface", "wait"):
            dearer = anew.cost * action.spoils.get(anew.id, 1.0)
            q = pays_from(action.cost, action.after_failure, anew.cost, dearer)
            yield BreakEven(action.id, q, holds(each.shares, action.cures))
