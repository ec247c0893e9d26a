"""A piece of a table in, the same rows classified out: the engine of the claims command."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from threading import Lock

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.cover import Covering
from diagnose.claims.decide import (
    INSPECT,
    NO_PAYER,
    Deciding,
    Hanging,
    Situation,
)
from diagnose.claims.grounds import MOST_AGAINST, MOST_FOR, Texts
from diagnose.claims.mapping import Mapped
from diagnose.claims.policy import Policy
from diagnose.claims.questions import Questions
from diagnose.claims.reading import Claims
from diagnose.claims.recognise import Recogniser
from diagnose.claims.remarks import with_remarks
from diagnose.claims.results import FOR_SUMMARY, RESULTS, Results, Versions
from diagnose.claims.source import Aside, Piece
from diagnose.claims.weighing import Weighed, Weighing, joined
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Place
from diagnose.reasoning.columns import Columns, Kept, grouped, with_measures
from diagnose.reasoning.matrix import State

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Decided:
    """The rows of a piece that were decided, with the clerk's cells, and those set aside."""

    number: int
    frame: pl.DataFrame
    aside: tuple[Aside, ...]


class Classifier:
    """Decides pieces under one rule base, one mapping and one policy."""

    def __init__(self, base: Base, mapping: Mapped, policy: Policy, program: str) -> None:
        self._base = with_remarks(base)
        self._policy = policy
        self._mapping = mapping
        self._recogniser = Recogniser(base, mapping)
        self._covering = Covering(base, policy)
        self._deciding = Deciding(self._base, policy, self._covering)
        self._questions = Questions(self._base, policy)
        self._lock = Lock()
        self._weighings: dict[str, Weighing] = {}
        self._measured: Kept = {}
        self._versions = Versions(base.version, policy.version, program)
        self._words = Results(self._base, policy)

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
        weighed = self._weighed(claims)
        state = State(self._base, claims.columns)
        terms = self._covering.terms(claims)
        cover = self._covering.of(claims, terms, weighed.payer, weighed.origin)
        evidence = self._deciding.evidence(state, weighed.payer, terms)
        contradictions = self._contradictions(claims, state)
        situation = self._situation(claims, weighed, contradictions)
        decision, why = self._deciding.decide(situation, cover, evidence)
        hanging = Hanging(decision, why, weighed.causes[0], weighed.payer, cover)
        because = self._deciding.reasons(hanging, evidence)
        ask_first, asked = self._questions.of(claims, state, hanging, weighed.asked)
        decision = np.where(hanging.stuck & ask_first.is_null().to_numpy(), INSPECT, decision)
        return self._words.frame(
            claims,
            weighed,
            cover,
            evidence,
            decision,
            because,
            contradictions,
            (ask_first, asked),
            self._versions,
        )

    def _columns(self, claims: Claims) -> Columns:
        """The values with the age from the two days, where it was not entered, and measures."""
        columns = claims.columns
        age = self._base.checks.get("age_months")
        if age is not None and age.number is not None:
            low, high = columns.numbers.get(age.id, (np.full(columns.rows, np.nan),) * 2)
            days = claims.age
            fits = np.isnan(low) & (days >= age.number.low) & (days <= age.number.high)
            if fits.any():
                its = np.where(fits, days, low)
                ends = (its, its if high is low else np.where(fits, days, high))
                columns = replace(columns, numbers={**columns.numbers, age.id: ends})
        return with_measures(self._base, columns, self._measured)

    def _weighed(self, claims: Claims) -> Weighed:
        """All rows, symptom by symptom, put back in order."""
        parts: list[Weighed] = []
        order, runs = grouped(claims.symptom)
        names = list(self._base.symptoms)
        columns = claims.columns.take(order)
        tried = {name: its.take(order) for name, its in claims.tried.items() if its.any()}
        for symptom, start, stop in runs:
            its = {name: rows[start:stop] for name, rows in tried.items()}
            known = columns.part(start, stop).known()
            parts.append(self._weighing(names[symptom]).weigh(known, its))
        back = np.empty_like(order)
        back[order] = np.arange(len(order))
        return _together(parts, back)

    def _weighing(self, symptom: str) -> Weighing:
        if symptom not in self._weighings:
            self._weighings[symptom] = Weighing(self._base, symptom)
        return self._weighings[symptom]

    def _contradictions(self, claims: Claims, state: State) -> pl.Series:
        rows, texts = [], []
        known = {*claims.columns.choices, *claims.columns.numbers, *self._base.findings}
        for contradiction in self._base.contradictions.values():
            if known.issuperset(contradiction.when.subjects()):
                rows.append(np.flatnonzero(state.holds(contradiction.when)))
                texts.append(contradiction.because)
        days = claims.seen_on < claims.laid_on
        rows.append(np.flatnonzero(days))
        texts.append("It was seen before it was laid: one of the two days must be wrong.")
        rows.append(_ages_differ(claims))
        texts.append("The age entered and the two days do not fit: one of them must be wrong.")
        return joined(rows, texts, claims.columns.rows)

    def _situation(self, claims: Claims, weighed: Weighed, odd: pl.Series) -> Situation:
        scales = self._base.scales
        payers = list(self._base.payers)
        nobody = [payers.index(p) for p in NO_PAYER if p in payers]
        paper = [c.place == Place.PAPERWORK for c in self._base.checks.values()]
        first = weighed.asked.checks[0]
        sure = weighed.payer_chance
        return Situation(
            contradicted=odd.is_not_null().to_numpy(),
            symptom_read=claims.symptom_read,
            asks_paper=np.array([*paper, False])[first],
            nobody=np.isin(weighed.payer, nobody),
            possible=sure >= scales.possible_percent / 100,
            probable=sure >= scales.probable_percent / 100,
            clear=weighed.sure_payer >= scales.leads_clearly_percent / 100,
            unsettled=weighed.unsettled,
        )


def _renamed(frame: pl.DataFrame) -> pl.DataFrame:
    """The clerk's columns, those named like a result marked as given."""
    taken = set(frame.columns) & {*RESULTS, *FOR_SUMMARY}
    return frame.rename({name: f"given {name}" for name in sorted(taken)})


def _ages_differ(claims: Claims) -> NDArray[np.intp]:
    ends = claims.columns.numbers.get("age_months")
    if ends is None:
        return np.zeros(0, dtype=np.intp)
    return np.flatnonzero((claims.age < ends[0] - 1) | (claims.age > ends[1] + 1))


def _together(parts: Sequence[Weighed], order: NDArray[np.intp]) -> Weighed:
    """Parts in the order of the rows."""
    from diagnose.claims.missing import Asked

    def joined_(name: str) -> NDArray[np.generic]:
        return np.concatenate([getattr(p, name) for p in parts], axis=-1).take(order, axis=-1)

    def texts(name: str, most: int) -> Texts:
        ranks = [[getattr(p, name)[n] for p in parts] for n in range(most)]
        return tuple(pl.concat(rank)[order] for rank in ranks)

    asked = Asked(
        np.concatenate([p.asked.checks for p in parts], axis=1).take(order, axis=1),
        np.concatenate([p.asked.hundredths for p in parts], axis=1).take(order, axis=1),
    )
    numbers = ("causes", "chances", "unlisted", "origin", "origin_chance", "payer")
    rest = ("payer_chance", "sure_payer", "unsettled")
    values = {name: joined_(name) for name in (*numbers, *rest)}
    speaks_for, against = texts("speaks_for", MOST_FOR), texts("against", MOST_AGAINST)
    return Weighed(**values, speaks_for=speaks_for, against=against, asked=asked)  # type: ignore[arg-type]
