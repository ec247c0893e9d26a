"""The forward-chaining engine: experta 1.9.4, made to import and made safe, behind plain data.

Nothing outside this module knows experta. What it needs:

- its frozendict uses a name gone since Python 3.10, put back only while that is imported;
- importing it configures the root logger, which is undone;
- its agenda can miss a withdrawn activation among those of equal key, so that a rule fires although
  its absence condition came true. Our strategy looks through all of equal key. Besides, an
  absence is only ever asked of a layer that is finished;
- a condition is a literal or a predicate on a field of one fact. Rules are named with a prefix,
  since a rule called `facts` or `reset` would break the engine in silence;
- equal activations come in no fixed order, so rules of a layer must not depend on each other and
  firings are handed over sorted, and a layer is fired as a whole before the network is asked again;
- an exception leaves it running and deaf: it is set back after every run, whatever came;
- its network is made for rules of any form and walks itself again and again. Ours are plain from
  the start, and what it would look for is looked for once.
"""

from __future__ import annotations

import collections
import collections.abc
import logging
from bisect import bisect_left, insort
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields
from functools import cache
from typing import Any


@cache
def _experta() -> Any:
    """The library, imported when the first machine is built."""
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


@dataclass(frozen=True)
class WorkingFact:
    """Something that is known. Its kind is its class; patterns look at its fields, all hashable."""

    @property
    def looked_at(self) -> Mapping[str, Any]:
        """The fields by name."""
        return {part.name: getattr(self, part.name) for part in fields(self)}


@dataclass(frozen=True)
class AllAnswers(WorkingFact):
    """All that was answered, as one fact: its fields are the checks."""

    values: Mapping[str, Any] = field(hash=False)

    @property
    def looked_at(self) -> Mapping[str, Any]:
        """The answers by check."""
        return self.values


Wanted = str | int | Callable[[Any], bool]
"""What a field must be: this very value (a flag is one), or such that this says yes."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """A fact of this kind whose fields are as said.

    `absent` turns it round: there is no such fact. A field that is not there never fits.
    """

    kind: type[WorkingFact]
    fields: tuple[tuple[str, Wanted], ...] = ()
    absent: bool = False


def has(kind: type[WorkingFact], **fields: Wanted) -> Pattern:
    """A pattern for a fact that is there."""
    return Pattern(kind, tuple(fields.items()))


def lacks(kind: type[WorkingFact], **fields: Wanted) -> Pattern:
    """A pattern for a fact that is not there; its layer must be finished."""
    return Pattern(kind, tuple(fields.items()), absent=True)


Derive = Callable[[tuple[WorkingFact, ...]], Iterable[WorkingFact]]


@dataclass(frozen=True, slots=True)
class Production:
    """A rule: fires once for each way in which its patterns match, layer by layer."""

    name: str
    layer: int
    patterns: tuple[Pattern, ...]
    derive: Derive


@dataclass(frozen=True, slots=True)
class Firing:
    """That a rule fired, the facts that it matched and those that it derived."""

    name: str
    layer: int
    matched: tuple[WorkingFact, ...]
    derived: tuple[WorkingFact, ...]


@cache
def _strategy() -> Any:
    """Depth first, and a withdrawn activation is found wherever it lies among equal keys."""

    class SoundStrategy(_experta().strategies.DepthStrategy):  # type: ignore[misc]
        def _update_agenda(self, agenda: Any, added: Any, removed: Any) -> None:
            for activation in removed:
                activation.key = _key(activation)
                _take_out(agenda.activations, activation)
            for activation in added:
                activation.key = _key(activation)
                insort(agenda.activations, activation)

    return SoundStrategy


@cache
def _network() -> Any:
    """A network for plain rules: its nodes are kept, so that none is looked for or reset twice."""
    from experta.matchers import ReteMatcher
    from experta.matchers.rete.check import SameContextCheck
    from experta.matchers.rete.nodes import ConflictSetNode, NotNode, OrdinaryMatchNode

    class PlainNetwork(ReteMatcher):  # type: ignore[misc]
        def __init__(self, engine: Any) -> None:
            super().__init__(engine)
            self._nodes = tuple({id(node): node for node in _below(self.root_node)}.values())
            self._ends = tuple(n for n in self._nodes if isinstance(n, ConflictSetNode))

        @staticmethod
        def prepare_ruleset(engine: Any) -> Any:
            """The library would bring every rule into a normal form, which takes longest of all."""
            first = _experta().InitialFact()
            return {
                rule.new_conditions(first, *rule)
                if not rule or isinstance(rule[0], _experta().NOT)
                else rule.new_conditions(*rule)
                for rule in engine.get_rules()
            }

        @staticmethod
        def build_beta_part(ruleset: Any, alpha_terminals: Any) -> None:
            """Join the patterns of each rule, from left to right."""
            for rule in ruleset:
                last = alpha_terminals[rule[0]]
                for pattern in rule[1:]:
                    absent = isinstance(pattern, _experta().NOT)
                    join = (NotNode if absent else OrdinaryMatchNode)(SameContextCheck())
                    last.add_child(join, join.activate_left)
                    right = alpha_terminals[pattern[0] if absent else pattern]
                    right.add_child(join, join.activate_right)
                    last = join
                end = ConflictSetNode(rule)
                last.add_child(end, end.activate)

        def _get_conflict_set_nodes(self) -> Any:
            return [node for node in self._ends if node.added or node.removed]

        def reset(self) -> None:
            for node in self._nodes:
                node._reset()

    return PlainNetwork


def _below(node: Any) -> Iterator[Any]:
    """A node and all that hang on it, some of them more than once."""
    yield node
    for child in node.children:
        yield from _below(child.node)


def _key(activation: Any) -> Any:
    numbers = sorted((fact["__factid__"] for fact in activation.facts), reverse=True)
    return (activation.rule.salience, numbers)


def _take_out(activations: list[Any], gone: Any) -> None:
    at = bisect_left(activations, gone)
    while at < len(activations) and activations[at].key == gone.key:
        if activations[at] == gone:
            del activations[at]
            return
        at += 1


class Machine:
    """A set of productions, built once; `run` starts afresh each time."""

    def __init__(self, productions: Sequence[Production]) -> None:
        kinds = {pattern.kind for p in productions for pattern in p.patterns}
        self._kinds: dict[type[WorkingFact], Any] = {
            kind: type(kind.__name__, (_experta().Fact,), {}) for kind in kinds
        }
        self._log: list[Firing] = []
        rules = {f"rule_{number}": self._rule(p) for number, p in enumerate(productions)}
        mended = {
            "__strategy__": _strategy(),
            "__matcher__": _network(),
            "get_deffacts": lambda engine: [engine._declare_initial_fact],
        }
        self._engine = type("Rules", (_experta().KnowledgeEngine,), {**mended, **rules})()
        self._engine.reset()

    def run(self, facts: Iterable[WorkingFact]) -> tuple[Firing, ...]:
        """Fire all that follows from the facts; firings sorted by layer and name."""
        self._log = []
        try:
            self._engine.declare(*self._told(facts))
            self._fire_layers()
            return tuple(sorted(self._log, key=lambda f: (f.layer, f.name)))
        finally:
            self._engine.reset()

    def _fire_layers(self) -> None:
        """Fire all of the highest layer, ask what that changed, and so on until nothing is left.

        The engine's own loop asks every rule again after each single firing. Since rules of a layer
        do not depend on each other, asking once a layer gives the same firings.
        """
        engine = self._engine
        engine.running = True
        while True:
            added, removed = engine.get_activations()
            engine.strategy.update_agenda(engine.agenda, added, removed)
            waiting = engine.agenda.activations
            if not waiting:
                return
            layer = waiting[-1].rule.salience
            while waiting and waiting[-1].rule.salience == layer:
                activation = waiting.pop()
                found = {k: v for k, v in activation.context.items() if not k.startswith("__")}
                activation.rule(engine, **found)

    def _told(self, facts: Iterable[WorkingFact]) -> Iterator[Any]:
        """Those facts that a rule asks for, as the library's; each knows what it was made of."""
        for fact in facts:
            if type(fact) in self._kinds:
                told = self._kinds[type(fact)](**fact.looked_at)
                told.made_of = fact
                yield told

    def _rule(self, production: Production) -> Any:
        # Only what firing needs is kept: of every symptom there are hundreds of rules.
        name, layer, derive = production.name, production.layer, production.derive
        bound = tuple(f"m{n}" for n, its in enumerate(production.patterns) if not its.absent)

        def fire(engine: Any, **found: Any) -> None:
            matched = tuple(found[its].made_of for its in bound)
            derived = tuple(derive(matched))
            self._log.append(Firing(name, layer, matched, derived))
            facts = list(self._told(derived))
            if facts:
                engine.declare(*facts)

        patterns = [self._pattern(n, pattern) for n, pattern in enumerate(production.patterns)]
        return _experta().Rule(*patterns, salience=-layer)(fire)

    def _pattern(self, number: int, pattern: Pattern) -> Any:
        fields = {
            name: _experta().P(test) if callable(test) else _experta().L(test)
            for name, test in pattern.fields
        }
        fact = self._kinds[pattern.kind](**fields)
        if pattern.absent:
            return _experta().NOT(fact)
        fact.__bind__ = f"m{number}"
        return fact
