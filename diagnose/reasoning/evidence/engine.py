"""The forward-chaining engine: experta 1.9.4, made to import and made safe, behind plain data.

Nothing outside this module and `network.py` knows experta. What it needs:

- its frozendict uses a name gone since Python 3.10, put back only while that is imported;
- importing it configures the root logger, which is undone;
- its agenda can miss a withdrawn activation among those of equal key, so that a rule fires although
  its absence condition came true. Our strategy looks through all of equal key. Besides, an
  absence is only ever asked of a layer that is finished;
- a condition is a literal or a predicate on a field of one fact;
- equal activations come in no fixed order, so rules of a layer must not depend on each other and
  firings are handed over sorted, and a layer is fired as a whole before the network is asked again;
- an exception leaves it running and deaf: it is set back after every run, whatever came;
- its network is made for rules of any form, keeps each twice and walks itself again and again. Ours
  are plain from the start (`network.py`).
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields
from functools import cache
from itertools import count
from typing import Any

from diagnose.reasoning.evidence.network import Planned, library, network


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


def in_order(firing: Firing) -> tuple[int, str]:
    """Firings stand by layer and name."""
    return (firing.layer, firing.name)


@cache
def _strategy() -> Any:
    """Depth first, and a withdrawn activation is found wherever it lies among equal keys."""

    class SoundStrategy(library().strategies.DepthStrategy):  # type: ignore[misc]
        def _update_agenda(self, agenda: Any, added: Any, removed: Any) -> None:
            for activation in removed:
                activation.key = _key(activation)
                _take_out(agenda.activations, activation)
            for activation in added:
                activation.key = _key(activation)
                insort(agenda.activations, activation)

    return SoundStrategy


@cache
def _rule() -> Any:
    """What fires. What it waits for stands in the network alone, and each is like no other."""

    class PlainRule(library().Rule):  # type: ignore[misc]
        def __new__(cls, production: Production) -> Any:
            its = tuple.__new__(cls)
            its.name, its.derive = production.name, production.derive
            its.salience = -production.layer
            its.bound = tuple(n for n in map(_name, count(), production.patterns) if n)
            return its

        __hash__ = object.__hash__
        __eq__ = object.__eq__

    return PlainRule


def _name(number: int, pattern: Pattern) -> str | None:
    """The name under which a rule finds what a pattern matched, if it is there."""
    return None if pattern.absent else NAMES[number]


NAMES = tuple(f"m{number}" for number in range(99))


@cache
def _engine() -> Any:
    class PlainEngine(library().KnowledgeEngine):  # type: ignore[misc]
        __strategy__ = _strategy()
        __matcher__ = network()

        def __init__(self, planned: Sequence[Planned]) -> None:
            self.planned = planned
            super().__init__()
            del self.planned

        def get_deffacts(self) -> Any:
            return [self._declare_initial_fact]

    return PlainEngine


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
            kind: type(kind.__name__, (library().Fact,), {}) for kind in kinds
        }
        self._log: list[Firing] = []
        self._engine = _engine()([self._planned(production) for production in productions])
        self._engine.reset()

    def run(self, facts: Iterable[WorkingFact]) -> tuple[Firing, ...]:
        """Fire all that follows from the facts; firings sorted by layer and name."""
        self._log = []
        try:
            self._engine.declare(*self._told(facts))
            self._fire_layers()
            return tuple(sorted(self._log, key=in_order))
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
                self._fire(activation.rule, activation.context)

    def _told(self, facts: Iterable[WorkingFact]) -> Iterator[Any]:
        """Those facts that a rule asks for, as the library's; each knows what it was made of."""
        for fact in facts:
            if type(fact) in self._kinds:
                told = self._kinds[type(fact)](**fact.looked_at)
                told.made_of = fact
                yield told

    def _fire(self, rule: Any, found: Mapping[str, Any]) -> None:
        matched = tuple(found[its].made_of for its in rule.bound)
        derived = tuple(rule.derive(matched))
        self._log.append(Firing(rule.name, -rule.salience, matched, derived))
        facts = list(self._told(derived))
        if facts:
            self._engine.declare(*facts)

    def _planned(self, production: Production) -> Planned:
        patterns = enumerate(production.patterns)
        return Planned(
            _rule()(production), [(self._fact(its), _name(n, its)) for n, its in patterns]
        )

    def _fact(self, pattern: Pattern) -> Any:
        return self._kinds[pattern.kind](
            **{
                name: library().P(test) if callable(test) else library().L(test)
                for name, test in pattern.fields
            }
        )
