"""From standings to what follows: remedies, who carries the cost, cautions.

A second run of forward chaining over the standings, with the productions made from the rule base:
first what is barred and which cautions are refused; then what is proposed, which asks for the
absence of what the first layer found. Who pays is judged for each cause by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause
from diagnose.knowledge.model.conditions import Values
from diagnose.reasoning.evidence.chain import (
    ANSWERS,
    FOUND_ITEM,
    MEASURED,
    Trace,
    pattern,
    patterns,
)
from diagnose.reasoning.evidence.engine import (
    Derive,
    EngineFact,
    Machine,
    Pattern,
    Production,
    has,
    lacks,
)
from diagnose.reasoning.evidence.weigh import Differential
from diagnose.reasoning.payer import Pays, pays

STANDING = "Standing"
BARRED, REFUSED = "Barred", "RefusedCaution"
PROPOSED, SHOWN = "Proposed", "Shown"


@dataclass(frozen=True, slots=True)
class Barred:
    """A remedy that must not be done, and why; `cause` where it is a cause that forbids it."""

    remedy: str
    because: str
    instead: tuple[str, ...] = ()
    cause: str | None = None


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


class Concluder:
    """The productions of conclusions for one symptom, ready to run."""

    def __init__(self, base: Base, symptom: str) -> None:
        self._base = base
        self._symptom = symptom
        self._causes = base.behind(symptom)
        self._machine = Machine(tuple(self._productions()))

    def run(self, trace: Trace, differential: Differential) -> Conclusion:
        """Everything that follows from where the causes stand."""
        scales = self._base.scales
        possible, in_play = scales.possible_percent / 100, scales.acting.in_play
        leading = differential.leading
        items = [EngineFact(ANSWERS, dict(trace.values)), *_computed(self._base, trace.values)]
        acted_on = [
            standing
            for standing in differential.standings
            if not standing.ruled_out and (standing.probability >= in_play or standing is leading)
        ]
        for standing in acted_on:
            leads = standing.probability >= possible
            items.append(
                EngineFact(
                    STANDING, {"cause": standing.cause.id, "leads": "yes" if leads else "no"}
                )
            )
        found = [item for firing in self._machine.run(items) for item in firing.derived]
        paying = tuple(pays(standing.cause, trace.values) for standing in acted_on)
        return self._conclusion(found, differential, paying)

    def _conclusion(
        self, found: list[EngineFact], differential: Differential, paying: tuple[Pays, ...]
    ) -> Conclusion:
        rank = {s.cause.id: n for n, s in enumerate(differential.standings)}
        proposed: dict[str, list[str]] = {}
        accompanying: dict[str, None] = {}
        for item in sorted(
            (i for i in found if i.kind == PROPOSED), key=lambda i: (rank[i["cause"]], i["order"])
        ):
            if item["step"] == "remedy":
                proposed.setdefault(item["remedy"], []).append(item["cause"])
            else:
                accompanying.setdefault(item["remedy"])
        barred = [_barred(i) for i in found if i.kind == BARRED and i["firm"] == "yes"]
        warned = [_barred(i) for i in found if i.kind == BARRED and i["firm"] == "no"]
        return Conclusion(
            proposed=tuple((r, tuple(c)) for r, c in proposed.items()),
            accompanying=tuple(accompanying),
            barred=tuple(dict.fromkeys(sorted(barred, key=_by_remedy))),
            warnings=tuple(dict.fromkeys(sorted(warned, key=_by_remedy))),
            pays=paying,
            cautions=tuple(
                c for c in self._base.cautions if c in {i["id"] for i in found if i.kind == SHOWN}
            ),
        )

    def _productions(self) -> Iterator[Production]:
        for cause in self._causes:
            yield from self._nevers(cause)
            yield from self._proposals(cause)
        for remedy in self._base.remedies.values():
            for number, bar in enumerate(remedy.barred_when):
                item = _bar(remedy.id, bar.because, bar.instead, "", "yes")
                yield Production(
                    f"barred {remedy.id} {number:03}",
                    1,
                    patterns(self._base, bar.when),
                    _gives(item),
                )
            for caution in remedy.cautions:
                yield _shows(caution, remedy.id, has(PROPOSED, remedy=remedy.id))
        for caution in self._base.symptoms[self._symptom].cautions:
            yield _shows(caution, self._symptom, has(ANSWERS))
        yield from self._refusals()

    def _refusals(self) -> Iterator[Production]:
        """A caution with a condition is refused where the condition definitely does not hold."""
        for caution in self._base.cautions.values():
            for test in caution.when.tests if caution.when else ():
                yield Production(
                    f"no caution {caution.id} {test.subject}",
                    1,
                    (pattern(self._base, test, holds=False),),
                    _gives(EngineFact(REFUSED, {"id": caution.id})),
                )

    def _nevers(self, cause: Cause) -> Iterator[Production]:
        for number, never in enumerate(cause.never):
            for leads in ("yes", "no"):
                item = _bar(never.remedy, never.because, (), cause.id, leads)
                yield Production(
                    f"never {cause.id} {number:03} {leads}",
                    1,
                    (has(STANDING, cause=cause.id, leads=leads),),
                    _gives(item),
                )

    def _proposals(self, cause: Cause) -> Iterator[Production]:
        steps = [(r, "remedy") for r in self._base.mending(cause, self._symptom)] + [
            (r, "beside") for r in cause.also
        ]
        for order, (remedy, step) in enumerate(steps):
            item = EngineFact(
                PROPOSED, {"remedy": remedy, "cause": cause.id, "order": order, "step": step}
            )
            yield Production(
                f"propose {cause.id} {remedy}",
                2,
                (has(STANDING, cause=cause.id), lacks(BARRED, remedy=remedy, firm="yes")),
                _gives(item),
            )


def _computed(base: Base, values: Values) -> Iterator[EngineFact]:
    for name, value in values.items():
        if name in base.findings:
            yield EngineFact(FOUND_ITEM, {"id": name, "state": value})
        elif name in base.measures:
            yield EngineFact(MEASURED, {"id": name, "value": value})


def _bar(remedy: str, because: str, instead: tuple[str, ...], cause: str, firm: str) -> EngineFact:
    fields = {
        "remedy": remedy,
        "because": because,
        "instead": " ".join(instead),
        "cause": cause,
        "firm": firm,
    }
    return EngineFact(BARRED, fields)


def _shows(caution: str, by: str, called: Pattern) -> Production:
    return Production(
        f"caution {caution} for {by}",
        3,
        (called, lacks(REFUSED, id=caution)),
        _gives(EngineFact(SHOWN, {"id": caution})),
    )


def _barred(item: EngineFact) -> Barred:
    return Barred(
        item["remedy"], item["because"], tuple(item["instead"].split()), item["cause"] or None
    )


def _by_remedy(barred: Barred) -> tuple[str, str]:
    return (barred.remedy, barred.because)


def _gives(*items: EngineFact) -> Derive:
    return lambda matched: items
