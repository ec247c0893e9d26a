"""The worked cases as a measure of the rule base: the tool asks, the case answers.

The floors stand here and nowhere else. Cases never enter the rules: they are measured against them.
Run with -s to see the tables.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Origin
from diagnose.knowledge.model.words import UNLISTED
from diagnose.practice.items.trial import Trial, accuracy
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case.case_text import GRADES
from tests.worked_cases import SNAPSHOT, WorkedCases, is_healthy, play_all, snapshot

LEADING, FIRST_THREE, MEDIAN_CHECKS = 0.905, 0.975, 8
"""Floors over all cases when the tool asks its own questions."""

CASES, HEALTHY = 100, 10
"""How many worked cases, and how many jobs on which nothing is wrong, there must be."""

NOBODY = "nobody"


@pytest.fixture(scope="session")
def worked(base: Base) -> WorkedCases:
    """Every worked case played, once for the whole run."""
    return play_all(base)


pytestmark = pytest.mark.xdist_group("worked_cases")


def _table(title: str, head: str, rows: Iterable[str]) -> str:
    return "\n".join([f"\n{title}", head, *rows])


def _row(name: str, trials: Sequence[Trial]) -> str:
    a = accuracy(trials)
    return (
        f"{name:24}{a.trials:5}{a.leading:9.1%}{a.first_three:13.1%}{a.median_checks:8g}"
        f"{a.log_score:8.3f}{a.brier:8.3f}"
    )


HEAD = f"{'':24}{'n':>5}{'leading':>9}{'first three':>13}{'checks':>8}{'log':>8}{'Brier':>8}"


def accuracy_table(worked: WorkedCases) -> str:
    """Scores by grade and in all, asking and told; then how far stated chances came true."""
    rows = []
    for name, trials in (("asking", worked.asking), ("told all", worked.told)):
        rows.append(_row(f"{name}, in all", trials))
        for grade in GRADES:
            rows.append(_row(f"{name}, {grade}", [t for t in trials if t.grade == grade]))
    bins = [
        f"  {name:9} stated {low:.0%} to {high:.0%}: {n:4} times, {stated:.0%} on average, right"
        f" {right:.0%}"
        for name, trials in (("asking", worked.asking), ("told all", worked.told))
        for low, high, n, stated, right in accuracy(trials).bins
    ]
    return _table("Worked cases", HEAD, [*rows, *bins])


def _misses(trials: Iterable[Trial], missed: Callable[[Trial], bool]) -> str:
    return "\n".join(
        f"  {t.case} ({t.symptom}): {t.leading} leads with {t.leading_probability:.0%}, confirmed"
        f" {t.right[0]} has place {t.place or 'none'}"
        for t in trials
        if missed(t)
    )


def test_the_accuracy_is_printed_by_grade(worked: WorkedCases) -> None:
    """The table names every grade, and each has trials; nothing scores better told than right."""
    table = accuracy_table(worked)
    print(table)

    assert all(f"asking, {grade}" in table for grade in GRADES)
    assert {t.grade for t in worked.asking} == set(GRADES)
    assert len(worked.asking) == len(worked.told)


def test_each_case_fares_as_it_was_last_looked_at(worked: WorkedCases) -> None:
    """Any change of a rank, a chance, a number of checks or of minutes shows, case by case.

    `python -m tests.snapshot` writes the file anew: its difference is what a change does.
    """
    kept = SNAPSHOT.read_text(encoding="utf-8").splitlines()

    assert snapshot(worked).splitlines() == kept, "see `python -m tests.snapshot`"


def test_the_leading_cause_is_right(worked: WorkedCases) -> None:
    """In nine of ten complaints the tool, asking, is led to the confirmed cause."""
    share = accuracy(worked.asking).leading

    assert share >= LEADING, f"{share:.1%}\n" + _misses(worked.asking, lambda t: t.place != 1)


def test_the_right_cause_is_among_the_first_three(worked: WorkedCases) -> None:
    """In 96 of 100 complaints the confirmed cause is one of the first three."""
    share = accuracy(worked.asking).first_three

    assert share >= FIRST_THREE, f"{share:.1%}\n" + _misses(
        worked.asking, lambda t: not 1 <= t.place <= 3
    )


def test_few_checks_are_asked(worked: WorkedCases) -> None:
    """Half of all complaints are done after eight checks beyond the three of the intake."""
    assert accuracy(worked.asking).median_checks <= MEDIAN_CHECKS


def test_stated_chances_are_not_boasts(worked: WorkedCases) -> None:
    """Where the tool states 80 % and more, it is right about as often as it says, on average."""
    sure = [t for t in worked.asking if t.leading_probability >= 0.8]
    stated = sum(t.leading_probability for t in sure) / len(sure)
    right = sum(t.place == 1 for t in sure) / len(sure)

    assert right >= stated - 0.08, f"stated {stated:.1%}, right {right:.1%}"


def test_a_healthy_job_costs_nobody_anything(worked: WorkedCases, base: Base) -> None:
    """Where nothing was wrong no one is made to pay, asked or told; mostly that is said outright."""
    healthy = [p for p in worked.played if is_healthy(base, p.told)]
    named = [
        (f"{p.case.id}: {trial.leading} leads, {' and '.join(payers)}", payers)
        for p in healthy
        for trial, each in zip(p.asking, p.payers, strict=True)
        for payers in each
    ]

    assert len(healthy) >= HEALTHY
    assert [says for says, payers in named if set(payers) - {NOBODY}] == []
    assert sum(payers == (NOBODY,) for _, payers in named) >= 0.65 * len(named)


def test_there_are_enough_cases_of_every_kind(worked: WorkedCases, base: Base) -> None:
    """A hundred cases at least, of three grades, over all symptoms and all origins."""
    grades = Counter(p.case.facts.get("grade") for p in worked.played)
    origins = {base.causes[c].origin for c in worked.causes if c != UNLISTED}

    assert len(worked.played) >= CASES
    assert set(grades) == set(GRADES)
    assert min(grades.values()) >= CASES / 10
    assert {t.symptom for t in worked.told} == set(base.symptoms)
    assert origins == set(Origin)


def test_every_case_says_what_proved_it_and_what_it_teaches(worked: WorkedCases) -> None:
    """Each complaint is closed with its proof and its remedy, each case with a lesson."""
    for played in worked.played:
        assert len(played.case.facts.get("lesson", "")) > 20, played.case.id
        for complaint in played.case.complaints:
            assert complaint.outcome is not None, played.case.id
            assert len(complaint.outcome.confirmed_by) > 20, played.case.id
            assert complaint.outcome.remedy, played.case.id
            assert complaint.outcome.payer, played.case.id


@dataclass(frozen=True, slots=True)
class Proof:
    """What the cases prove of a cause: cases of it, and near twins in which it must not lead."""

    cause: str
    own: int
    twins: int


def proofs(worked: WorkedCases, base: Base) -> list[Proof]:
    """For each cause its own cases, and the cases of its symptoms in which it stays behind.

    A near twin is a complaint of another cause in which this one is among the first three when
    all is told, and does not lead: it looked like it, and it was not.
    """
    own = Counter(cause for t in worked.told for cause in t.right)
    twins: Counter[str] = Counter()
    reasoner = Reasoner(base)
    for played in worked.played:
        for trial in played.told:
            record = played.case.answers(played.case.complaint(trial.number))
            ranked = reasoner.differential(AnsweredComplaint(trial.symptom, record)).standings[:3]
            twins.update(s.cause.id for s in ranked[1:] if s.cause.id not in trial.right)
    return [Proof(c, own[c], twins[c]) for c in base.causes]


def test_causes_without_proof_are_listed(worked: WorkedCases, base: Base) -> None:
    """The table names each cause without a case of its own or without a near twin."""
    found = proofs(worked, base)
    lacking = [p for p in found if not (p.own and p.twins)]
    rows = [f"{p.cause:32}{p.own:8}{p.twins:8}" for p in lacking]
    print(_table("Causes that lack a proof", f"{'cause':32}{'cases':>8}{'twins':>8}", rows))

    assert {p.cause for p in found} == set(base.causes)
    assert {p.cause for p in found if p.own} == worked.causes - {UNLISTED}
    assert len(lacking) < len(found)
