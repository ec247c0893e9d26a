"""Which check to do next: the one that saves most beyond what it takes.

What it costs at the most to end now (`stakes.py`) falls with what a check tells. Its expected fall
over all answers, less where a check may well stay unknown, is what a check saves; what it takes is
its work, a fixed price for being asked at all, and what waiting, harm to the film and distance
from the car add. All are minutes of the shop's work. The check that saves most beyond what it
takes is asked first, and none is asked that takes more than it saves: one rule chooses, orders
and stops. Looking one more check ahead was tried and chose no better.

P(answer) follows from the same tables as the weights, so that the probabilities after each answer,
weighted by the answers' probabilities, give back those before it (exactly so unless the answer
meets a group that has spoken or completes a condition of several checks).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from math import prod

import numpy as np

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Check, MeasureUse
from diagnose.knowledge.model.conditions import Values
from diagnose.knowledge.model.kinds import NumberKind
from diagnose.knowledge.model.words import UNLISTED
from diagnose.measures.evaluate import blame
from diagnose.measures.registry import MEASURES
from diagnose.reasoning.evidence.columns import Columns, Floats, columns, filled
from diagnose.reasoning.evidence.fit import nothing_fits
from diagnose.reasoning.evidence.matrix import Matrix, Scores, class_sums
from diagnose.reasoning.evidence.measure_inputs import fits, inputs, needed, sources
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.evidence.weigh import PER_DECIBAN
from diagnose.reasoning.questions.question import (
    Asked,
    NextChecks,
    PossibleOutcome,
    Question,
    Stop,
    askable,
    at_the_car,
    doing,
)
from diagnose.reasoning.questions.stakes import at_stake, stakes, wrong_ends


class Chooser:
    """Chooses checks for one symptom; made once, used at every answer."""

    def __init__(self, base: Base, table: Tables, matrix: Matrix | None = None) -> None:
        self._base = base
        self._table = table
        self._matrix = matrix or Matrix(base, table)
        classes: dict[tuple[str, str], list[int]] = {}
        for place, cause in enumerate(table.causes):
            classes.setdefault(doing(base, cause, table.symptom), []).append(place)
        self._classes = [*classes.values(), [len(table.causes)]]
        self._speaks = self._that_speak()
        self._wrong = wrong_ends(base, table)
        self._stakes = stakes(self._wrong, np.array(table.priors))
        names = [*(c.id for c in table.causes), UNLISTED]
        self._names = sorted(names)
        self._by_name = np.array([names.index(name) for name in self._names])

    def weighed_by(self, priors: Sequence[float]) -> Chooser:
        """The same with other shares behind the symptom; all that is made once is shared."""
        found = copy(self)
        found._matrix = self._matrix.weighed_by(priors)
        found._stakes = stakes(self._wrong, np.array(priors))
        return found

    def _that_speak(self) -> tuple[str, ...]:
        """What any sign or rule-out here reads, with usual shares, and can be looked at here."""
        named = dict.fromkeys(self._table.rows)
        conditions = [e.sign.when for e in self._table.extras]
        at = self._table.symptom
        conditions += [o.when for c in self._table.causes for o in self._base.rule_outs(c, at)]
        waiting = [s for when in conditions for s in when.subjects()]
        seen: set[str] = set()
        while waiting:
            subject = waiting.pop()
            if subject in self._base.findings and subject not in seen:
                seen.add(subject)
                for rule in self._base.findings[subject].rules:
                    waiting += rule.when.subjects()
            elif subject in self._base.observables:
                named.setdefault(subject)
        return tuple(n for n in named if self._base.observables[n].shares and self._makes_sense(n))

    def _makes_sense(self, name: str) -> bool:
        use = self._base.measures.get(name)
        checks = _inputs(self._base, use) if use else (name,)
        symptom = self._table.symptom
        return all(self._base.makes_sense(self._base.checks[c], symptom) for c in checks)

    def choose(self, asked: Asked) -> NextChecks:
        """Rank the checks that are left, and say whether to stop."""
        now = self._matrix.score(columns(self._base, [asked.values]))
        open_checks = self._open(asked)
        trials = self._trials(asked.values, now, open_checks)
        ranked = self._ranked(open_checks, trials)
        hope = self._tells(asked)
        least = self._base.scales.asking_minutes
        here = [w for w in ranked if self._at_the_car(w.asks)]
        worth = tuple(_question(self._base, w, trials) for w in here if w.saves * hope > w.takes)
        away = (w for w in ranked if not self._at_the_car(w.asks))
        later = tuple(_question(self._base, w, trials) for w in away if w.saves > least)
        stop = self._stop(asked, now.probabilities[0], worth)
        return NextChecks(worth, stop, later, float(self._at_stake(now.probabilities)[0]))

    def _at_the_car(self, asks: Sequence[str]) -> bool:
        return all(at_the_car(self._base.checks[a]) for a in asks)

    def _stop(self, asked: Asked, chances: Floats, worth: Sequence[Question]) -> Stop | None:
        clear = self._base.scales.leads_clearly_percent / 100
        if chances[:-1].max(initial=0.0) >= clear:
            return Stop.CAUSE_SAFE
        if nothing_fits(self._base, self._table, chances.tolist(), asked.values):
            return Stop.NOTHING_FITS
        if worth:
            return None
        same = class_sums(chances[None, :], self._classes)[0][:-1].max(initial=0.0) >= clear
        return Stop.SAME_TO_DO if same else Stop.NOTHING_TELLS

    def _open(self, asked: Asked) -> dict[str, tuple[str, ...]]:
        """What can still be asked, each with the checks to ask for it."""
        found: dict[str, tuple[str, ...]] = {}
        for name in self._speaks:
            asks = self._asks(name, asked)
            if asks:
                found[name] = asks
        return found

    def _asks(self, name: str, asked: Asked) -> tuple[str, ...]:
        use = self._base.measures.get(name)
        if use is None:
            return (name,) if askable(self._base, self._base.checks[name], asked) else ()
        wanted = dict.fromkeys(_inputs(self._base, use))
        missing = tuple(n for n in wanted if n not in asked.values)
        if not missing:
            return self._closer(use, asked)
        known = (n for n in sources(self._base, use).values() if n in asked.values)
        if not all(fits(self._base, use, n, asked.values[n]) for n in known):
            return ()
        open_ones = (askable(self._base, self._base.checks[n], asked) for n in missing)
        return missing if all(open_ones) else ()

    def _closer(self, use: MeasureUse, asked: Asked) -> tuple[str, ...]:
        """What was assumed and can be asked, where it keeps a measure from being evidence."""
        value = asked.values.get(use.id)
        at = use.kind.codes(value) if value is not None else range(0)
        if len(at) == 1:
            return ()
        limit = use.edges[at[0]] if at else None
        closer = blame(MEASURES[use.function], inputs(self._base, use, asked.values), limit)
        if closer is None:
            return ()
        taken = sources(self._base, use)
        ways = dict.fromkeys(taken[n] for n in (closer, *taken) if n in taken)
        checks = [self._base.checks[n] for n in ways if n in self._base.checks]
        numbers = (c for c in checks if isinstance(c.kind, NumberKind))
        return tuple(c.id for c in numbers if askable(self._base, c, asked))[:1]

    def _ranked(self, open_checks: Mapping[str, tuple[str, ...]], trials: _Trials) -> list[_Worth]:
        """What each open check is worth, the best first."""
        worths = (self._worth(name, asks, trials) for name, asks in open_checks.items())
        return sorted(worths, key=lambda w: (w.takes - w.saves, w.observable))

    def _trials(
        self, values: Values, now: Scores, open_checks: Mapping[str, tuple[str, ...]]
    ) -> _Trials:
        """Every answer of every open check tried at once."""
        starts: dict[str, slice] = {}
        at = 0
        for name in open_checks:
            size = len(self._base.observables[name].outcomes)
            starts[name] = slice(at, at + size)
            at += size
        tried = _tried(self._base, values, starts, at)
        scores = self._matrix.score(tried)
        usual = np.array([b for n in starts for b in self._usual(n, values)])
        chances = _chances(now, scores, usual, [its.start for its in starts.values()])
        uncertain = np.stack([entropy(scores.probabilities), self._at_stake(scores.probabilities)])
        before = np.stack([entropy(now.probabilities), self._at_stake(now.probabilities)])
        by_name = np.round(scores.probabilities[:, self._by_name], 12)
        leads = by_name.argmax(axis=1)
        leading = [(self._names[n], float(row[n])) for n, row in zip(leads, by_name, strict=True)]
        return _Trials(starts, chances, uncertain, before, leading)

    def _usual(self, name: str, values: Values) -> Sequence[float]:
        """Usual shares of the outcomes, among those that what is known of a measure leaves."""
        usual = self._base.outcome_shares(name, self._table.symptom)
        if name not in values:
            return usual
        at = self._base.observables[name].kind.outcomes_of(values[name])
        left = sum(usual[code] for code in at)
        return [b / left if code in at else 0.0 for code, b in enumerate(usual)]

    def _worth(self, name: str, asks: tuple[str, ...], trials: _Trials) -> _Worth:
        its = trials.rows[name]
        falls = trials.before[:, 0] - trials.uncertain[:, its] @ trials.chances[its]
        bits, saves = (self._told(asks) * falls).tolist()
        return _Worth(name, asks, bits, saves, self._takes(asks))

    def _at_stake(self, probabilities: Floats) -> Floats:
        return at_stake(probabilities, self._stakes)

    def _tells(self, asked: Asked) -> float:
        """Share of what a check tells that is still to be hoped for from this person, 0 to 1.

        It moves no order, only the end: only who can tell hardly anything is asked less.
        """
        tried = [n for n in asked.closed - asked.aside - asked.before if n in self._base.checks]
        told = sum(name in asked.values for name in tried)
        failed = len(tried) - told
        hope = self._base.scales.asking.untold_in_a_row * (1 + told) / max(1, failed)
        return float(min(1.0, hope) ** 2)

    def _told(self, asks: Sequence[str]) -> float:
        """How often all of these checks can be told."""
        told = self._base.scales.told_percent
        return prod(told.get(self._base.checks[a].place, 100.0) / 100 for a in asks)

    def _takes(self, asks: Sequence[str]) -> float:
        return sum(self.cost(self._base.checks[a]) for a in asks)

    def cost(self, check: Check) -> float:
        """What a check costs, in minutes."""
        scales = self._base.scales
        return (
            check.minutes
            + scales.asking.waiting_percent / 100 * check.waits_minutes
            + scales.asking_minutes
            + scales.harm_minutes.get(check.harm, 0.0)
            + scales.away_minutes.get(check.place, 0.0)
        )


@dataclass(frozen=True, slots=True)
class _Trials:
    """Rows of all tried answers: where each check's lie, and what each would lead to.

    `uncertain`, `before`: (2, rows), the entropy in bits and what is at stake in minutes, after
    each answer and now; `leading`: which cause then leads, by its name where two are equal, and
    its probability.
    """

    rows: Mapping[str, slice]
    chances: Floats
    uncertain: Floats
    before: Floats
    leading: Sequence[tuple[str, float]]


@dataclass(frozen=True, slots=True)
class _Worth:
    """What asking a check is worth, before its answers are told; as `Question` says it."""

    observable: str
    asks: tuple[str, ...]
    bits: float
    saves: float
    takes: float


def _question(base: Base, worth: _Worth, trials: _Trials) -> Question:
    """A check worth asking, with what each of its answers would lead to."""
    its = trials.rows[worth.observable]
    labels = base.observables[worth.observable].kind.outcome_labels
    outcomes = tuple(
        PossibleOutcome(label, chance, *leading)
        for label, chance, leading in zip(
            labels, trials.chances[its].tolist(), trials.leading[its], strict=True
        )
    )
    return Question(worth.observable, worth.asks, worth.bits, worth.saves, worth.takes, outcomes)


def _chances(now: Scores, tried: Scores, usual: Floats, starts: Sequence[int]) -> Floats:
    """P(answer): over the causes, what each makes of the answers, given what is known.

    `starts`: the first row of each check; its answers stand from there to the next.
    """
    if not starts:
        return usual
    gain = np.exp(PER_DECIBAN * (tried.decibans - now.decibans[0]))
    gain[tried.out] = 0.0
    likely = usual[:, None] * gain
    sums = _of_check(likely, starts)
    likely = np.divide(likely, sums, out=np.zeros_like(likely), where=sums > 0)
    before = now.probabilities[0]
    chances = likely @ before[:-1] + usual * before[-1]
    return np.asarray(chances / _of_check(chances, starts))


def _of_check(rows: Floats, starts: Sequence[int]) -> Floats:
    """On each row the sum over all rows of its check."""
    sizes = np.diff([*starts, len(rows)])
    return np.repeat(np.add.reduceat(rows, starts, axis=0), sizes, axis=0)


def entropy(probabilities: Floats) -> Floats:
    """Entropy of each row, in bits."""
    logs = np.log2(probabilities, out=np.zeros_like(probabilities), where=probabilities > 0)
    return np.asarray(-(probabilities * logs).sum(axis=1))


def _inputs(base: Base, use: MeasureUse) -> Iterable[str]:
    """The checks without which a measure cannot be taken."""
    for source in needed(base, use):
        if source in base.checks:
            yield source
        else:
            yield from _inputs(base, base.measures[source])


def _tried(base: Base, values: Values, rows: Mapping[str, slice], total: int) -> Columns:
    """The known values on every row, and each open check's answers on its own rows."""
    known = columns(base, [values]).take(np.zeros(total, dtype=np.intp))
    return filled(base, known, [(n, its, base.observables[n].outcomes) for n, its in rows.items()])
