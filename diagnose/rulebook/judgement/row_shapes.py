"""Anomalies in the shape of a row: said by silence, against an order, or with a wrong reason."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.model import Cause, Observable, PossibleAnswer
from diagnose.knowledge.soundness.anomaly import Found, Survey, anomaly

FELT = 0.5
"""Decibans from which an answer speaks for or against at all."""

PLAINLY = 1.0
"""Decibans from which an answer speaks plainly one way."""

DIP = 2.0
"""Decibans by which weights along an order may turn back."""


@dataclass(frozen=True, slots=True)
class RowOfCause:
    """A row with its cause and the number of the entry that it begins with."""

    cause: Cause
    row: CauseRow
    observable: Observable
    entry: int

    def found(self, sentence: str, entry: int | None = None) -> Found:
        """Something found in it."""
        way = ("shows", self.entry if entry is None else entry, "of_100")
        return Found("causes", self.cause.id, way, sentence)

    def label(self, code: int) -> str:
        """An answer as it stands in the file."""
        return f"'{self.observable.labels[code]}' of {self.observable.id}"

    @property
    def possible(self) -> list[int]:
        """The answers that do not rule out."""
        return [c for c in range(len(self.row.decibans)) if c not in self.row.ruled_out]


def standing(base: Base) -> Iterator[RowOfCause]:
    """Every row: the general ones of each cause, then those that stand at some symptoms only."""
    for cause in base.causes.values():
        for symptom in (None, *cause.behind):
            for name, row in base.rows(cause, symptom).items():
                its = [n for n, e in enumerate(cause.shows) if e.check == name
                       and (symptom in e.at if symptom else not e.at)]  # fmt: skip
                if its:
                    yield RowOfCause(cause, row, base.observables[name], its[0])


_DEPTH = """
    checks:
      - {id: depth, name: Depth, ask: How deep?, how: Measure., tool: gauge, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         number: {unit: mm, from: 0, to: 50},
         usual: [{under: 3, usual: 10}, {under: 5, usual: 10}, {usual: 80}]}
    causes:
      - id: pulled
        shows:
          - {check: depth, of_100: {under 3: LOW}, because: flat, source: common-practice}
          - {check: depth, of_100: {5 and over: HIGH}, because: too deep, source: common-practice}
"""


@anomaly(
    "note",
    bad=_DEPTH.replace("LOW", "14").replace("HIGH", "40"),
    good=_DEPTH.replace("LOW", "60").replace("HIGH", "20"),
)
def unnamed_outweighs_named(survey: Survey) -> Iterator[Found]:
    """An answer that nobody named says more than one that was named, the same way.

    What the numbers leave falls to it. Name it, or lower or raise the others.
    """
    for its in standing(survey.base):
        for sign, way in ((1, "for"), (-1, "against")):
            sizes = {code: sign * its.row.decibans[code] for code in its.possible}
            named = [c for c in sizes if its.row.signs[c] and sizes[c] > FELT]
            silent = [c for c in sizes if not its.row.signs[c]]
            if not named or not silent:
                continue
            least, most = min(named, key=sizes.__getitem__), max(silent, key=sizes.__getitem__)
            if sizes[most] > sizes[least] + FELT:
                yield its.found(
                    f"{its.label(most)} is not named and speaks {way} the cause by"
                    f" {sizes[most]:.1f} dB, more than the named '{its.observable.labels[least]}'"
                    f" ({sizes[least]:.1f} dB)"
                )


_ORDERED = """
    checks:
      - {id: since, name: Since, ask: Since when?, how: Ask., tool: question, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         ordered: [days, weeks, years],
         answers: {days: {says: days, usual: 20}, weeks: {says: weeks, usual: 40},
                   years: {says: years, usual: 40}}}
    causes:
      - id: pulled
        shows:
          - {check: since, of_100: {days: SOON}, because: it comes soon, source: common-practice}
          - {check: since, of_100: {years: LATE}, because: or at the end, source: common-practice}
"""


@anomaly(
    "note",
    bad=_ORDERED.replace("SOON", "50").replace("LATE", "45"),
    good=_ORDERED.replace("SOON", "70").replace("LATE", "5"),
)
def weights_turn_back(survey: Survey) -> Iterator[Found]:
    """Along answers with an order the weights fall and rise again, and not all of that is named.

    Numbers have an order, and checks that say so (`ordered`). Name the answer between.
    """
    for its in standing(survey.base):
        dip = _dip(its)
        if dip is not None:
            yield its.found(
                f"{its.label(dip)} weighs {its.row.decibans[dip]:.1f} dB, less than answers on"
                " both sides of it, and not all three are named"
            )


def _dip(its: RowOfCause) -> int | None:
    """The answer at which the weights turn back most, if one of three there is not named."""
    sizes = its.row.decibans
    codes = [c for c in its.observable.in_order if c in its.possible]
    for at, code in sorted(enumerate(codes[1:-1], 1), key=lambda c: sizes[c[1]]):
        before = max(codes[:at], key=lambda c: sizes[c])
        after = max(codes[at + 1 :], key=lambda c: sizes[c])
        deep = min(sizes[before], sizes[after]) - sizes[code] >= DIP
        if deep and not all(its.row.signs[c] for c in (before, code, after)):
            return code
    return None


_STEP = """
    checks:
      - {id: wiping, name: Wiping, ask: Was it wiped?, how: Ask., tool: question, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         answers: {well: {says: well, usual: 70},
                   badly: {says: badly, usual: 15, step: done_badly},
                   never: {says: not at all, usual: 15, step: left_out}}}
    causes:
      - id: dirty_edge
        shows:
          - {check: wiping, of_100: {badly: BADLY}, because: dirt stays, source: common-practice}
          - {check: wiping, of_100: {never: NEVER}, because: all stays, source: common-practice}
"""


@anomaly(
    "note",
    bad=_STEP.replace("BADLY", "60").replace("NEVER", "16"),
    good=_STEP.replace("BADLY", "30").replace("NEVER", "55"),
)
def left_out_weighs_less(survey: Survey) -> Iterator[Found]:
    """A step that was left out says less than the same step done badly.

    Its share of all callbacks is larger, so it needs a larger number. Answers say by `step` which
    of the two they are.
    """
    for its in standing(survey.base):
        answers = list(its.observable.answers.values())
        for code in _of_step(answers, "left_out"):
            for other in _of_step(answers, "done_badly"):
                left, badly = its.row.decibans[code], its.row.decibans[other]
                if badly > FELT and left < badly - FELT and code not in its.row.ruled_out:
                    yield its.found(
                        f"{its.label(code)} weighs {left:.1f} dB, less than done badly"
                        f" ('{its.observable.labels[other]}', {badly:.1f} dB)"
                    )


def _of_step(answers: list[PossibleAnswer], step: str) -> list[int]:
    return [code for code, answer in enumerate(answers) if answer.step == step]


_PRINTED = """
    causes:
      - id: pulled
        shows:
          - {check: printed, of_100: NUMBERS, because: prints are stiff, source: common-practice}
"""


@anomaly(
    "note",
    bad=_PRINTED.replace("NUMBERS", "{print: 80, plain: 20}"),
    good=_PRINTED.replace("NUMBERS", "{print: 80}"),
)
def reason_both_ways(survey: Survey) -> Iterator[Found]:
    """One reason stands with answers that speak for and with answers that speak against.

    It cannot be the reason of both. Give each its own.
    """
    base = survey.base.row_by_row
    for cause in base.causes.values():
        for number, entry in enumerate(cause.shows):
            row = base.rows(cause, next(iter(entry.at), None)).get(entry.check)
            observable = base.observables[entry.check]
            its = [observable.labels.index(label) for label in entry.of_100]
            sizes = {c: row.decibans[c] for c in its if c not in row.ruled_out} if row else {}
            if sizes and max(sizes.values()) > PLAINLY and min(sizes.values()) < -PLAINLY:
                low, high = min(sizes, key=sizes.__getitem__), max(sizes, key=sizes.__getitem__)
                sentence = (
                    f"one reason for '{observable.labels[high]}' ({sizes[high]:.1f} dB) and for"
                    f" '{observable.labels[low]}' ({sizes[low]:.1f} dB) of {entry.check}"
                )
                yield Found("causes", cause.id, ("shows", number, "because"), sentence)


ROW_SHAPES = (
    unnamed_outweighs_named,
    weights_turn_back,
    left_out_weighs_less,
    reason_both_ways,
)
