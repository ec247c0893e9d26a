"""A piece of a table in, the same rows classified out: the engine of the claims command."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from threading import Lock
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.decision.decide import (
    INSPECT,
    Deciding,
    Hanging,
)
from diagnose.claims.decision.grounds import Signs
from diagnose.claims.decision.measure_symptoms import bearing
from diagnose.claims.decision.missing import ToAsk
from diagnose.claims.decision.outside import Unweighed, unweighed
from diagnose.claims.decision.questions import Questions
from diagnose.claims.decision.situation import RowSituation, Why
from diagnose.claims.decision.weighing import Weighed, Weighing, joined
from diagnose.claims.mapping.mapping import Mapped
from diagnose.claims.mapping.reading import Claims
from diagnose.claims.mapping.recognise import Recogniser
from diagnose.claims.mapping.remarks import with_remarks
from diagnose.claims.policy.cover import ORIGINS, Covered, Covering
from diagnose.claims.policy.policy import Policy
from diagnose.claims.results.results import FOR_SUMMARY, RESULTS, Results, Versions
from diagnose.claims.table.source import Piece, RowAside
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import CheckPlace, Contradiction, Origin
from diagnose.reasoning.evidence.columns import (
    Columns,
    KeptMeasures,
    grouped,
    with_measures,
    with_shown,
)
from diagnose.reasoning.evidence.state import State

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

BY_ROW = (
    *("causes", "chances", "unlisted", "origin", "origin_chance", "payer", "payer_chance"),
    *("paying", "plain", "origins"),
)
"""What of `Weighed` is plain arrays."""

NOTHING_WRONG = ORIGINS.index(Origin.NOTHING_WRONG.value)

MEASURED = 50_000
"""Measures kept, so that memory stays flat over a file without end."""


@dataclass(frozen=True, slots=True)
class Decided:
    """The rows of a piece that were decided, with the clerk's cells, and those set aside."""

    number: int
    frame: pl.DataFrame
    aside: tuple[RowAside, ...]


class Classifier:
    """Decides pieces under one rule base, one mapping and one policy."""

    def __init__(
        self,
        base: Base,
        mapping: Mapped,
        policy: Policy,
        program: str,
        today: date | None = None,
    ) -> None:
        self._base = with_remarks(base) if mapping.has_words else base
        self._policy = policy
        self._mapping = mapping
        self._recogniser = Recogniser(base, mapping, today)
        self._covering = Covering(base, policy)
        self._deciding = Deciding(self._base, policy, self._covering)
        self._questions = Questions(self._base, policy, self._deciding.needs, self._deciding.bears)
        healthy = {
            c.responsibility.payer for c in base.causes.values() if c.origin == Origin.NOTHING_WRONG
        }
        self._nothing_wrong = np.array([payer in healthy for payer in base.payers])
        self._lock = Lock()
        self._weighings: dict[str, Weighing] = {}
        self._speaks: dict[tuple[str, int], Bools] = {}
        self._bearing = bearing(self._base, policy)
        self._measured: KeptMeasures = {}
        self._versions = Versions(base.version, policy.version, program)
        self._words = Results(self._base, policy, self._deciding.needs)

    def decide(self, piece: Piece) -> Decided:
        """Every readable row decided."""
        with self._lock:
            claims, aside = self._recogniser.read(piece)
        frame = _renamed(claims.frame)
        if frame.height:
            frame = pl.concat([frame, self._results(claims)], how="horizontal")
        else:
            frame = pl.concat([frame, self._words.nothing()], how="horizontal")
        return Decided(piece.number, frame, aside)

    def _results(self, claims: Claims) -> pl.DataFrame:
        claims = replace(claims, columns=self._columns(claims))
        state = State(self._base, claims.columns.known())
        weighed = self._weighed(claims, state)
        terms = self._covering.terms(claims)
        cover = self._covering.of(claims, terms, weighed.payer, weighed.origins)
        contradictions, stops = self._contradictions(claims, state)
        outside = unweighed(claims, list(self._base.symptoms), self._speaking)
        situation = self._situation(claims, weighed, stops, outside)
        evidence = self._deciding.evidence(self._as_claimed(claims, state, cover), situation, cover)
        decision, why = self._deciding.decide(situation, cover, evidence)
        hanging = Hanging(decision, why, weighed.causes[0], weighed.payer, cover, evidence.needs)
        because = self._deciding.reasons(hanging, evidence)
        because = outside.quoted(because, hanging.why == Why.OUTSIDE)
        ask_first, asked = self._questions.of(claims, state, hanging, situation, weighed.asked)
        decision = np.where(hanging.stuck & ask_first.is_null().to_numpy(), INSPECT, decision)
        return self._words.frame(
            claims,
            weighed,
            cover,
            evidence,
            np.add(*self._deciding.unanswered(situation, cover)),
            decision,
            because,
            contradictions,
            (ask_first, asked),
            self._versions,
        )

    def _as_claimed(self, claims: Claims, state: State, cover: Covered) -> State:
        """What holds of the rows for terms that speak of the age: as terms count, not as seen."""
        age = self._base.role("age")
        if age not in self._deciding.subjects or age not in claims.columns.numbers:
            return state
        low, high = claims.columns.numbers[age]
        at = tuple(np.where(np.isnan(cover.age), end, cover.age) for end in (low, high))
        numbers = {**claims.columns.numbers, age: (at[0], at[1])}
        return State(self._base, replace(claims.columns, numbers=numbers))

    def _columns(self, claims: Claims) -> Columns:
        """The values with what symptoms show, and measures."""
        columns = claims.columns
        if len(self._measured) > MEASURED:
            # Another thread may be reading the old one: it is left to that thread, not emptied.
            self._measured = {}
        where = {name: its.take(claims.symptom) for name, its in self._bearing.items()}
        for number, symptom in enumerate(self._base.symptoms.values()):
            if symptom.shows and (here := claims.symptom == number).any():
                columns = with_shown(self._base, symptom.id, columns, here)
        return with_measures(self._base, columns, self._measured, where)

    def _weighed(self, claims: Claims, state: State) -> Weighed:
        """All rows, symptom by symptom, put back in order."""
        parts: list[Weighed] = []
        order, runs = grouped(claims.symptom)
        names = list(self._base.symptoms)
        tried = {name: its for name, its in claims.tried.items() if its.any()}
        for symptom, start, stop in runs:
            rows = order[start:stop]
            its = {name: where.take(rows) for name, where in tried.items()}
            parts.append(self._weighing(names[symptom]).weigh(state.part(rows), its))
        back = np.empty_like(order)
        back[order] = np.arange(len(order))
        return _together(parts, back)

    def _weighing(self, symptom: str) -> Weighing:
        if symptom not in self._weighings:
            self._weighings[symptom] = Weighing(self._base, symptom)
        return self._weighings[symptom]

    def _speaking(self, check: str, at: Iterable[int]) -> Bools:
        """Which answers of a check speak for something at some symptoms: (all symptoms, answers).

        Whatever the terms look at speaks everywhere.
        """
        names, labels = list(self._base.symptoms), self._base.checks[check].labels
        found = np.zeros((len(names), len(labels)), dtype=bool)
        for number in at:
            key = (check, number)
            if key not in self._speaks:
                self._speaks[key] = self._weighing(names[number]).speaking(check)
            found[number] = self._speaks[key]
        return found | (check in self._deciding.subjects)

    def _contradictions(self, claims: Claims, state: State) -> tuple[pl.Series, Bools]:
        """What cannot both be right, in words, and where it stops a decision.

        Answers read out of words stop none: one of them may be misread.
        """
        rows, texts = [], []
        stops = np.zeros(claims.columns.rows, dtype=bool)
        own = [(c, None) for c in self._base.contradictions.values()]
        every: list[tuple[Contradiction, int | None]] = [*own]
        for number, symptom in enumerate(self._base.symptoms):
            of = self._base.seen_otherwise(symptom)
            every += [(contradiction, number) for contradiction in of]
        for contradiction, symptom_number in every:
            if not state.can_hold(contradiction.when):
                continue
            where = state.holds(contradiction.when)
            if symptom_number is not None:
                where = where & (claims.symptom == symptom_number)
            rows.append(np.flatnonzero(where))
            texts.append(contradiction.because)
            for subject in contradiction.when.subjects():
                where = where & ~claims.by_words.get(subject, ~where)
            stops |= where
        return joined(rows, texts, claims.columns.rows), stops

    def _situation(
        self, claims: Claims, weighed: Weighed, stops: Bools, outside: Unweighed
    ) -> RowSituation:
        payers = list(self._base.payers)
        nobody = [payers.index(p) for p in self._base.roles.get("nobody", ())]
        paper = [c.place == CheckPlace.PAPERWORK for c in self._base.checks.values()]
        first = weighed.asked.checks[0]
        days = claims.days
        notice = (days.claimed.first - days.seen.last).astype(np.float64)
        notice[np.isnat(days.claimed.first) | np.isnat(days.seen.last)] = np.nan
        healthy = self._nothing_wrong[weighed.payer] & (weighed.origin == NOTHING_WRONG)
        return RowSituation(
            odd_days=np.logical_or.reduce([*claims.odd.values()]),
            contradicted=stops,
            symptom_read=claims.symptom_read,
            asks_paper=np.array([*paper, False])[first],
            nobody=np.isin(weighed.payer, nobody),
            payer=weighed.payer,
            cause=weighed.causes[0],
            origin=weighed.origins.argmax(axis=0),
            symptom=claims.symptom.astype(np.int64),
            payer_chance=weighed.payer_chance,
            paying=weighed.paying,
            plain=weighed.plain,
            no_fault=np.where(healthy, weighed.plain[weighed.payer, np.arange(len(first))], 0.0),
            cause_chance=weighed.chances[0],
            grounds=(weighed.signs.speaks_for[0] > 0) & (weighed.signs.stand | ~outside.named),
            told=np.broadcast_to(claims.told, first.shape),
            second_owner=claims.second_owner,
            notice_days=notice,
            unweighed=outside.rows,
        )


def _renamed(frame: pl.DataFrame) -> pl.DataFrame:
    """The clerk's columns, those named like a result marked as given."""
    taken = set(frame.columns) & {*RESULTS, *FOR_SUMMARY}
    return frame.rename({name: f"given {name}" for name in sorted(taken)})


def _together(parts: Sequence[Weighed], order: NDArray[np.intp]) -> Weighed:
    """Parts in the order of the rows."""

    def joined_(its: Sequence[NDArray[Any]]) -> NDArray[Any]:
        return np.concatenate(its, axis=-1).take(order, axis=-1)

    def each(name: str) -> NDArray[Any]:
        return joined_([getattr(p, name) for p in parts])

    signs = [p.signs for p in parts]
    first = np.cumsum([0, *(len(s.texts) for s in signs)]).tolist()
    return Weighed(
        **{name: each(name) for name in BY_ROW},
        signs=Signs(
            joined_([s.speaks_for + n for s, n in zip(signs, first, strict=False)]),
            joined_([s.against + n for s, n in zip(signs, first, strict=False)]),
            pl.concat([s.texts for s in signs], rechunk=True),
            np.concatenate([s.found for s in signs]),
        ),
        asked=ToAsk(
            joined_([p.asked.checks for p in parts]),
            joined_([p.asked.hundredths for p in parts]),
        ),
    )
