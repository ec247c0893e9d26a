"""The library's network of tests and joins, built lean for rules that are plain from the start.

A rule base has thousands of rules, and asks them at every answer. So a rule is kept without what it
waits for, which stands in the network once; a test is asked only of a fact that has its field; and
a node has memory only while there is something in it.
"""

from __future__ import annotations

import collections
import collections.abc
import logging
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any


@cache
def library() -> Any:
    """The library, imported when the first network is built."""
    root = logging.getLogger()
    handlers = list(root.handlers)
    missing = not hasattr(collections, "Mapping")
    if missing:
        collections.Mapping = collections.abc.Mapping  # type: ignore[attr-defined]
    try:
        import frozendict  # noqa: F401
    finally:
        if missing:
            del collections.Mapping  # type: ignore[attr-defined]
    import experta
    import experta.strategies

    root.handlers[:] = handlers
    return experta


@dataclass(frozen=True, slots=True)
class Planned:
    """A rule and what it waits for: facts of the library, each with its name, or None if absent."""

    rule: Any
    patterns: Sequence[tuple[Any, str | None]]

    def led(self) -> Sequence[tuple[Any, str | None]]:
        """The same, beginning with a fact that is there."""
        if self.patterns and self.patterns[0][1] is not None:
            return self.patterns
        return ((library().InitialFact(), ""), *self.patterns)


Ways = tuple[tuple[Any, ...], ...]
"""Of each pattern of a rule the tests on the way to it, the kind of fact first."""


@cache
def network() -> Any:
    """The class of networks; `planned` of the engine that it is made for are its rules."""
    from experta.matchers import ReteMatcher
    from experta.matchers.rete.check import SameContextCheck
    from experta.matchers.rete.nodes import FeatureTesterNode, NotNode, OrdinaryMatchNode

    class LeanNetwork(ReteMatcher):  # type: ignore[misc]
        def build_network(self) -> None:
            self._touched: dict[Any, None] = {}
            self._joins: list[Any] = []
            same = SameContextCheck()
            for planned, ways in _ways(self.engine.planned):
                last = self._way(ways[0])
                for (_, name), way in zip(planned.led()[1:], ways[1:], strict=True):
                    join = (NotNode if name is None else OrdinaryMatchNode)(same)
                    last.add_child(join, join.activate_left)
                    right = self._way(way)
                    right.add_child(join, join.activate_right)
                    self._joins.append(join)
                    last = join
                end = _end()(planned.rule, self._touched)
                last.add_child(end, end.activate)
            for child in self.root_node.children:
                child.node.sort()

        def _way(self, tests: Sequence[Any]) -> Any:
            """The node at the end of some tests, made as far as it is not there."""
            node = self.root_node
            for depth, test in enumerate(tests):
                known = next((c.node for c in node.children if c.node.matcher is test), None)
                if known is None:
                    known = (FeatureTesterNode if depth else _kind())(test)
                    node.add_child(known, known.activate)
                node = known
            return node

        def _get_conflict_set_nodes(self) -> Any:
            return tuple(self._touched)

        def reset(self) -> None:
            for node in (*self._joins, *self._touched):
                node._reset()
            self._touched.clear()

    return LeanNetwork


def _ways(planned: Iterable[Planned]) -> Iterator[tuple[Planned, Ways]]:
    """Each rule with its ways; what few ask for is looked up first, what many ask is shared."""
    tests = [(its, [list(_tests(*pattern)) for pattern in its.led()]) for its in planned]
    asked = Counter(test for _, each in tests for way in each for test in way[1:])

    def rank(test: Any) -> tuple[bool, int, str]:
        literal = _is_literal(test)
        return not literal, asked[test] if literal else -asked[test], test.what

    for its, each in tests:
        ranked = [(way[0], *sorted(way[1:-1], key=rank), *way[-1:]) for way in each]
        yield its, tuple(tuple(t for t in way if t is not None) for way in ranked)


def _tests(fact: Any, name: str | None) -> Iterator[Any]:
    """The tests of a pattern: its kind, its fields, and last that it is taken down by its name."""
    from experta.matchers.rete.check import FactCapture, FeatureCheck, TypeCheck

    yield TypeCheck(type(fact))
    for key, value in fact.items():
        yield FeatureCheck(key, value)
    yield FactCapture(name) if name else None


def _is_literal(test: Any) -> bool:
    return isinstance(test.how, library().L)


@cache
def _kind() -> Any:
    from experta.matchers.rete.check import FeatureCheck
    from experta.matchers.rete.nodes import FeatureTesterNode

    class KindNode(FeatureTesterNode):  # type: ignore[misc]
        """The test of a fact's kind. Of those below, only what may hold of its fields is asked."""

        def sort(self) -> None:
            """Put the tests below under what they ask for, once all are there."""
            self._at: dict[Any, list[Any]] = {}
            self._plain = []
            for child in self.children:
                match getattr(child.node, "matcher", None):
                    case FeatureCheck() as test if _is_literal(test):
                        self._at.setdefault((test.what, test.how.value), []).append(child)
                    case FeatureCheck() as test:
                        self._at.setdefault(test.what, []).append(child)
                    case _:
                        self._plain.append(child)

        def _activate(self, token: Any) -> None:
            (fact,) = token.data
            if not self.matcher(fact):
                return
            for key, value in fact.items():
                for child in (*self._at.get(key, ()), *self._at.get((key, value), ())):
                    child.callback(token)
            for child in self._plain:
                child.callback(token)

    return KindNode


@cache
def _end() -> Any:
    from experta.matchers.rete.nodes import ConflictSetNode

    class End(ConflictSetNode):  # type: ignore[misc]
        """Where a rule is activated; it is among the `touched` while it remembers anything."""

        def __init__(self, rule: Any, touched: dict[Any, None]) -> None:
            self.rule, self._touched, self.children = rule, touched, ()

        def _reset(self) -> None:
            del self.memory, self.added, self.removed

        def _activate(self, token: Any) -> None:
            if self not in self._touched:
                self._touched[self] = None
                for what in ("memory", "added", "removed"):
                    setattr(self, what, set())
            super()._activate(token)

    return End
