"""From standings to what follows: remedies, who carries the cost, cautions.

A second run of forward chaining over the standings, with the productions made from the rule base:
first what is barred and which cautions are refused; then what is proposed, which asks for the
absence of what the first layer found. Who pays is judged for each cause by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause
from diagnose.knowledge.model.conditions import Values
from diagnose.reasoning.evidence.chain import (
    FindingState,
    MeasuredValue,
    Trace,
    pattern,
    patterns,
)
from diagnose.reasoning.evidence.engine import (
    AllAnswers,
    Derive,
    Machine,
    Pattern,
    Production,
    WorkingFact,
    has,
    lacks,
)
from diagnose.reasoning.evidence.weigh import Differential
from diagnose.reasoning.payer import Pays, pays


@dataclass(frozen=True, slots=True)
class Barred:
    """A remedy that must not be done, and why; `cause` where it is a cause that forbids it."""

    remedy: str
    because: str
    instead: tuple[str, ...] = ()
    cause: str | None = None


@dataclass(frozen=True)
class ActedOn(WorkingFact):
    """A cause is likely enough that something is done about it; `leads`: and to be named.

    `steps`: which of the ways to mend it, for that hangs on the symptom.
    """

    cause: str
    leads: bool
    steps: int


@dataclass(frozen=True)
class ComplainedOf(WorkingFact):
    """The symptom that is complained of."""

    symptom: str


@dataclass(frozen=True)
class BarsRemedy(WorkingFact):
    """A remedy is barred: `firm`, or should it turn out to be a cause that does not lead."""

    remedy: str
    firm: bool
    because: str
    instead: tuple[str, ...] = ()
    cause: str | None = None

    @property
    def barred(self) -> Barred:
        """What must not be done."""
        return Barred(self.remedy, self.because, self.instead, self.cause)


@dataclass(frozen=True)
class Proposes(WorkingFact):
    """A cause calls for a remedy, in the order in which they are tried; or for a step beside it."""

    remedy: str
    cause: str
    order: int
    beside: bool


@dataclass(frozen=True)
class RefusedCaution(WorkingFact):
    """A caution definitely does not matter here."""

    id: str


@dataclass(frozen=True)
class ShownCaution(WorkingFact):
    """A caution is shown."""

    id: str


@dataclass(frozen=True, slots=True)
class Conclusion:
    """What follows from a differential.

    `proposed`: remedies of the causes in play that nothing bars, for each the causes that call for
    it; `warnings`: what must not be done should it turn out to be a cause that does not lead.
    """

    proposed: tuple[tuple[str, tuple[str, ...]], ...]
    accompanying: tuple[str, ...]
    barred: tuple[Barred, ...]
    warnings: tuple[Barred, ...]
    pays: tuple[Pays, ...]
    cautions: tuple[str, ...]


Steps = tuple[tuple[str, bool], ...]
"""The remedies of a cause in their order, each with whether it is done beside the others."""


class Following:
    """What follows from the causes in play, at some symptoms of a rule base.

    First what is barred and which cautions are refused, then what is proposed. One network for all
    symptoms takes a tenth of the memory of one for each, and as long to make as those of four.
    """

    def __init__(self, base: Base, symptoms: Sequence[str]) -> None:
        self._base = base
        self._symptoms = symptoms
        self._causes = {cause.id: cause for name in symptoms for cause in base.behind(name)}
        self._ways = {
            cause.id: _distinct(_steps(base, cause, s) for s in symptoms if s in cause.behind)
            for cause in self._causes.values()
        }
        self._barring = Machine((*self._bars(), *self._refusals()))
        self._proposing = Machine(tuple(self._productions()))

    def run(self, facts: Sequence[WorkingFact]) -> list[WorkingFact]:
        """What follows from answers, measures, findings, the symptom and the causes in play."""
        barred = [fact for firing in self._barring.run(facts) for fact in firing.derived]
        own = self._proposing.run([*facts, *barred])
        return [*barred, *(fact for firing in own for fact in firing.derived)]

    def acted_on(self, cause: Cause, symptom: str, leads: bool) -> ActedOn:
        """That something is done about a cause at a symptom."""
        ways = self._ways[cause.id]
        return ActedOn(cause.id, leads, ways.index(_steps(self._base, cause, symptom)))

    def _bars(self) -> Iterator[Production]:
        for remedy in self._base.remedies.values():
            for number, bar in enumerate(remedy.barred_when):
                bars = _gives(BarsRemedy(remedy.id, True, bar.because, bar.instead))
                name = f"barred {remedy.id} {number:03}"
                yield Production(name, 1, patterns(self._base, bar.when), bars)

    def _refusals(self) -> Iterator[Production]:
        """A caution with a condition is refused where the condition definitely does not hold."""
        for caution in self._base.cautions.values():
            for test in caution.when.tests if caution.when else ():
                yield Production(
                    f"no caution {caution.id} {test.subject}",
                    1,
                    (pattern(self._base, test, holds=False),),
                    _gives(RefusedCaution(caution.id)),
                )

    def _productions(self) -> Iterator[Production]:
        for cause in self._causes.values():
            yield from self._nevers(cause)
            for number, steps in enumerate(self._ways[cause.id]):
                yield from _proposals(cause, number, steps)
        ways = (steps for its in self._ways.values() for steps in its)
        for remedy in dict.fromkeys(name for steps in ways for name, _ in steps):
            for caution in self._base.remedies[remedy].cautions:
                yield _shows(caution, remedy, has(Proposes, remedy=remedy))
        for symptom in self._symptoms:
            for caution in self._base.symptoms[symptom].cautions:
                yield _shows(caution, symptom, has(ComplainedOf, symptom=symptom))

    def _nevers(self, cause: Cause) -> Iterator[Production]:
        for number, never in enumerate(cause.never):
            for leads, word in ((True, "yes"), (False, "no")):
                yield Production(
                    f"never {cause.id} {number:03} {word}",
                    1,
                    (has(ActedOn, cause=cause.id, leads=leads),),
                    _gives(BarsRemedy(never.remedy, leads, never.because, cause=cause.id)),
                )


class Concluder:
    """Concludes at one symptom; `following` where it is made already."""

    def __init__(self, base: Base, symptom: str, following: Following | None = None) -> None:
        self._base = base
        self._following = following or Following(base, (symptom,))
        self._symptom = symptom

    def run(self, trace: Trace, differential: Differential) -> Conclusion:
        """Everything that follows from where the causes stand."""
        scales = self._base.scales
        possible, in_play = scales.possible_percent / 100, scales.acting.in_play
        leading = differential.leading
        facts = [AllAnswers(dict(trace.values)), *_computed(self._base, trace.values)]
        facts.append(ComplainedOf(self._symptom))
        acted_on = [
            standing
            for standing in differential.standings
            if not standing.ruled_out and (standing.probability >= in_play or standing is leading)
        ]
        facts += [
            self._following.acted_on(s.cause, self._symptom, s.probability >= possible)
            for s in acted_on
        ]
        found = self._following.run(facts)
        paying = tuple(pays(standing.cause, trace.values) for standing in acted_on)
        return self._conclusion(found, differential, paying)

    def _conclusion(
        self, found: list[WorkingFact], differential: Differential, paying: tuple[Pays, ...]
    ) -> Conclusion:
        rank = {s.cause.id: n for n, s in enumerate(differential.standings)}
        proposed: dict[str, list[str]] = {}
        accompanying: dict[str, None] = {}
        calls = [fact for fact in found if isinstance(fact, Proposes)]
        for call in sorted(calls, key=lambda call: (rank[call.cause], call.order)):
            if call.beside:
                accompanying.setdefault(call.remedy)
            else:
                proposed.setdefault(call.remedy, []).append(call.cause)
        bars = [fact for fact in found if isinstance(fact, BarsRemedy)]
        barred = [bar.barred for bar in bars if bar.firm]
        warned = [bar.barred for bar in bars if not bar.firm]
        shown = {fact.id for fact in found if isinstance(fact, ShownCaution)}
        # For as long as it is as it is: loose film comes before any heat gun.
        now = self._base.symptoms[self._symptom].cautions
        return Conclusion(
            proposed=tuple((r, tuple(c)) for r, c in proposed.items()),
            accompanying=tuple(accompanying),
            barred=tuple(dict.fromkeys(sorted(barred, key=_by_remedy))),
            warnings=tuple(dict.fromkeys(sorted(warned, key=_by_remedy))),
            pays=paying,
            cautions=tuple(c for c in dict.fromkeys((*now, *self._base.cautions)) if c in shown),
        )


def _steps(base: Base, cause: Cause, symptom: str) -> Steps:
    mending = [(remedy, False) for remedy in base.mending(cause, symptom)]
    return (*mending, *((remedy, True) for remedy in cause.also))


def _distinct(ways: Iterable[Steps]) -> tuple[Steps, ...]:
    return tuple(dict.fromkeys(ways))


def _proposals(cause: Cause, number: int, steps: Steps) -> Iterator[Production]:
    for order, (remedy, beside) in enumerate(steps):
        yield Production(
            f"propose {cause.id} {number:03} {remedy}",
            2,
            (
                has(ActedOn, cause=cause.id, steps=number),
                lacks(BarsRemedy, remedy=remedy, firm=True),
            ),
            _gives(Proposes(remedy, cause.id, order, beside)),
        )


def _computed(base: Base, values: Values) -> Iterator[WorkingFact]:
    for name, value in values.items():
        if name in base.findings:
            yield FindingState(name, str(value))
        elif name in base.measures:
            yield MeasuredValue(name, value)


def _shows(caution: str, by: str, called: Pattern) -> Production:
    return Production(
        f"caution {caution} for {by}",
        3,
        (called, lacks(RefusedCaution, id=caution)),
        _gives(ShownCaution(caution)),
    )


def _by_remedy(barred: Barred) -> tuple[str, str]:
    return (barred.remedy, barred.because)


def _gives(*facts: WorkingFact) -> Derive:
    return lambda matched: facts
