"""Who pays if it is this cause, and how far a payer's evidence is there: judged here for all.

A cause has one payer. Where several of its exceptions hold, the first of them in the order of the
file counts, so whoever writes a cause puts the exception that outweighs the others first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.knowledge.model import Cause, Evidence, Payer
from diagnose.knowledge.model.conditions import Values


@dataclass(frozen=True, slots=True)
class Pays:
    """Who carries the cost if it is this cause, and why."""

    cause: str
    payer: str
    because: str
    as_a_rule: bool


def pays(cause: Cause, values: Values) -> Pays:
    """Who pays if it is this cause: by the first exception that holds, else as a rule."""
    rule = cause.responsibility
    for other in rule.unless:
        if other.when.holds(values):
            return Pays(cause.id, other.payer, other.because, False)
    return Pays(cause.id, rule.payer, rule.because, True)


@dataclass(frozen=True, slots=True)
class OnFile:
    """What is there of a payer's evidence, in words and in the order of the file.

    `there`: shown by the answers; `missing`: needed and not shown, be it that nothing is known of
    it or that it is known not to be so; `unknown`: those of the missing of which nothing is known;
    `against`: what knocks the payer out; `to_judge`: needed, but shown by no answer.
    """

    there: tuple[str, ...]
    missing: tuple[str, ...]
    unknown: tuple[Evidence, ...]
    against: tuple[str, ...]
    to_judge: tuple[str, ...]


def on_file(payer: Payer, values: Values) -> OnFile:
    """The evidence that a payer's answer needs, held against the answers."""
    shows = [(e, e.when.holds(values)) for e in payer.needs if e.when]
    return OnFile(
        there=_shown((*payer.needs, *payer.helps), values),
        missing=tuple(e.says for e, holds in shows if not holds),
        unknown=tuple(e for e, holds in shows if holds is None),
        against=_shown(payer.falls_if, values),
        to_judge=tuple(e.says for e in payer.needs if not e.when),
    )


def _shown(evidence: Iterable[Evidence], values: Values) -> tuple[str, ...]:
    return tuple(e.says for e in evidence if e.when and e.when.holds(values))
