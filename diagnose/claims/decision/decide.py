"""One decision for each row: accept, decline, ask or inspect, and why.

Nothing is declined on an unknown. A decline needs that an exclusion definitely holds, or that the
age is past every term, or that the payer leads clearly by answered checks alone (no remark counts),
hangs on no open answer, and is not answered for or only within months that are past.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.policy.cover import NO_COVER, NO_TERMS, UNKNOWN_TERMS, Covered, Covering
from diagnose.claims.policy.policy import Policy
from diagnose.claims.table.text import worded
from diagnose.knowledge.base import Base
from diagnose.reasoning.evidence.columns import renumbered
from diagnose.reasoning.evidence.matrix import State

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

DECISIONS = ("accept", "decline", "ask", "inspect")
ACCEPT, DECLINE, ASK, INSPECT = range(4)


class Why(IntEnum):
    """The reason behind a decision."""

    CONTRADICTION = 0
    EXCLUDED = 1
    SYMPTOM_READ = 2
    NOT_SETTLED = 3
    LAYING_DAY = 4
    NO_TERMS = 5
    PAST_ALL = 6
    PAYER_FALLS = 7
    NOT_COVERED = 8
    NOT_CLEAR = 9
    OPEN_PAYER = 10
    AGE = 11
    PAST = 12
    SURFACE = 13
    NEEDS_FAIL = 14
    NEEDS_OPEN = 15
    OPEN_EXCLUSION = 16
    COVERED = 17


@dataclass(frozen=True, slots=True)
class RowEvidence:
    """Of the payer that leads, by row: `needs_open` as bits of its needs; the rest is yes or no.

    `excluded`: number of the exclusion that holds, -1 none; `open_exclusion`: one that is open.
    """

    needs_open: Ints
    needs_fail: Bools
    falls: Bools
    excluded: Ints
    open_exclusion: Ints


@dataclass(frozen=True, slots=True)
class RowSituation:
    """What a decision rests on beyond the cover.

    `asks_paper`: the most telling open check is answered from paperwork; `clear`, `probable`,
    `possible`: how sure the payer is, `clear` by answered checks alone.
    """

    contradicted: Bools
    symptom_read: Bools
    asks_paper: Bools
    nobody: Bools
    possible: Bools
    probable: Bools
    clear: Bools
    unsettled: Bools


@dataclass(frozen=True, slots=True)
class Hanging:
    """By row: what was decided, why, the leading cause and payer (numbers in the base's order)."""

    decision: Ints
    why: Ints
    cause: Ints
    payer: Ints
    cover: Covered

    @property
    def stuck(self) -> Bools:
        """Where it hangs on answers: once each was asked and could not be told, someone looks."""
        on_answers = (Why.OPEN_PAYER, Why.NEEDS_OPEN, Why.OPEN_EXCLUSION)
        stuck: Bools = np.isin(self.why, on_answers) & (self.decision == ASK)
        return stuck


class Deciding:
    """The policy's conditions and the payers' evidence, ready for many rows."""

    def __init__(self, base: Base, policy: Policy, covering: Covering) -> None:
        self._base = base
        self._policy = policy
        self._covering = covering
        self._exclusions = [
            (at, e) for at, terms in enumerate(policy.terms) for e in terms.excludes
        ]
        self._longest = np.array(
            [
                max((m for c in terms.covers for m in c.months.values()), default=0.0)
                for terms in policy.terms
            ]
        )

    def evidence(self, state: State, payer: Ints, terms: Ints) -> RowEvidence:
        """What is on file for the leading payer and which exclusions hold."""
        rows = len(payer)
        open_, fail = np.zeros(rows, dtype=np.int64), np.zeros(rows, dtype=bool)
        falls = np.zeros(rows, dtype=bool)
        for number, its in enumerate(self._base.payers.values()):
            at = np.flatnonzero(payer == number)
            if not len(at):
                continue
            for bit, need in enumerate(its.needs):
                if need.when is not None:
                    failing = state.fails(need.when)[at]
                    fail[at[failing]] = True
                    open_[at[~(failing | state.holds(need.when)[at])]] |= 1 << bit
            for fall in its.falls_if:
                if fall.when is not None:
                    falls[at[state.holds(fall.when)[at]]] = True
        excluded, unclear = self._excluded(state, terms)
        return RowEvidence(open_, fail, falls, excluded, unclear)

    def _excluded(self, state: State, terms: Ints) -> tuple[Ints, Ints]:
        found = np.full(len(terms), -1, dtype=np.int64)
        unclear = found.copy()
        for number, (at, exclusion) in enumerate(self._exclusions):
            member = terms == at
            holds = state.holds(exclusion.when)
            found[member & holds & (found < 0)] = number
            open_ = member & ~holds & ~state.fails(exclusion.when)
            unclear[open_ & (unclear < 0)] = number
        return found, unclear

    def decide(self, at: RowSituation, cover: Covered, evidence: RowEvidence) -> tuple[Ints, Ints]:
        """Decision and reason of each row; the first that applies."""
        known = cover.terms >= 0
        longest = np.where(known, self._longest[np.maximum(cover.terms, 0)], np.inf)
        with np.errstate(invalid="ignore"):
            past_all = known & (cover.age >= longest)
        has_cover = cover.cover != NO_COVER
        next_ = np.where(at.asks_paper, ASK, INSPECT)
        firm = at.clear & ~at.unsettled
        steps: Sequence[tuple[Bools, int | Ints, Why]] = (
            (at.contradicted, INSPECT, Why.CONTRADICTION),
            (at.symptom_read, ASK, Why.SYMPTOM_READ),
            (evidence.excluded >= 0, DECLINE, Why.EXCLUDED),
            (past_all, DECLINE, Why.PAST_ALL),
            (cover.terms == UNKNOWN_TERMS, ASK, Why.LAYING_DAY),
            (cover.terms == NO_TERMS, ASK, Why.NO_TERMS),
            (~at.possible | at.nobody, next_, Why.NOT_SETTLED),
            (evidence.falls, INSPECT, Why.PAYER_FALLS),
            (~has_cover & firm, DECLINE, Why.NOT_COVERED),
            (at.unsettled & ~has_cover, ASK, Why.OPEN_PAYER),
            (~has_cover, next_, Why.NOT_CLEAR),
            (np.isnan(cover.age), ASK, Why.AGE),
            (cover.past & firm, DECLINE, Why.PAST),
            (cover.past, next_, Why.NOT_CLEAR),
            (~cover.within, ASK, Why.SURFACE),
            (~at.probable, next_, Why.NOT_CLEAR),
            (at.unsettled, ASK, Why.OPEN_PAYER),
            (evidence.needs_fail, INSPECT, Why.NEEDS_FAIL),
            (evidence.needs_open > 0, ASK, Why.NEEDS_OPEN),
            (evidence.open_exclusion >= 0, ASK, Why.OPEN_EXCLUSION),
        )
        conditions = [step[0] for step in steps]
        decisions = [np.broadcast_to(step[1], at.clear.shape) for step in steps]
        decision = np.select(conditions, decisions, ACCEPT)
        why = np.select(
            conditions, [np.full(at.clear.shape, s[2].value) for s in steps], Why.COVERED
        )
        return decision, why

    def reasons(self, of: Hanging, evidence: RowEvidence) -> pl.Series:
        """A sentence for each row; each distinct situation is worded once."""
        exclusion = np.where(of.why == Why.EXCLUDED, evidence.excluded, evidence.open_exclusion)
        cause = np.where(of.why == Why.OPEN_PAYER, of.cause, -1)
        key = np.column_stack([of.why, of.payer, of.cover.cover, exclusion, of.cover.terms, cause])
        sizes = key.max(axis=0, initial=0) + 3
        code = np.zeros(len(key), dtype=np.int64)
        for column, size in zip(key.T, sizes, strict=True):
            code = renumbered(code * size + column + 2)[1]
        rows = np.empty(int(code.max(initial=-1)) + 1, dtype=np.intp)
        rows[code] = np.arange(len(code))
        texts = [self._reason(*map(int, key[row])) for row in rows]
        return worded(texts)[code]

    def _reason(
        self, why: int, payer: int, cover: int, exclusion: int, terms: int, cause: int
    ) -> str:
        who = list(self._base.payers.values())[payer].name
        because = self._covering.covers[cover].because if cover >= 0 else ""
        excluded = self._exclusions[exclusion][1].because if exclusion >= 0 else ""
        named = self._policy.terms[terms].name if terms >= 0 else "the terms"
        longest = f"{self._longest[terms]:g} months" if terms >= 0 else ""
        words = {
            Why.CONTRADICTION: "Answers that cannot both be right: look again before anything.",
            Why.EXCLUDED: f"Excluded by {named}: {excluded}",
            Why.SYMPTOM_READ: "The symptom stands in the remark only: ask what is seen.",
            Why.NOT_SETTLED: "No payer is likely enough to be named: the cause must be clearer.",
            Why.LAYING_DAY: "The day of laying decides which terms count, and it is not known.",
            Why.NO_TERMS: "No terms of this policy were in force on the day of laying:"
            " look up what counted then.",
            Why.PAST_ALL: f"Older than the longest term of {named} ({longest}).",
            Why.PAYER_FALLS: f"Something on file speaks against this payer ({who}).",
            Why.NOT_COVERED: f"{named} do not answer for this payer and class of cause ({who}).",
            Why.NOT_CLEAR: f"Not sure enough yet of the payer ({who}).",
            Why.OPEN_PAYER: f"Who pays hangs on answers that are missing ({self._sides(cause)}).",
            Why.AGE: "The age is not known: ask when it was seen.",
            Why.PAST: f"Past the months of {named} on this surface ({who}). {because}",
            Why.SURFACE: "The months hang on the surface, and the panel is not known.",
            Why.NEEDS_FAIL: f"Something that this payer ({who}) must be shown by is not so.",
            Why.NEEDS_OPEN: f"Papers that this payer ({who}) must be shown by are missing.",
            Why.OPEN_EXCLUSION: f"Not known whether an exclusion of {named} holds: {excluded}",
            Why.COVERED: f"Covered by {named} ({who}). {because}",
        }
        return words[Why(why)]

    def _sides(self, cause: int) -> str:
        """Everyone who may pay for a cause."""
        if cause < 0:
            return ""
        its = list(self._base.causes.values())[cause].responsibility
        sides = dict.fromkeys([its.payer, *(other.payer for other in its.unless)])
        return "; ".join(self._base.payers[side].name for side in sides)
