"""Who pays if it is this cause: one judgement, whoever asks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.knowledge.base import Base
from diagnose.practice.session.judge import Judge
from diagnose.reasoning.correction.verdict import carries
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.weigh import Differential
from diagnose.reasoning.payer import on_file, pays
from tests.reasoning.plan_cases import RULES
from tests.reasoning.plan_cases import base as small_base

WAXED = {"care_sheet": "not_handed_over", "events_since": "detailing_or_coating"}
"""No care sheet, and a care firm worked on the car: both exceptions of waxed matte film hold."""


@pytest.mark.parametrize(
    ("answers", "payer", "as_a_rule"),
    [
        ({}, "owner_care", True),
        ({"care_sheet": "handed_over"}, "owner_care", True),
        ({"care_sheet": "not_handed_over"}, "installer", False),
        ({"events_since": "detailing_or_coating"}, "third_party", False),
        (WAXED, "installer", False),
    ],
)
def test_the_first_exception_that_holds_pays(
    base: Base, answers: dict[str, str], payer: str, as_a_rule: bool
) -> None:
    """Wax on matte film: the owner as a rule; of two exceptions that hold, the one named first."""
    found = pays(base.causes["wax_on_matte"], answers)

    assert (found.payer, found.as_a_rule) == (payer, as_a_rule)
    assert found.because


def test_everyone_names_the_same_payer_where_two_exceptions_hold(
    base: Base, reasoner: Reasoner
) -> None:
    """Report, plan and practice name the shop, and the cause has no second payer in the report."""
    seen = {"film_finish": "matte", "chemicals": "wax_polish_or_sealant"} | WAXED
    diagnosis = reasoner.diagnose(AnsweredComplaint("sheen_patches", seen))

    concluded = [p for p in diagnosis.conclusion.pays if p.cause == "wax_on_matte"]
    sides = [s for s in carries(base, diagnosis, {}).sides if "wax_on_matte" in s.causes]

    assert [p.payer for p in concluded] == ["installer"]
    assert [s.payer for s in sides] == ["installer"]
    assert Judge(reasoner).payer("wax_on_matte", diagnosis.trace.values) == "installer"


def test_no_cause_of_a_conclusion_has_two_payers(base: Base, reasoner: Reasoner) -> None:
    """Whatever holds at once, each cause that is acted on is listed once among those who pay."""
    seen = WAXED | {"risk_waiver": "signed", "handover_photos": "sound_then"}
    for symptom in ("wash_marring", "recess_pop_out"):
        found = reasoner.diagnose(AnsweredComplaint(symptom, seen)).conclusion.pays
        assert len(found) > 1
        assert len({p.cause for p in found}) == len(found)


@pytest.mark.parametrize(
    ("answers", "there", "missing", "unknown", "against"),
    [
        ({}, (), ("The lot is noted.",), ("The lot is noted.",), ()),
        ({"lot": "lost"}, (), ("The lot is noted.",), (), ()),
        ({"lot": "noted"}, ("The lot is noted.",), (), (), ()),
        (
            {"lot": "noted", "pull": "gapes"},
            ("The lot is noted.",),
            (),
            (),
            ("The film was stretched.",),
        ),
    ],
)
def test_what_of_a_payers_evidence_is_there(
    answers: dict[str, str],
    there: tuple[str, ...],
    missing: tuple[str, ...],
    unknown: tuple[str, ...],
    against: tuple[str, ...],
) -> None:
    """A paper that nothing is known of is missing, as one is that is known to be lost."""
    found = on_file(small_base().payers["maker"], answers)

    assert (found.there, found.missing, found.against) == (there, missing, against)
    assert tuple(e.says for e in found.unknown) == unknown


LOT_TOO = RULES.replace(
    "{payer: owner, when: {care: given}, because: he was told}",
    "{payer: owner, when: {care: given}, because: he was told},"
    " {payer: maker, when: {lot: lost}, because: nobody can tell}",
)
"""Dirt is the owner's where a care sheet was handed over, else the maker's where no lot is kept."""


@pytest.mark.parametrize(("care", "turned"), [("not_given", True), ("given", False)])
def test_what_is_open_behind_an_exception_that_holds_cannot_turn_it(
    care: str, turned: bool
) -> None:
    """Once the care sheet makes it the owner's, the lot is no longer asked for by dirt."""
    tool = Reasoner(small_base(LOT_TOO))
    diagnosis = tool.diagnose(AnsweredComplaint("lifting", {"care": care}))
    dirt = next(s for s in diagnosis.differential.standings if s.cause.id == "dirty")
    alone = Differential("lifting", (replace(dirt, probability=0.95),), 0.05, 0.05)

    turns = carries(tool.base, replace(diagnosis, differential=alone), {}).turns

    assert ("lot" in {turn.check for turn in turns if turn.payer == "maker"}) == turned
