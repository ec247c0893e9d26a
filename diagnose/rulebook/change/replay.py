"""Worked cases run under one rule base, many at a time: all answers told, or the tool asking.

Cases of one symptom go in step: what follows from their answers is reckoned for all of them
together, then each is asked its next question. It comes to the same as `trial.play`, one by one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer, Answers, known
from diagnose.knowledge.model import Cause
from diagnose.knowledge.model.conditions import Values
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.evidence.columns import Floats, KeptMeasures
from diagnose.reasoning.evidence.follow import Followed, follow
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.tables import Tables, tables
from diagnose.reasoning.payer import pays
from diagnose.reasoning.questions.choose import Chooser
from diagnose.reasoning.questions.opened import opened
from diagnose.reasoning.questions.question import Asked, NextChecks, Stop

MOST_CHECKS = 25
"""Checks after which the asking of one case ends."""

Chances = tuple[tuple[str, float], ...]
"""Causes with their probability, likeliest first; the unlisted one last."""

Tell = Callable[[int], None]
"""Told how many questions more have been chosen."""


@dataclass(frozen=True, slots=True)
class Told:
    """What a case comes to with all its answers told; `payer` of the leading cause, or ''."""

    chances: Chances
    payer: str


@dataclass(frozen=True, slots=True)
class Play:
    """How the asking of a case went: the checks asked, in order.

    `whole`: until the tool stopped by itself, for the reason `stop`, or had asked MOST_CHECKS.
    """

    checks: tuple[str, ...]
    unknown: int
    stop: Stop | None
    whole: bool
    chances: Chances


class Replay:
    """A rule base ready to run cases of any symptom; what is made for one is kept."""

    def __init__(self, base: Base) -> None:
        self.base = base
        self._tables: dict[str, Tables] = {}
        self._matrices: dict[str, Matrix] = {}
        self._choosers: dict[str, Chooser] = {}
        self._measured: KeptMeasures = {}

    def table(self, symptom: str) -> Tables:
        """The tables of a symptom."""
        if symptom not in self._tables:
            self._tables[symptom] = tables(self.base, symptom)
        return self._tables[symptom]

    def _matrix(self, symptom: str) -> Matrix:
        if symptom not in self._matrices:
            self._matrices[symptom] = Matrix(self.base, self.table(symptom))
        return self._matrices[symptom]

    def _chooser(self, symptom: str) -> Chooser:
        if symptom not in self._choosers:
            its = self._matrix(symptom)
            self._choosers[symptom] = Chooser(self.base, self.table(symptom), its)
        return self._choosers[symptom]

    def follow(self, symptom: str, records: Sequence[Answers]) -> Followed:
        """What follows from the answers of some records of a symptom."""
        told = [self.base.known_at(symptom, known(record)) for record in records]
        return follow(self.base, told, self._measured)

    def told(self, symptom: str, records: Sequence[Answers]) -> list[Told]:
        """What each record of a symptom comes to."""
        followed = self.follow(symptom, records)
        chances = self._chances(symptom, followed)
        causes = {cause.id: cause for cause in self.base.behind(symptom)}
        return [
            Told(its, _payer(causes, its, values))
            for its, values in zip(chances, followed.values, strict=True)
        ]

    def _chances(self, symptom: str, followed: Followed) -> list[Chances]:
        names = [cause.id for cause in self.table(symptom).causes]
        scores = self._matrix(symptom).score_state(followed.state)
        return [_ranked(names, row) for row in np.asarray(scores.probabilities)]

    def asked(
        self,
        symptom: str,
        records: Sequence[Answers],
        most: int,
        tell: Tell = lambda questions: None,
    ) -> list[Play]:
        """Ask about each record of a symptom, `most` questions at most; it answers what it knows.

        What it does not know is answered 'unknown'. Intake answers are given first.
        """
        plays = [_AskedRecord(opened(self.base, record), self.base.intake) for record in records]
        while open_ones := [play for play in plays if play.goes_on(most)]:
            followed = self.follow(symptom, [play.given for play in open_ones])
            for play, values, silent in zip(
                open_ones, followed.values, followed.silent, strict=True
            ):
                asked = Asked(values, frozenset(play.given) | silent)
                choice = self._chooser(symptom).choose(asked)
                play.next(choice)
            tell(len(open_ones))
        chances = self._chances(symptom, self.follow(symptom, [play.given for play in plays]))
        return [play.play(its) for play, its in zip(plays, chances, strict=True)]


@dataclass(slots=True)
class _AskedRecord:
    """One record while it is asked."""

    record: Answers
    intake: Sequence[str]
    given: dict[str, Answer] = field(default_factory=dict)
    checks: list[str] = field(default_factory=list)
    stop: Stop | None = None
    ended: bool = False

    def __post_init__(self) -> None:
        self.given = {name: self.record.get(name, UNKNOWN) for name in self.intake}

    def goes_on(self, most: int) -> bool:
        return not self.ended and len(self.checks) < most

    def next(self, choice: NextChecks) -> None:
        if choice.stop is not None or not choice.questions:
            self.stop, self.ended = choice.stop, True
            return
        question = choice.questions[0]
        if question.observable in self.record:
            # A record may give a measure as such; nothing is then asked for its inputs.
            self.given |= dict.fromkeys(question.asks, UNKNOWN)
            self._ask(question.observable)
        else:
            self._ask(question.asks[0])

    def _ask(self, check: str) -> None:
        self.checks.append(check)
        self.given[check] = self.record.get(check, UNKNOWN)

    def play(self, chances: Chances) -> Play:
        unknown = sum(1 for check in self.checks if self.given[check] is UNKNOWN)
        whole = self.ended or len(self.checks) >= MOST_CHECKS
        return Play(tuple(self.checks), unknown, self.stop, whole, chances)


def _ranked(names: Sequence[str], row: Floats) -> Chances:
    """Probabilities by cause, likeliest first, the first by name on a tie; the unlisted last."""
    chances = row.tolist()
    listed = sorted(zip(names, chances, strict=False), key=lambda c: (-round(c[1], 12), c[0]))
    return (*listed, (UNLISTED, chances[-1]))


def _payer(causes: Mapping[str, Cause], chances: Chances, values: Values) -> str:
    """Who pays if it is the likeliest of the listed causes; '' where all are ruled out."""
    leading, chance = chances[0]
    return pays(causes[leading], values).payer if leading != UNLISTED and chance > 0 else ""
