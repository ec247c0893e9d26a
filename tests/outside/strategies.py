"""Every way of asking on a small base, to find the best and what the tool's way costs beside it."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

from diagnose.knowledge.base import Base
from diagnose.reasoning.evidence.columns import columns
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.questions.choose import Chooser
from diagnose.reasoning.questions.question import Asked
from tests.outside.carried import star

WRONG_MINUTES = 300.0
"""What ending with the wrong cause costs: a piece laid anew for nothing, with its film."""

Known = frozenset[tuple[str, str]]


@dataclass(frozen=True)
class Drawn:
    """A base of a few causes and checks, with all that a strategy needs to know of it."""

    base: Base
    table: Tables
    cost: dict[str, float] = field(repr=False)

    @cached_property
    def _matrix(self) -> Matrix:
        return Matrix(self.base, self.table)

    @cached_property
    def _seen(self) -> dict[Known, tuple[float, ...]]:
        return {}

    def posterior(self, known: Known) -> tuple[float, ...]:
        """Probability of each cause, by the tool's own weighing."""
        if known not in self._seen:
            row = columns(self.base, [dict(known)])
            self._seen[known] = tuple(self._matrix.score(row).probabilities[0][:-1].tolist())
        return self._seen[known]

    @cached_property
    def _clear(self) -> float:
        return self.base.scales.leads_clearly_percent / 100

    def left(self, known: Known) -> list[str]:
        """The checks not asked yet, in the order of the file."""
        return [check for check in self.cost if check not in dict(known)]

    def done(self, known: Known) -> bool:
        """Whether a cause leads clearly, or nothing is left to ask."""
        return max(self.posterior(known)) >= self._clear or not self.left(known)

    def outcomes(self, known: Known, check: str) -> Iterator[tuple[float, Known]]:
        """Each answer that a check may give: its chance and what is then known."""
        before = self.posterior(known)
        shares = self.base.checks[check].shares
        for code, word in enumerate(self.base.checks[check].labels):
            chance = sum(
                p * shares[code] * 10 ** (row.decibans[code] / 10)
                for p, row in zip(before, self.table.rows[check], strict=True)
                if row is not None
            )
            yield chance, known | {(check, word)}

    def wrong(self, known: Known) -> float:
        """What it costs to stop here."""
        return WRONG_MINUTES * (1 - max(self.posterior(known)))


def drawn_star(chance: random.Random) -> Drawn:
    """Three or four causes and four checks of two answers, of differing worth and cost."""
    causes = [f"cause{n}" for n in range(chance.choice((3, 4)))]
    weights = [chance.choice((40, 12, 3)) for _ in causes]
    priors = {c: w / sum(weights) for c, w in zip(causes, weights, strict=True)}
    checks = [f"check{n}" for n in range(4)]
    likelihood = {
        check: {c: _coin(chance.choice((0.05, 0.2, 0.5, 0.8, 0.95))) for c in causes}
        for check in checks
    }
    minutes = {check: float(chance.choice((1, 2, 5, 12))) for check in checks}
    base, table = star("trouble", priors, likelihood, dict.fromkeys(checks, ("yes", "no")), minutes)
    chooser = Chooser(base, table)
    return Drawn(base, table, {check: chooser.cost(base.checks[check]) for check in checks})


def _coin(share: float) -> list[float]:
    return [share, 1 - share]


def best(drawn: Drawn) -> float:
    """The least expected cost of all strategies; one may stop at any time."""
    return _least(drawn, lambda known: drawn.wrong(known), must_go_on=False)


def quickest(drawn: Drawn) -> float:
    """The least expected minutes of all orders of asking until a cause leads clearly."""
    return _least(drawn, lambda known: 0.0, must_go_on=True)


def _least(drawn: Drawn, at_end: Callable[[Known], float], must_go_on: bool) -> float:
    """The best of all ways from knowing nothing, each state of knowledge solved once."""
    solved: dict[Known, float] = {}

    def least(known: Known) -> float:
        if known not in solved:
            ways = [] if must_go_on and not drawn.done(known) else [at_end(known)]
            if not (must_go_on and drawn.done(known)):
                ways += [_ask(drawn, known, check, least) for check in drawn.left(known)]
            solved[known] = min(ways)
        return solved[known]

    return least(frozenset())


def _ask(drawn: Drawn, known: Known, check: str, after: Callable[[Known], float]) -> float:
    return drawn.cost[check] + sum(p * after(k) for p, k in drawn.outcomes(known, check))


def of_tool(drawn: Drawn) -> float:
    """The expected cost of asking as the tool asks, until it says stop."""
    chooser = Chooser(drawn.base, drawn.table)

    def cost(known: Known) -> float:
        choice = chooser.choose(Asked(dict(known), frozenset(dict(known))))
        if choice.stop is not None or not choice.questions:
            return drawn.wrong(known)
        return _ask(drawn, known, choice.questions[0].observable, cost)

    return cost(frozenset())


def minutes_of_tool(drawn: Drawn) -> float:
    """The expected minutes in the tool's order until a cause leads clearly."""
    chooser = Chooser(drawn.base, drawn.table)

    def cost(known: Known) -> float:
        if drawn.done(known):
            return 0.0
        choice = chooser.choose(Asked(dict(known), frozenset(dict(known))))
        ranked = [q.observable for q in choice.questions] or drawn.left(known)
        return _ask(drawn, known, ranked[0], cost)

    return cost(frozenset())


def minutes_in_file_order(drawn: Drawn) -> float:
    """The expected minutes in the order of the file until a cause leads clearly."""

    def cost(known: Known) -> float:
        return 0.0 if drawn.done(known) else _ask(drawn, known, drawn.left(known)[0], cost)

    return cost(frozenset())
