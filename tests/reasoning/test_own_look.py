"""What a symptom shows by its own look: known without asking, and evidence for nobody."""

from __future__ import annotations

from pathlib import Path

import polars as pl
import pytest

from diagnose.claims.run import run
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint, Diagnosis
from diagnose.reasoning.evidence.columns import columns
from diagnose.reasoning.explanation.explain import contradictions
from tests.claims.tables import COMPLETE, job
from tests.shipped import shipped_base
from tests.small import REST, small

LOOKS = [
    (symptom.id, check, word)
    for symptom in shipped_base().symptoms.values()
    for check, word in symptom.shows.items()
]
"""Every look of the shipped base: symptom, check and its answer."""


def chances(diagnosis: Diagnosis) -> dict[str, float]:
    """The probability of each cause."""
    return {s.cause.id: s.probability for s in diagnosis.differential.standings}


def other(base: Base, check: str, word: str) -> str:
    """Another answer of a check."""
    return next(answer for answer in base.checks[check].answers if answer != word)


@pytest.mark.parametrize(("symptom", "check", "word"), LOOKS)
def test_it_is_known_without_asking_and_never_asked(
    reasoner: Reasoner, symptom: str, check: str, word: str
) -> None:
    """Film that stands across a hollow is in a recess: nobody has to be asked where it is."""
    found = reasoner.diagnose(AnsweredComplaint(symptom, {}))

    assert found.trace.values[check] == word
    assert all(check not in question.asks for question in found.choice.questions)
    assert not found.trace.contradictions


@pytest.mark.parametrize(("symptom", "check", "word"), LOOKS)
def test_it_is_evidence_for_nobody_whatever_is_answered(
    reasoner: Reasoner, symptom: str, check: str, word: str
) -> None:
    """No row of a cause weighs it, in either evaluator; saying it oneself changes nothing."""
    untold = reasoner.diagnose(AnsweredComplaint(symptom, {}))
    told = reasoner.diagnose(AnsweredComplaint(symptom, {check: word}))

    assert chances(told) == chances(untold)
    assert check not in reasoner.table(symptom).rows
    weights = [w for s in told.differential.standings for w in s.weights]
    assert all(w.subjects != (check,) for w in weights)
    for answers in ({}, {check: word}, {check: other(reasoner.base, check, word)}):
        by_chain = chances(reasoner.diagnose(AnsweredComplaint(symptom, answers)))
        scores = reasoner.matrix(symptom).score(columns(reasoner.base, [answers]))
        names = [cause.id for cause in reasoner.table(symptom).causes]
        by_matrix = dict(zip(names, scores.probabilities[0].tolist(), strict=False))
        assert by_matrix == pytest.approx(by_chain, abs=1e-12)


@pytest.mark.parametrize(("symptom", "check", "word"), LOOKS)
def test_another_answer_is_told_as_a_contradiction(
    reasoner: Reasoner, symptom: str, check: str, word: str
) -> None:
    """Who sees something else is told to look again, or to see whether it is another symptom."""
    base = reasoner.base
    said = other(base, check, word)
    found = reasoner.diagnose(AnsweredComplaint(symptom, {check: said}))

    (told,) = [c for c in contradictions(base, found) if "by itself" in c[0]]
    because, seen = told
    assert base.symptoms[symptom].name in because
    assert base.checks[check].answers[word].says in because
    assert seen == ((base.checks[check].name, base.checks[check].answers[said].says),)


LOOK = REST.replace("where: doors,", "where: doors, shows: {adhesive: dirty},")
"""The small base, in which bumps are dirt by definition."""


@pytest.mark.parametrize(
    ("answers", "found"),
    [({}, "found"), ({"adhesive": "clean"}, "not_found")],
)
def test_findings_follow_from_it_until_a_person_says_otherwise(
    answers: Answers, found: str
) -> None:
    """Dirt is found without asking; a person who sees a clean adhesive side is believed."""
    tool = Reasoner(small(LOOK))

    assert tool.trace(AnsweredComplaint("bumps", answers)).values["dirt"] == found


def test_elsewhere_it_is_a_check_like_any_other() -> None:
    """Behind another symptom the same check is asked and weighs."""
    tool = Reasoner(small(LOOK))

    asked = [q.observable for q in tool.diagnose(AnsweredComplaint("lifting", {})).choice.questions]
    assert "adhesive" in asked
    assert "adhesive" in tool.table("lifting").rows
    assert "adhesive" not in tool.table("bumps").rows


def test_a_backlog_knows_it_too(base: Base, tmp_path: Path) -> None:
    """In a table of claims it is not asked for, weighs nothing, and another answer is told."""
    symptom, check, word = LOOKS[0]
    answers = base.checks[check].answers
    says = [None, answers[word].says, answers[other(base, check, word)].says]
    rows = [COMPLETE | {"symptom": symptom, check: said} for said in says]
    frame = pl.DataFrame(rows, infer_schema_length=None)
    frame.write_parquet(tmp_path / "in.parquet")
    run(job(base, tmp_path / "in.parquet", tmp_path / "out.parquet"))
    untold, told, otherwise = pl.read_parquet(tmp_path / "out.parquet").rows(named=True)

    assert untold["cause_1_percent"] == told["cause_1_percent"] == otherwise["cause_1_percent"]
    asked = {row[f"ask_for_{n}"] for row in (untold, told) for n in (1, 2, 3)}
    assert base.checks[check].ask not in asked
    assert untold["contradictions"] is None
    assert "by itself" in otherwise["contradictions"]
