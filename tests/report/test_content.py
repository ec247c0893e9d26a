"""What a report says of a case, before any format: causes, success, who pays, doubts."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

import pytest
import yaml

from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.explanation.explain import how_sure
from diagnose.records.case.casefile import read_case
from diagnose.report.content.data import ComplaintReport, Payment
from diagnose.report.content.whole import whole
from tests.reasoning.plan_cases import base as plan_base
from tests.small import REST, small

SEALED = REST.replace("remedies: {relay: 60, renew", "remedies: {relay: 60, seal: 20, renew")
MADE = datetime(2026, 11, 25, 9, 0)


def reported(
    tool: Reasoner, answers: Mapping[str, object], symptom: str = "lifting"
) -> ComplaintReport:
    """What is said of one complaint on a bonnet; answers may hold for the whole vehicle."""
    scope = {name: tool.base.checks[name].scope == "vehicle" for name in answers}
    told = {
        "case": "made_up",
        "circumstances": {n: a for n, a in answers.items() if scope[n]},
        "complaints": [
            {
                "symptom": symptom,
                "panel": "bonnet",
                "answers": {n: a for n, a in answers.items() if not scope[n]},
            }
        ],
    }
    found, problems = read_case("made_up.yaml", yaml.safe_dump(told), tool.base)
    assert found is not None, problems
    return whole(tool, found.case, MADE, "0", None).complaints[0]


@pytest.fixture(scope="module")
def shop() -> Reasoner:
    """A base with three payers, one of whom needs a paper."""
    return Reasoner(plan_base())


@pytest.fixture(scope="module")
def edges() -> Reasoner:
    """The small base, in which a pull may be sealed."""
    return Reasoner(small(SEALED))


def test_a_step_ends_the_matter_as_often_as_its_causes_are_likely_and_it_helps(
    shop: Reasoner,
) -> None:
    """Re-laying ends 60 of 100 pulls; where a pull is 38 of 100, it ends 23 of 100 such cases."""
    found = reported(shop, {})
    chance = {cause.id: cause.probability for cause in found.ranked}

    success = {step.id: step.holds for step in found.correction}

    assert success["relay"] == pytest.approx(0.60 * chance["pulled"])
    assert success["seal"] == pytest.approx(0.20 * chance["pulled"] + 0.10 * chance["dirty"])
    assert success["renew"] == pytest.approx(0.90 * (1 - found.unlisted))
    assert success["set"] == pytest.approx(0.95 * chance["bad_lot"])
    assert 0.22 < success["relay"] < 0.24


@pytest.mark.parametrize("answers", [{}, {"pull": "gapes"}, {"lines": "seen"}, {"jet": "seen"}])
def test_no_step_ends_more_cases_than_its_causes_make(
    shop: Reasoner, answers: dict[str, str]
) -> None:
    """Whatever is answered, a step never promises more than that it is a cause that is listed."""
    found = reported(shop, answers)
    listed = 1 - found.unlisted

    assert found.correction
    for step in found.correction:
        assert 0 < step.holds <= listed


def payment(found: ComplaintReport, payer: str) -> Payment:
    """What is said of one payer."""
    return next(p for p in found.payments if p.payer == payer)


@pytest.mark.parametrize(
    ("answers", "on_file", "missing", "against"),
    [
        ({}, (), ("The lot is noted.",), ()),
        ({"lot": "unknown"}, (), ("The lot is noted.",), ()),
        ({"lot": "lost"}, (), ("The lot is noted.",), ()),
        ({"lot": "noted"}, ("The lot is noted.",), (), ()),
        (
            {"pull": "gapes", "lines": "none"},
            (),
            ("The lot is noted.",),
            ("The film was stretched.",),
        ),
    ],
)
def test_evidence_of_a_payer_is_missing_until_it_is_shown(
    shop: Reasoner,
    answers: dict[str, str],
    on_file: tuple[str, ...],
    missing: tuple[str, ...],
    against: tuple[str, ...],
) -> None:
    """A lot that nobody asked for, or could not tell, is missing as much as one that is lost."""
    maker = payment(reported(shop, answers), "maker")

    assert (maker.on_file, maker.missing, maker.against) == (on_file, missing, against)


def test_each_cause_has_one_payer_and_the_likeliest_stands_first(shop: Reasoner) -> None:
    """With a care sheet handed over dirt is the owner's, and nobody else is named for it."""
    found = reported(shop, {"care": "given", "lines": "none"})

    causes = [p.cause for p in found.payments]
    chance = {cause.name: cause.probability for cause in found.ranked}
    assert len(set(causes)) == len(causes)
    assert [chance[c] for c in causes] == sorted((chance[c] for c in causes), reverse=True)
    dirt = next(p for p in found.payments if p.cause == "Dirt at the edge")
    assert (dirt.payer, dirt.as_a_rule, dirt.because) == ("owner", False, "he was told")


def test_what_must_not_be_done_is_said_once_with_every_reason(edges: Reasoner) -> None:
    """Sealing over dirt is barred by what was found and by the cause: one line, both reasons."""
    never = reported(edges, {"adhesive": "dirty", "cut": "closed"}).never

    assert [said.name for said in never] == ["Seal"]
    assert "dirt stays below" in never[0].words
    assert "the dirt stays" in never[0].words
    assert "Instead: re-lay." in never[0].words


def test_answers_that_cannot_both_be_right_stand_with_their_reason(edges: Reasoner) -> None:
    """The reason, and each of the two answers by the name of its check."""
    ((because, answers),) = reported(edges, {"adhesive": "wet", "care": "given"}).contradictions

    assert because == "one of the two is wrong"
    assert {str(said) for said in answers} == {"Adhesive: wet", "Care sheet: given"}


def test_a_symptom_that_the_answers_rather_speak_for_is_named(reasoner: Reasoner) -> None:
    """Of every pair that is mistaken for one another, the telling answer names the other."""
    told = 0
    for symptom in list(reasoner.base.symptoms.values())[:12]:
        for other in symptom.confused_with[:1]:
            if other.check:
                found = reported(reasoner, {other.check: other.answers[0]}, symptom.id)
                name = reasoner.base.symptoms[other.symptom].name
                assert (name, other.tells) in found.rather
                told += 1
    assert told > 3


def test_what_is_impossible_stands_with_the_answer_that_says_so(edges: Reasoner) -> None:
    """Wet adhesive rules the cold out, plain film the print; neither is ranked any more."""
    found = reported(edges, {"adhesive": "wet", "printed": "plain"}, "bumps")

    assert {(out.name, str(out.by)) for out in found.ruled_out} == {
        ("Too cold", "Adhesive: wet"),
        ("Solvent left in the print", "Printed: plain"),
    }
    assert not {out.name for out in found.ruled_out} & {cause.name for cause in found.ranked}


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.96, "leads clearly"),
        (0.95, "leads clearly"),
        (0.949, "probable"),
        (0.75, "probable"),
        (0.749, "possible"),
        (0.40, "possible"),
        (0.399, "not settled"),
        (0.0, "not settled"),
    ],
)
def test_how_sure_is_said_by_the_scales(probability: float, words: str) -> None:
    """95, 75 and 40 of 100 in the small base: from there on, and not before."""
    assert how_sure(small(), probability) == words


def test_every_conclusion_says_how_sure_it_is(shop: Reasoner) -> None:
    """The words in the report are those of its own number."""
    for answers in ({}, {"lines": "seen"}, {"jet": "seen"}, {"lines": "seen", "pull": "gapes"}):
        found = reported(shop, answers)
        assert found.how_sure == how_sure(shop.base, found.probability)
        assert found.settled == (found.how_sure != "not settled")
