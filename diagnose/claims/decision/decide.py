"""One decision for each row: accept, decline, ask or inspect, and why.

Nothing is declined on an unknown. A decline needs that an exclusion definitely holds and bears on
the row, or that the age is past every term, or that by answered checks alone (no remark counts)
those lead clearly for whom the terms do not answer, or only within months that are past. An accept
needs that one cover is as likely as the policy asks for, over all causes that lead to it, and that
those who do not answer are as unlikely; that a sign in the row speaks for the first of them, and
that nothing which the terms need is open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.claims.decision.situation import RowEvidence, RowSituation, Why
from diagnose.claims.policy.cover import (
    NO_COVER,
    NO_TERMS,
    ORIGINS,
    UNKNOWN_TERMS,
    Covered,
    Covering,
)
from diagnose.claims.policy.policy import Exclusion, Need, Policy
from diagnose.claims.table.text import worded
from diagnose.knowledge.base import Base
from diagnose.reasoning.evidence.columns import renumbered
from diagnose.reasoning.evidence.state import State

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

DECISIONS = ("accept", "decline", "ask", "inspect", "not our work", "no fault found")
ACCEPT, DECLINE, ASK, INSPECT, NOT_OURS, NO_FAULT = range(6)


@dataclass(frozen=True, slots=True)
class Hanging:
    """By row: what was decided, why, the leading cause and payer (numbers in the base's order)."""

    decision: Ints
    why: Ints
    cause: Ints
    payer: Ints
    cover: Covered
    needs: Ints

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
        self._not_ours = [
            (at, e) for at, terms in enumerate(policy.terms) for e in terms.not_our_work
        ]
        self._sound = [(at, e) for at, terms in enumerate(policy.terms) for e in terms.no_fault]
        self._longest = np.array(
            [
                max((m for c in terms.covers for m in c.months.values()), default=0.0)
                for terms in policy.terms
            ]
        )
        self._theirs = frozenset(
            subject for _, its in self._exclusions for subject in its.when.subjects()
        )
        self.subjects = frozenset(
            subject
            for terms in policy.terms
            for its in (*terms.excludes, *terms.not_our_work, *terms.no_fault)
            for subject in its.when.subjects()
        )
        undecided = base.roles.get("nobody", ())
        self._undecided = np.array([payer in undecided for payer in base.payers])
        self._first_only = np.array([terms.first_owner_only for terms in policy.terms])
        self._notice = np.array(
            [np.inf if t.notice_days is None else float(t.notice_days) for t in policy.terms]
        )
        self.needs = needs_of(base, covering)
        own = [cover.needs is not None for cover in covering.covers]
        self._needs_of_cover = np.array(
            [len(base.payers) + sum(own[:n]) if own[n] else -1 for n in range(len(own))] + [-1]
        )

    def evidence(self, state: State, at: RowSituation, cover: Covered) -> RowEvidence:
        """What is on file for the leading payer and which exclusions hold."""
        own = self._needs_of_cover[cover.cover]
        needs = np.where(own >= 0, own, at.payer)
        open_, fail, falls = self.on_file(state, at.payer, needs, self._theirs)
        excluded, unclear = self._excluded(state, at, cover.terms)
        terms = np.where(cover.terms < 0, len(self._policy.terms) - 1, cover.terms)
        ours, sound = (self._which(state, its, terms) for its in (self._not_ours, self._sound))
        return RowEvidence(needs, open_, fail, falls, excluded, unclear, ours, sound)

    def on_file(
        self, state: State, payer: Ints, needs: Ints, theirs: frozenset[str] = frozenset()
    ) -> tuple[Ints, Bools, Bools]:
        """Which needs are open (as bits), where one is not so, where something is against them.

        What rests on `theirs` alone, which the terms exclude by, is the terms' business.
        """
        rows = len(payer)
        open_, fail = np.zeros(rows, dtype=np.int64), np.zeros(rows, dtype=bool)
        falls = np.zeros(rows, dtype=bool)
        for number in np.unique(needs).tolist():
            its = np.flatnonzero(needs == number)
            for bit, need in enumerate(self.needs[number]):
                failing = state.fails(need.when)[its]
                fail[its[failing]] = True
                open_[its[~(failing | state.holds(need.when)[its])]] |= 1 << bit
        for number, who in enumerate(self._base.payers.values()):
            its = np.flatnonzero(payer == number)
            for fall in who.falls_if if len(its) else ():
                if fall.when is not None and not set(fall.when.subjects()) <= theirs:
                    falls[its[state.holds(fall.when)[its]]] = True
        return open_, fail, falls

    @staticmethod
    def _which(state: State, of: Sequence[tuple[int, Exclusion]], terms: Ints) -> Ints:
        """The first of these that definitely holds under the terms of each row, -1 for none."""
        found = np.full(len(terms), -1, dtype=np.int64)
        for number, (at, its) in enumerate(of):
            if state.can_hold(its.when):
                found[(terms == at) & state.holds(its.when) & (found < 0)] = number
        return found

    def _excluded(self, state: State, at: RowSituation, terms: Ints) -> tuple[Ints, Ints]:
        """Where which exclusion holds, and which one is open, among those that bear on the row."""
        found = np.full(len(terms), -1, dtype=np.int64)
        unclear = found.copy()
        for number, (of, exclusion) in enumerate(self._exclusions):
            member = (terms == of) & self.bears(exclusion, at)
            holds = state.holds(exclusion.when)
            found[member & holds & (found < 0)] = number
            if exclusion.if_unknown == "ask":
                open_ = member & ~holds & ~state.fails(exclusion.when)
                unclear[open_ & (unclear < 0)] = number
        return found, unclear

    def bears(self, exclusion: Exclusion, at: RowSituation) -> Bools:
        """Where an exclusion bears on the leading payer, origin, cause and symptom."""
        bears = np.ones(len(at.payer), dtype=bool)
        origins = tuple(ORIGINS)
        for named, every, its in (
            (exclusion.payers, tuple(self._base.payers), at.payer),
            (exclusion.origins, origins, at.origin),
            (exclusion.causes, tuple(self._base.causes), at.cause),
            (exclusion.symptoms, tuple(self._base.symptoms), at.symptom),
        ):
            if named:
                bears &= np.isin(its, [every.index(name) for name in named])
        return bears

    def unanswered(self, at: RowSituation, cover: Covered) -> tuple[Floats, Floats]:
        """How likely one pays for whom the terms do not answer, and one whose months are over.

        By columns alone.
        """
        open_ = cover.answered | self._undecided[:, None] | (cover.terms < 0)
        return (
            np.where(open_, 0.0, at.plain).sum(axis=0),
            np.where(cover.over, at.plain, 0.0).sum(axis=0),
        )

    def decide(self, at: RowSituation, cover: Covered, evidence: RowEvidence) -> tuple[Ints, Ints]:
        """Decision and reason of each row; the first that applies."""
        sure = self._policy.sureness
        known = cover.terms >= 0
        number = np.maximum(cover.terms, 0)
        longest = np.where(known, self._longest[number], np.inf)
        every = np.arange(len(at.payer))
        with np.errstate(invalid="ignore"):
            past_all = known & (cover.begun > longest)
            late = known & (at.notice_days > self._notice[number])
        has_cover = cover.cover != NO_COVER
        next_ = np.where(at.asks_paper, ASK, INSPECT)
        possible = self._base.scales.possible_percent / 100
        unanswered, over = self.unanswered(at, cover)
        decline = sure.decline / 100
        proof = np.full(len(at.payer), not self._policy.shop_pays_first)
        likely = cover.share >= sure.accept / 100
        expected = np.minimum(cover.share, at.paying[at.payer, every]) >= sure.accept / 100
        if self._policy.shop_pays_first:
            answers = cover.answered & ~cover.over
            likely = expected = np.where(answers, at.paying, 0.0).sum(axis=0) >= sure.accept / 100
        mine = np.where(cover.over[at.payer, every], 0.0, at.plain[at.payer, every])
        stand = at.told & at.grounds
        steps: Sequence[tuple[Bools, int | Ints, Why]] = (
            (at.odd_days, ASK, Why.ODD_DAYS),
            (at.contradicted, INSPECT, Why.CONTRADICTION),
            (evidence.not_ours >= 0, NOT_OURS, Why.NOT_OUR_WORK),
            (evidence.sound >= 0, NO_FAULT, Why.SOUND),
            (at.symptom_read, ASK, Why.SYMPTOM_READ),
            (known & at.second_owner & self._first_only[number], DECLINE, Why.NOT_FIRST_OWNER),
            (evidence.excluded >= 0, DECLINE, Why.EXCLUDED),
            (past_all, DECLINE, Why.PAST_ALL),
            (at.told & (at.no_fault >= decline), NO_FAULT, Why.NO_FAULT),
            (cover.terms == UNKNOWN_TERMS, ASK, Why.LAYING_DAY),
            (cover.terms == NO_TERMS, ASK, Why.NO_TERMS),
            (stand & (unanswered >= decline), DECLINE, Why.NOBODY_ANSWERS),
            (stand & (unanswered + over >= decline), DECLINE, Why.PAST),
            (~at.told, next_, Why.NOTHING_FOUND),
            (((at.payer_chance < possible) & ~likely) | at.nobody, next_, Why.NOT_SETTLED),
            (evidence.falls, INSPECT, Why.PAYER_FALLS),
            (cover.silent, ASK, Why.SILENT),
            (~has_cover, next_, Why.NOT_CLEAR),
            (np.isnan(cover.age), ASK, Why.AGE),
            (cover.past & (unanswered + over + mine >= decline), DECLINE, Why.PAST),
            (cover.past, next_, Why.NOT_CLEAR),
            (~cover.within, ASK, Why.SURFACE),
            (likely & ~expected, ASK, Why.OPEN_PAYER),
            (~likely | (unanswered + over > sure.against / 100), next_, Why.NOT_CLEAR),
            (~at.grounds | (at.cause_chance < sure.cause / 100), next_, Why.NO_GROUNDS),
            (evidence.needs_fail & proof, INSPECT, Why.NEEDS_FAIL),
            ((evidence.needs_open > 0) & proof, ASK, Why.NEEDS_OPEN),
            (evidence.open_exclusion >= 0, ASK, Why.OPEN_EXCLUSION),
            (late, ASK, Why.LATE_NOTICE),
            (at.unweighed, ASK, Why.OUTSIDE),
        )
        conditions = [step[0] for step in steps]
        shape = at.odd_days.shape
        decision = np.select(conditions, [np.broadcast_to(s[1], shape) for s in steps], ACCEPT)
        why = np.select(conditions, [np.full(shape, s[2].value) for s in steps], Why.COVERED)
        return decision, why

    def reasons(self, of: Hanging, evidence: RowEvidence) -> pl.Series:
        """A sentence for each row; each distinct situation is worded once."""
        exclusion = np.where(of.why == Why.EXCLUDED, evidence.excluded, evidence.open_exclusion)
        exclusion = np.where(of.why == Why.NOT_OUR_WORK, evidence.not_ours, exclusion)
        exclusion = np.where(of.why == Why.SOUND, evidence.sound, exclusion)
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
        named = self._policy.terms[terms].name if terms >= 0 else "the terms"
        longest = f"{self._longest[terms]:g} months" if terms >= 0 else ""
        of = {Why.NOT_OUR_WORK: self._not_ours, Why.SOUND: self._sound}
        excluded = self._told(of.get(Why(why), self._exclusions), exclusion)
        words = {
            Why.ODD_DAYS: "Days that cannot be: nothing is decided before the right one is known.",
            Why.CONTRADICTION: "Answers that cannot both be right: look again before anything.",
            Why.SYMPTOM_READ: "The symptom stands in the remark only: ask what is seen.",
            Why.NOT_OUR_WORK: f"Not our work: {excluded}",
            Why.SOUND: f"No fault found: {excluded}",
            Why.NOT_FIRST_OWNER: f"{named} answer to the first owner only.",
            Why.EXCLUDED: f"Excluded by {named}: {excluded}",
            Why.PAST_ALL: f"Older than the longest term of {named} ({longest}).",
            Why.NO_FAULT: "Nothing is wrong that anybody would have to mend.",
            Why.LAYING_DAY: "The day of laying decides which terms count, and it is not known.",
            Why.NO_TERMS: "No terms of this policy were in force on the day of laying:"
            " look up what counted then.",
            Why.NOBODY_ANSWERS: f"{named} do not answer for those whom the likely causes lead to"
            f" ({who} before all).",
            Why.NOT_SETTLED: "No payer is likely enough to be named: the cause must be clearer.",
            Why.PAYER_FALLS: f"Something on file speaks against this payer ({who}).",
            Why.SILENT: f"{named} name this payer ({who}), but say nothing of this class of cause:"
            " settle it with whoever wrote the terms.",
            Why.NOT_CLEAR: f"Not sure enough yet of the payer ({who}).",
            Why.AGE: "The age is not known: ask when it was seen.",
            Why.PAST: f"Past the months of {named} on this surface ({who}). {because}",
            Why.SURFACE: "The months hang on the surface, and the panel is not known.",
            Why.OPEN_PAYER: f"Who pays hangs on answers that are missing ({self._sides(cause)}).",
            Why.NO_GROUNDS: f"Nothing in the row is ground enough to pay ({who}).",
            Why.NOTHING_FOUND: "Nothing in the row tells what was found at the place.",
            Why.NEEDS_FAIL: f"Something that this payer ({who}) must be shown by is not so.",
            Why.NEEDS_OPEN: f"Papers that this payer ({who}) must be shown by are missing.",
            Why.OPEN_EXCLUSION: f"Not known whether an exclusion of {named} holds: {excluded}",
            Why.LATE_NOTICE: f"Told later than the days of notice in {named}: ask why.",
            Why.OUTSIDE: "Words name what may have done it, and nothing of it was weighed",
            Why.COVERED: f"Covered by {named} ({who}). {because}",
        }
        return words[Why(why)]

    def _told(self, of: Sequence[tuple[int, Exclusion]], number: int) -> str:
        """Why an exclusion excludes, and the answers that it rests on."""
        if number < 0:
            return ""
        its = of[number][1]
        seen = [self._base.observables[t.subject].name for t in its.when.tests
                if t.subject in self._base.observables]  # fmt: skip
        return f"{its.because} ({', '.join(seen)})" if seen else its.because

    def _sides(self, cause: int) -> str:
        """Everyone who may pay for a cause."""
        if cause < 0:
            return ""
        its = list(self._base.causes.values())[cause].responsibility
        sides = dict.fromkeys([its.payer, *(other.payer for other in its.unless)])
        return "; ".join(self._base.payers[side].name for side in sides)


def needs_of(base: Base, covering: Covering) -> list[tuple[Need, ...]]:
    """What must be shown: of each payer by the rule base, then of each cover that says its own."""
    found = [
        tuple(Need(n.says, n.when) for n in payer.needs if n.when is not None)
        for payer in base.payers.values()
    ]
    return found + [cover.needs for cover in covering.covers if cover.needs is not None]
