"""A piece of a table in, the same rows classified out: the engine of the claims command."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from threading import Lock

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.cover import ORIGINS, Covered, Covering
from diagnose.claims.decide import (
    ACCEPT,
    DECISIONS,
    NO_PAYER,
    Deciding,
    Evidence,
    Situation,
)
from diagnose.claims.grounds import MOST_AGAINST, MOST_FOR, Texts
from diagnose.claims.mapping import Mapped
from diagnose.claims.missing import MOST
from diagnose.claims.policy import Policy
from diagnose.claims.recognise import Claims, Recogniser
from diagnose.claims.remarks import SUFFIX, with_remarks
from diagnose.claims.source import Aside, Piece
from diagnose.claims.weighing import CAUSES, Weighed, Weighing, joined
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Place
from diagnose.reasoning.columns import Columns, Kept, with_measures
from diagnose.reasoning.explain import how_sure
from diagnose.reasoning.matrix import State

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NUMBERS = (
    *(f"cause_{n}_percent" for n in range(1, CAUSES + 1)),
    *(f"ask_for_{n}_bits" for n in range(1, MOST + 1)),
    *("unlisted_percent", "class_percent", "payer_percent", "age_months_at_claim"),
    *("months_covered", "share_percent", "amount_carried", "claimed_amount"),
)
RESULTS = (
    *("decision", "because", "symptom_named"),
    *(f"cause_{n}{end}" for n in range(1, CAUSES + 1) for end in ("", "_percent")),
    *("unlisted_percent", "cause_class", "class_percent", "payer", "payer_percent", "confidence"),
    *(f"sign_for_{n}" for n in range(1, MOST_FOR + 1)),
    *(f"sign_against_{n}" for n in range(1, MOST_AGAINST + 1)),
    *("from_remark", "contradictions"),
    *(f"ask_for_{n}{end}" for n in range(1, MOST + 1) for end in ("", "_bits")),
    *("papers_missing", "age_months_at_claim", "terms", "months_covered", "share_percent"),
    *("amount_carried", "rules_version", "policy_version", "program_version"),
)
FOR_SUMMARY = ("seen_month", "claimed_amount")
"""Two more columns, which only the summary reads."""

"""Columns of a decided row, beside the clerk's own."""


@dataclass(frozen=True, slots=True)
class Decided:
    """The rows of a piece that were decided, with the clerk's cells, and those set aside."""

    number: int
    frame: pl.DataFrame
    aside: tuple[Aside, ...]


@dataclass(frozen=True, slots=True)
class Versions:
    """Under what a row was decided."""

    rules: str
    policy: str
    program: str


class Classifier:
    """Decides pieces under one rule base, one mapping and one policy."""

    def __init__(self, base: Base, mapping: Mapped, policy: Policy, program: str) -> None:
        self._base = with_remarks(base)
        self._policy = policy
        self._mapping = mapping
        self._recogniser = Recogniser(base, mapping)
        self._covering = Covering(base, policy)
        self._deciding = Deciding(self._base, policy, self._covering)
        self._lock = Lock()
        self._weighings: dict[str, Weighing] = {}
        self._measured: Kept = {}
        self._versions = Versions(base.version, policy.version, program)
        self._names = _Names(self._base, policy)

    def decide(self, piece: Piece) -> Decided:
        """Every readable row decided."""
        with self._lock:
            claims, aside = self._recogniser.read(piece)
        frame = _renamed(claims.frame)
        if frame.height:
            frame = pl.concat([frame, self._results(claims)], how="horizontal")
        else:
            frame = pl.concat([frame, self._names.nothing()], how="horizontal")
        return Decided(piece.number, frame, aside)

    def _results(self, claims: Claims) -> pl.DataFrame:
        claims = replace(claims, columns=self._columns(claims))
        weighed = self._weighed(claims)
        state = State(self._base, claims.columns, tuple(self._base.findings))
        terms = self._covering.terms(claims)
        cover = self._covering.of(claims, terms, weighed.payer, weighed.origin)
        evidence = self._deciding.evidence(state, weighed.payer, terms)
        contradictions = self._contradictions(claims, state)
        situation = self._situation(claims, weighed, contradictions)
        decision, why = self._deciding.decide(situation, cover, evidence)
        because = self._deciding.reasons(why, weighed.payer, cover, evidence)
        return self._names.frame(
            claims, weighed, cover, evidence, decision, because, contradictions, self._versions
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
        places: list[NDArray[np.intp]] = []
        order = np.argsort(claims.symptom, kind="stable")
        names = list(self._base.symptoms)
        found, starts = np.unique(claims.symptom[order], return_index=True)
        for symptom, at in zip(found, np.split(order, starts[1:]), strict=True):
            tried = {name: its[at] for name, its in claims.tried.items() if its[at].any()}
            parts.append(self._weighing(names[symptom]).weigh(_present(claims.columns, at), tried))
            places.append(at)
        return _together(parts, np.argsort(np.concatenate(places)))

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


def _present(columns: Columns, rows: NDArray[np.intp]) -> Columns:
    """Some rows, without the columns that say nothing there."""
    its = columns.take(rows)
    return Columns(
        its.rows,
        {n: c for n, c in its.choices.items() if (c >= 0).any()},
        {n: e for n, e in its.numbers.items() if not np.isnan(e[0]).all()},
    )


def _ages_differ(claims: Claims) -> NDArray[np.intp]:
    ends = claims.columns.numbers.get("age_months")
    if ends is None:
        return np.zeros(0, dtype=np.intp)
    return np.flatnonzero((claims.age < ends[0] - 1) | (claims.age > ends[1] + 1))


def _together(parts: Sequence[Weighed], order: NDArray[np.intp]) -> Weighed:
    """Parts in the order of the rows."""
    from diagnose.claims.missing import Asked

    def joined_(name: str) -> NDArray[np.generic]:
        return np.concatenate([getattr(p, name) for p in parts], axis=-1)[..., order]

    def texts(name: str, most: int) -> Texts:
        ranks = [[getattr(p, name)[n] for p in parts] for n in range(most)]
        return tuple(pl.concat(rank)[order] for rank in ranks)

    asked = Asked(
        np.concatenate([p.asked.checks for p in parts], axis=1)[:, order],
        np.concatenate([p.asked.hundredths for p in parts], axis=1)[:, order],
    )
    numbers = ("causes", "chances", "unlisted", "origin", "origin_chance", "payer")
    rest = ("payer_chance", "sure_payer", "unsettled")
    values = {name: joined_(name) for name in (*numbers, *rest)}
    speaks_for, against = texts("speaks_for", MOST_FOR), texts("against", MOST_AGAINST)
    return Weighed(**values, speaks_for=speaks_for, against=against, asked=asked)  # type: ignore[arg-type]


class _Names:
    """The words of the result columns."""

    def __init__(self, base: Base, policy: Policy) -> None:
        self._base = base
        self._causes = _series([*(c.name for c in base.causes.values()), None])
        self._payers = _series([p.name for p in base.payers.values()])
        self._origins = _series([o.replace("_", " ") for o in ORIGINS])
        self._symptoms = _series([s.name for s in base.symptoms.values()])
        self._checks = _series([*(c.name for c in base.checks.values()), None])
        self._terms = _series([*(t.name for t in policy.terms), None, None])
        self._decisions = _series(list(DECISIONS))

    def nothing(self) -> pl.DataFrame:
        """The result columns without rows."""
        names = (*RESULTS, *FOR_SUMMARY)
        return pl.DataFrame(schema={n: pl.Float64 if n in NUMBERS else pl.String for n in names})

    def frame(
        self,
        claims: Claims,
        weighed: Weighed,
        cover: Covered,
        evidence: Evidence,
        decision: Ints,
        because: pl.Series,
        contradictions: pl.Series,
        versions: Versions,
    ) -> pl.DataFrame:
        """The result columns of these rows."""
        share = np.where(decision == ACCEPT, cover.percent, np.nan)
        found: dict[str, pl.Series] = {
            "decision": self._decisions[decision],
            "because": because,
            "symptom_named": self._symptoms[claims.symptom.astype(np.int64)],
        }
        for rank in range(CAUSES):
            found[f"cause_{rank + 1}"] = self._causes[weighed.causes[rank]]
            found[f"cause_{rank + 1}_percent"] = _percent(weighed.chances[rank])
        found |= {
            "unlisted_percent": _percent(weighed.unlisted),
            "cause_class": self._origins[weighed.origin],
            "class_percent": _percent(weighed.origin_chance),
            "payer": self._payer(weighed),
            "payer_percent": _percent(weighed.payer_chance),
            "confidence": self._confidence(weighed.payer_chance),
            **{f"sign_for_{n}": text for n, text in enumerate(weighed.speaks_for, 1)},
            **{f"sign_against_{n}": text for n, text in enumerate(weighed.against, 1)},
            "from_remark": self._from_remark(claims),
            "contradictions": contradictions,
            "papers_missing": self._papers(weighed, evidence),
            "age_months_at_claim": _number(cover.age),
            "terms": self._terms[cover.terms % len(self._terms)],
            "months_covered": _number(cover.months),
            "share_percent": _number(np.round(share, 1)),
            "amount_carried": _number(np.round(claims.claimed * share / 100, 2)),
        }
        for rank in range(MOST):
            hundredths = weighed.asked.hundredths[rank]
            found[f"ask_for_{rank + 1}"] = self._checks[
                weighed.asked.checks[rank] % len(self._checks)
            ]
            bits = _number(np.where(hundredths > 0, hundredths / 100, np.nan))
            found[f"ask_for_{rank + 1}_bits"] = bits
        return (
            pl.DataFrame([series.alias(name) for name, series in found.items()])
            .with_columns(
                rules_version=pl.lit(versions.rules),
                policy_version=pl.lit(versions.policy),
                program_version=pl.lit(versions.program),
                seen_month=pl.Series(claims.seen_on.astype("datetime64[D]")).dt.strftime("%Y-%m"),
                claimed_amount=_number(claims.claimed),
            )
            .select(*RESULTS, *FOR_SUMMARY)
        )

    def _payer(self, weighed: Weighed) -> pl.Series:
        possible = self._base.scales.possible_percent / 100
        named = pl.Series(weighed.payer_chance >= possible)
        its = self._payers[weighed.payer]
        return its.set(~named, "not decided")

    def _confidence(self, chances: Floats) -> pl.Series:
        scales = self._base.scales
        ends = np.array(
            [scales.possible_percent, scales.probable_percent, scales.leads_clearly_percent]
        )
        words = _series([how_sure(self._base, x / 100) for x in (0.0, *ends)])
        return words[np.searchsorted(ends / 100, chances, side="right")]

    def _papers(self, weighed: Weighed, evidence: Evidence) -> pl.Series:
        """What the leading payer must be shown by and is not on file."""
        payers = list(self._base.payers.values())
        key = evidence.needs_open * len(payers) + weighed.payer
        distinct, back = np.unique(key, return_inverse=True)
        texts = []
        for code in distinct:
            bits, payer = divmod(int(code), len(payers))
            needs = [n.says for b, n in enumerate(payers[payer].needs) if bits >> b & 1]
            texts.append(" ".join(needs) or None)
        words: pl.Series = _series(texts)[back]
        return words

    def _from_remark(self, claims: Claims) -> pl.Series:
        rows: list[NDArray[np.intp]] = [np.flatnonzero(claims.symptom_read)]
        texts = ["symptom"]
        for name, codes in claims.columns.choices.items():
            if name.endswith(SUFFIX):
                check = self._base.checks[name.removesuffix(SUFFIX)]
                for code, answer in enumerate(check.answers.values()):
                    rows.append(np.flatnonzero(codes == code))
                    texts.append(f"{check.name}: {answer.says}")
        return joined(rows, texts, claims.columns.rows)


def _series(texts: Sequence[str | None]) -> pl.Series:
    return pl.Series(texts, dtype=pl.String)


def _percent(chances: Floats) -> pl.Series:
    return pl.Series(np.round(chances * 100, 1))


def _number(values: NDArray[np.floating]) -> pl.Series:
    return pl.Series(values, dtype=pl.Float64).fill_nan(None)
