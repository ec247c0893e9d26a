"""The columns of a decided row, in words and numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.decision.decide import ACCEPT, DECISIONS
from diagnose.claims.decision.grounds import MOST_AGAINST, MOST_FOR
from diagnose.claims.decision.missing import MOST, ToAsk
from diagnose.claims.decision.situation import RowEvidence
from diagnose.claims.decision.weighing import CAUSES, Weighed, joined
from diagnose.claims.mapping.reading import Claims
from diagnose.claims.mapping.remarks import SUFFIX
from diagnose.claims.policy.cover import ORIGINS, Covered
from diagnose.claims.policy.policy import Need, Policy
from diagnose.claims.table.text import WORDED, worded
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import NumberKind
from diagnose.reasoning.evidence.columns import renumbered
from diagnose.reasoning.explanation.explain import how_sure

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NUMBERS = (
    *(f"cause_{n}_percent" for n in range(1, CAUSES + 1)),
    *(f"ask_for_{n}_bits" for n in range(1, MOST + 1)),
    *("unlisted_percent", "class_percent", "payer_percent", "age_months_at_claim"),
    *("covered_percent", "not_answered_percent"),
    *("months_covered", "share_percent", "amount_carried", "claimed_amount"),
)
RESULTS = (
    *("decision", "because", "symptom_named"),
    *(f"cause_{n}{end}" for n in range(1, CAUSES + 1) for end in ("", "_percent")),
    *("unlisted_percent", "cause_class", "class_percent", "payer", "payer_percent"),
    *("covered_percent", "not_answered_percent", "confidence"),
    *(f"sign_for_{n}" for n in range(1, MOST_FOR + 1)),
    *(f"sign_against_{n}" for n in range(1, MOST_AGAINST + 1)),
    *("from_remark", "not_read", "contradictions", "ask_first"),
    *(f"ask_for_{n}{end}" for n in range(1, MOST + 1) for end in ("", "_bits")),
    *("papers_missing", "age_months_at_claim", "terms", "months_covered", "share_percent"),
    *("amount_carried", "currency", "settled", "from_the_table"),
    *("rules_version", "policy_version", "program_version"),
)
FOR_SUMMARY = ("seen_month", "laid_week", "claimed_amount")
"""More columns, which only the summary reads."""

"""Columns of a decided row, beside the clerk's own."""


@dataclass(frozen=True, slots=True)
class Versions:
    """Under what a row was decided."""

    rules: str
    policy: str
    program: str


class Results:
    """The words of the result columns."""

    def __init__(self, base: Base, policy: Policy, needs: Sequence[tuple[Need, ...]]) -> None:
        self._base = base
        self._policy = policy
        self._needs = needs
        self._causes = worded([*(c.name for c in base.causes.values()), None])
        self._payers = worded([p.name for p in base.payers.values()])
        self._origins = worded([o.replace("_", " ") for o in ORIGINS])
        self._symptoms = worded([s.name for s in base.symptoms.values()])
        self._checks = worded([*(c.ask for c in base.checks.values()), None])
        self._terms = worded([*(t.name for t in policy.terms), None, None])
        self._decisions = worded(list(DECISIONS))

    def nothing(self) -> pl.DataFrame:
        """The result columns without rows."""
        names = (*RESULTS, *FOR_SUMMARY)
        return pl.DataFrame(schema={n: pl.Float64 if n in NUMBERS else WORDED for n in names})

    def frame(
        self,
        claims: Claims,
        weighed: Weighed,
        cover: Covered,
        evidence: RowEvidence,
        unanswered: Floats,
        decision: Ints,
        because: pl.Series,
        contradictions: pl.Series,
        questions: tuple[pl.Series, ToAsk],
        versions: Versions,
    ) -> pl.DataFrame:
        """The result columns of these rows."""
        ask_first, asked = questions
        texts = weighed.signs.texts
        # A day that cannot be is asked about; no age, no month and no week is made of it.
        odd = np.logical_or.reduce([*claims.odd.values()])
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
            "covered_percent": _percent(np.where(cover.cover < 0, 0.0, cover.share)),
            "not_answered_percent": _percent(unanswered),
            "confidence": self._confidence(weighed.payer_chance),
            **{f"sign_for_{n}": texts[its] for n, its in enumerate(weighed.signs.speaks_for, 1)},
            **{f"sign_against_{n}": texts[its] for n, its in enumerate(weighed.signs.against, 1)},
            "from_remark": self._from_remark(claims),
            "not_read": _noted(claims),
            "contradictions": contradictions,
            "ask_first": ask_first,
            "papers_missing": self._papers(evidence),
            "age_months_at_claim": _number(np.where(odd, np.nan, cover.age)),
            "terms": self._terms[cover.terms % len(self._terms)],
            "months_covered": _number(cover.months),
            "share_percent": _number(np.round(share, 1)),
            "amount_carried": _number(self._carried(claims, cover, share)),
            "currency": self._currency(claims),
        }
        for rank in range(MOST):
            hundredths = asked.hundredths[rank]
            found[f"ask_for_{rank + 1}"] = self._checks[asked.checks[rank] % len(self._checks)]
            bits = _number(np.where(hundredths > 0, hundredths / 100, np.nan))
            found[f"ask_for_{rank + 1}_bits"] = bits
        sane = claims.days.without(odd)
        return (
            pl.DataFrame([series.alias(name) for name, series in found.items()])
            .with_columns(
                rules_version=pl.lit(versions.rules),
                policy_version=pl.lit(versions.policy),
                program_version=pl.lit(versions.program),
                settled=pl.lit(None, WORDED),
                from_the_table=pl.lit(None, WORDED),
                seen_month=pl.Series(sane.end.last).dt.strftime("%Y-%m"),
                laid_week=pl.Series(sane.laid.last).dt.strftime("%G-W%V"),
                claimed_amount=_number(claims.claimed),
            )
            .select(*RESULTS, *FOR_SUMMARY)
        )

    def _carried(self, claims: Claims, cover: Covered, share: Floats) -> Floats:
        """What is paid: the share of the parts that the cover carries, less the deductible."""
        terms = [self._policy.terms[int(at)] for at in range(len(self._policy.terms))]
        at = np.maximum(cover.terms, 0)
        paid = claims.parts_claimed(cover.carries) * share / 100
        money = np.array([its in ("", self._policy.money) for its in claims.currencies])
        mine = money[claims.currency]
        less = np.array([its.deductible for its in terms])[at]
        cap = np.array([np.inf if its.cap is None else its.cap for its in terms])[at]
        paid = np.where(mine, np.minimum(np.maximum(paid - less, 0.0), cap), paid)
        found: Floats = np.round(paid, 2)
        return found

    def _currency(self, claims: Claims) -> pl.Series:
        """The money of each row that has an amount."""
        words = worded([*(its or self._policy.money or None for its in claims.currencies), None])
        there = ~np.isnan(claims.claimed)
        its: pl.Series = words[np.where(there, claims.currency, len(claims.currencies))]
        return its

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
        words = worded([how_sure(self._base, x / 100) for x in (0.0, *ends)])
        return words[np.searchsorted(ends / 100, chances, side="right")]

    def _papers(self, evidence: RowEvidence) -> pl.Series:
        """What the leading payer must be shown by and is not on file."""
        key = evidence.needs_open * len(self._needs) + evidence.needs
        distinct, back = renumbered(key)
        texts = []
        for code in distinct:
            bits, which = divmod(int(code), len(self._needs))
            needs = [n.says for b, n in enumerate(self._needs[which]) if bits >> b & 1]
            texts.append(" ".join(needs) or None)
        words: pl.Series = worded(texts)[back]
        return words

    def _from_remark(self, claims: Claims) -> pl.Series:
        rows: list[NDArray[np.intp]] = []
        texts: list[str] = []
        if claims.worded is not None:
            for code, symptom in enumerate(self._base.symptoms.values()):
                its = np.flatnonzero(claims.worded & (claims.symptom == code))
                rows, texts = [*rows, its], [*texts, f"Symptom: {symptom.name}"]
        choices = claims.columns.choices
        for name in (n for n in self._base.checks if n.endswith(SUFFIX) and n in choices):
            check = self._base.checks[name.removesuffix(SUFFIX)]
            for code, words in enumerate(self._worded(claims, check, name)):
                rows.append(np.flatnonzero(choices[name] == code))
                texts.append(f"{check.name}: {words}")
        for name in (n for n in self._base.checks if n in claims.contrary):
            check = self._base.checks[name]
            for code, words in enumerate(self._worded(claims, check, name)):
                rows.append(np.flatnonzero(claims.contrary[name] == code))
                texts.append(f"{check.name}: {words} (not used, the column says otherwise)")
        return joined(rows, texts, claims.columns.rows)

    def _worded(self, claims: Claims, check: Check, name: str) -> list[str]:
        """The words of each code of a choice, sets of answers behind the answers."""
        sets = claims.columns.sets.get(name, ()) if check.answers else ()
        kind = check.kind
        its = [kind.covers(codes) for codes in sets] if not isinstance(kind, NumberKind) else []
        return [*(answer.says for answer in check.answers.values()), *its]


def _noted(claims: Claims) -> pl.Series:
    texts: list[str | None] = [None] * claims.columns.rows
    for at, said in claims.notes.items():
        texts[at] = said
    return worded(texts)


def _percent(chances: Floats) -> pl.Series:
    return pl.Series(np.round(chances * 100, 1))


def _number(values: NDArray[np.floating]) -> pl.Series:
    return pl.Series(values, dtype=pl.Float64).fill_nan(None)
