"""In which order to try remedies, and when to stop: the least expected cost.

One fault among exclusive causes; whether a remedy holds depends on the cause alone, so that after
a failure the causes are weighed again by Bayes' rule. Where remedies are independent the falling
ratio of chance to cost is the best order (Kadane & Simon 1977; Kalagnanam & Henrion 1988). Where
they overlap, or a failed one makes another dearer, that order is only a guess, and all subsets are
searched (Heckerman, Breese & Rommelse 1995 for the price of giving up as a call for service).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

EXACT = 10
"""Most remedies among which all subsets are searched; beyond it, the ratio order is taken."""

_NONE: Mapping[str, float] = MappingProxyType({})

Shares = tuple[float, ...]
"""Probability of each cause, the unlisted one last."""


@dataclass(frozen=True, slots=True)
class Action:
    """A remedy as the search sees it.

    `cures`: for each cause, the chance that it ends the matter; `after_failure`: price of finding
    out that it did not hold (the car comes in again); `spoils`: factor on the cost of others, by
    id, if this one was tried before; `anew`: the piece is laid anew, after which only another such
    remedy makes sense. Costs in one currency, not below 0.
    """

    id: str
    cost: float
    cures: Shares
    after_failure: float = 0.0
    spoils: Mapping[str, float] = field(default_factory=lambda: _NONE)
    anew: bool = False


@dataclass(frozen=True, slots=True)
class Trouble:
    """A complaint as the search sees it.

    `giving_up`: the price of ending with it unsolved; `then`: what is paid besides, by cause, once
    the cause is told; empty where nothing is. `tries`: how often the car comes in again after a try
    that left the old piece on, before only laying anew is left; None for as often as it pays.
    `least`: chance to hold under which nothing is tried.
    """

    shares: Shares
    actions: tuple[Action, ...]
    giving_up: float
    then: Shares = ()
    tries: int | None = None
    least: float = 0.0

    def named(self, *names: str) -> tuple[int, ...]:
        """Places of actions by id; KeyError for one that is not there."""
        place = {action.id: n for n, action in enumerate(self.actions)}
        return tuple(place[name] for name in names)


@dataclass(frozen=True, slots=True)
class Order:
    """Places of actions in the order of trying, and the expected cost to the end."""

    places: tuple[int, ...]
    expected: float


def after_failure(shares: Shares, cures: Shares) -> Shares:
    """Causes once a remedy has failed: P(cause | failed), by Bayes' rule.

    Unchanged where the failure was impossible.
    """
    left = [p * (1 - c) for p, c in zip(shares, cures, strict=True)]
    total = sum(left)
    return tuple(x / total for x in left) if total > 0 else shares


def holds(shares: Shares, cures: Shares) -> float:
    """Chance that a remedy ends the matter."""
    return sum(p * c for p, c in zip(shares, cures, strict=True))


def unsolved(trouble: Trouble, tried: Sequence[int], shares: Shares | None = None) -> float:
    """Chance that the matter is open after these were tried, in any order."""
    return sum(_left(trouble, tried, trouble.shares if shares is None else shares))


def _left(trouble: Trouble, tried: Sequence[int], shares: Shares) -> Shares:
    """For each cause the chance that it is it and the matter still open."""
    for place in tried:
        shares = tuple(
            p * (1 - c) for p, c in zip(shares, trouble.actions[place].cures, strict=True)
        )
    return shares


def given_up(trouble: Trouble, left: Shares) -> float:
    """What ending with these chances still open costs on average."""
    then = sum(p * t for p, t in zip(left, trouble.then, strict=True)) if trouble.then else 0.0
    return sum(left) * trouble.giving_up + then


def ending(trouble: Trouble, tried: Sequence[int]) -> float:
    """What giving up costs on average where these were tried in vain."""
    left = _left(trouble, tried, trouble.shares)
    still = sum(left)
    return given_up(trouble, left) / still if still > 0 else trouble.giving_up


def cost_after(trouble: Trouble, place: int, tried: Sequence[int]) -> float:
    """Cost of an action once others were tried: each that spoils it multiplies it."""
    action = trouble.actions[place]
    cost = action.cost
    for other in tried:
        cost *= trouble.actions[other].spoils.get(action.id, 1.0)
    return cost


def allowed(trouble: Trouble, place: int, tried: Sequence[int]) -> bool:
    """Whether an action makes sense after others.

    Nothing old is repaired once a piece is new, nor once the car has come in often enough for it,
    and what hardly ever holds is not tried.
    """
    anew, late = _anew(trouble), _late(trouble)
    sofar, bit = sum(1 << t for t in tried), 1 << place
    hope = unsolved(trouble, (*tried, place)), unsolved(trouble, tried)
    return not (anew & sofar and not anew & bit) and _worth(trouble, late, sofar, bit, *hope)


def _anew(trouble: Trouble) -> int:
    """The actions that lay anew, as a bit mask."""
    return sum(1 << n for n, a in enumerate(trouble.actions) if a.anew)


def _late(trouble: Trouble) -> int:
    """The actions that leave the old piece on and show at a later visit, as a bit mask."""
    return sum(1 << n for n, a in enumerate(trouble.actions) if not a.anew and a.after_failure > 0)


def _worth(trouble: Trouble, late: int, tried: int, bit: int, after: float, before: float) -> bool:
    """Whether an action is not one visit too many, and holds often enough where it is needed."""
    visits = (tried & late).bit_count()
    too_many = trouble.tries is not None and bool(late & bit) and visits >= trouble.tries
    return not too_many and after <= (1 - trouble.least) * before + 1e-12


def expected_cost(trouble: Trouble, places: Sequence[int]) -> float:
    """Expected cost of trying in this order and giving up at its end."""
    total = 0.0
    for n, place in enumerate(places):
        total += unsolved(trouble, places[:n]) * cost_after(trouble, place, places[:n])
        total += unsolved(trouble, places[: n + 1]) * trouble.actions[place].after_failure
    return total + given_up(trouble, _left(trouble, places, trouble.shares))


def best(trouble: Trouble) -> Order:
    """The order of least expected cost, and where to stop; of equals the shorter one."""
    if len(trouble.actions) > EXACT:
        return by_ratio(trouble)
    return Subsets.of(trouble).onward()


def by_ratio(trouble: Trouble) -> Order:
    """Falling chance over cost, weighed again after each failure, cut off where it costs least."""
    places: list[int] = []
    rest = list(range(len(trouble.actions)))
    shares = trouble.shares
    while rest := [p for p in rest if p not in places and allowed(trouble, p, places)]:
        place = max(rest, key=lambda p: (_ratio(trouble, p, places, shares), -p))
        places.append(place)
        shares = after_failure(shares, trouble.actions[place].cures)
    prefixes = [tuple(places[:n]) for n in range(len(places) + 1)]
    orders = [Order(prefix, expected_cost(trouble, prefix)) for prefix in prefixes]
    return min(orders, key=lambda order: (order.expected, len(order.places)))


def _ratio(trouble: Trouble, place: int, tried: Sequence[int], shares: Shares) -> float:
    chance = holds(shares, trouble.actions[place].cures)
    cost = cost_after(trouble, place, tried)
    return chance / cost if cost > 0 else (float("inf") if chance > 0 else 0.0)


@dataclass(frozen=True, slots=True)
class Subsets:
    """For each set of actions (a bit mask): chance still open, least cost before and after it.

    `before[s]`: least expected cost of trying all of s, whatever comes next; `after[s]`: least
    expected cost from there to the end. Both count only the cases in which money is spent.
    """

    trouble: Trouble
    open: tuple[float, ...]
    before: tuple[float, ...]
    came_by: tuple[int, ...]
    after: tuple[float, ...]
    goes_on: tuple[int, ...]

    @classmethod
    def of(cls, trouble: Trouble) -> Subsets:
        """Search all subsets: exact, 2^n of them."""
        steps = _Steps.of(trouble)
        before, came_by = _forward(steps)
        after, goes_on = _backward(steps)
        return cls(trouble, steps.open, before, came_by, after, goes_on)

    def onward(self, tried: int = 0) -> Order:
        """The best way on from a set that was tried."""
        places: list[int] = []
        at = tried
        while self.goes_on[at] >= 0:
            places.append(self.goes_on[at])
            at |= 1 << self.goes_on[at]
        return Order(tuple(places), self.after[tried])

    def way_to(self, tried: int) -> tuple[int, ...]:
        """The cheapest order in which to try a set."""
        places: list[int] = []
        while tried:
            places.append(self.came_by[tried])
            tried &= ~(1 << places[-1])
        return tuple(reversed(places))


def members(mask: int) -> tuple[int, ...]:
    """Places whose bit is set."""
    return tuple(n for n in range(mask.bit_length()) if mask >> n & 1)


@dataclass(frozen=True, slots=True)
class _Steps:
    """For each set: chance still open, cost of giving up; for each action and set: its cost then.

    `anew`, `late`: the actions that lay anew, and those that show at a later visit, as bit masks.
    """

    trouble: Trouble
    open: tuple[float, ...]
    given_up: tuple[float, ...]
    costs: tuple[tuple[float, ...], ...]
    anew: int
    late: int

    @classmethod
    def of(cls, trouble: Trouble) -> _Steps:
        actions = trouble.actions
        left = _grown([trouble.shares], [[1 - c for c in a.cures] for a in actions])
        costs = tuple(
            tuple(
                row[0] for row in _grown([(a.cost,)], [[b.spoils.get(a.id, 1.0)] for b in actions])
            )
            for a in actions
        )
        ends = tuple(given_up(trouble, row) for row in left)
        still = tuple(map(sum, left))
        return cls(trouble, still, ends, costs, _anew(trouble), _late(trouble))

    def price(self, tried: int, place: int) -> float | None:
        """Expected money for trying one more and, if it fails, for finding that out.

        None where it makes no sense any more.
        """
        bit = 1 << place
        before, after = self.open[tried], self.open[tried | bit]
        if self.anew & tried and not self.anew & bit:
            return None
        if not _worth(self.trouble, self.late, tried, bit, after, before):
            return None
        return before * self.costs[place][tried] + after * self.trouble.actions[place].after_failure


def _grown(first: list[tuple[float, ...]], factors: Sequence[Sequence[float]]) -> list[Shares]:
    """For each set the start multiplied by the factors of its members."""
    found = list(first)
    for factor in factors:
        found += [tuple(x * f for x, f in zip(row, factor, strict=True)) for row in found]
    return found


def _forward(steps: _Steps) -> tuple[tuple[float, ...], tuple[int, ...]]:
    size = len(steps.open)
    cost = [0.0] + [float("inf")] * (size - 1)
    by = [-1] * size
    for tried in range(1, size):
        for place in members(tried):
            earlier = tried & ~(1 << place)
            price = steps.price(earlier, place)
            if price is not None and cost[earlier] + price < cost[tried] - 1e-12:
                cost[tried], by[tried] = cost[earlier] + price, place
    return tuple(cost), tuple(by)


def _backward(steps: _Steps) -> tuple[tuple[float, ...], tuple[int, ...]]:
    size = len(steps.open)
    cost = list(steps.given_up)
    on = [-1] * size
    for tried in range(size - 2, -1, -1):
        for place in range(len(steps.trouble.actions)):
            if not tried >> place & 1:
                price = steps.price(tried, place)
                if price is not None and cost[tried | 1 << place] + price < cost[tried] - 1e-12:
                    cost[tried], on[tried] = cost[tried | 1 << place] + price, place
    return tuple(cost), tuple(on)
