"""Forward chaining without an engine: a loop over layers, as the definition reads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import product

from diagnose.reasoning.evidence.engine import Firing, Pattern, Production, WorkingFact


class PlainLoop:
    """Runs productions as `Machine` does: rules of a layer see what the layers before derived."""

    def __init__(self, productions: Sequence[Production]) -> None:
        self._productions = sorted(productions, key=lambda p: (p.layer, p.name))

    def run(self, facts: Iterable[WorkingFact]) -> tuple[Firing, ...]:
        """All that follows from the facts, sorted by layer and name."""
        known = dict.fromkeys(facts)
        fired: list[Firing] = []
        for layer in sorted({production.layer for production in self._productions}):
            now = [f for p in self._productions if p.layer == layer for f in _firings(p, known)]
            known.update(dict.fromkeys(fact for firing in now for fact in firing.derived))
            fired += now
        return tuple(fired)


def _firings(production: Production, known: Iterable[WorkingFact]) -> Iterator[Firing]:
    """Once for each way to choose a fact for every pattern that asks for one."""
    wanted = [pattern for pattern in production.patterns if not pattern.absent]
    unwanted = [pattern for pattern in production.patterns if pattern.absent]
    if any(_fits(fact, pattern) for pattern in unwanted for fact in known):
        return
    for matched in product(*([f for f in known if _fits(f, p)] for p in wanted)):
        derived = tuple(production.derive(matched))
        yield Firing(production.name, production.layer, matched, derived)


def _fits(fact: WorkingFact, pattern: Pattern) -> bool:
    if type(fact) is not pattern.kind:
        return False
    fields = fact.looked_at
    return all(
        name in fields and (want(fields[name]) if callable(want) else fields[name] == want)
        for name, want in pattern.fields
    )
