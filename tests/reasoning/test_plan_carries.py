"""Who carries the cost, whether a new piece matches, and the sheet for laying it again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.reasoning.correction.aftermath import laying_sheet, match, notes
from diagnose.reasoning.correction.verdict import Carries, Hand, Verdict, apart, carries
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint, Diagnosis
from diagnose.reasoning.evidence.weigh import Differential
from diagnose.records.case.casefile import read_case
from diagnose.records.case.complaints import complaints_of
from tests.reasoning.plan_cases import base as small_base
from tests.reasoning.plan_cases import diagnosed


def likely(symptom: str, answers: dict[str, str], **shares: float) -> Diagnosis:
    """A diagnosis in which the causes have these probabilities."""
    found = diagnosed((symptom, answers)).diagnoses[0]
    standings = tuple(
        sorted(
            (
                replace(s, probability=shares.get(s.cause.id, 0.0))
                for s in found.differential.standings
            ),
            key=lambda s: -s.probability,
        )
    )
    unlisted = 1 - sum(s.probability for s in standings)
    return replace(found, differential=Differential(symptom, standings, unlisted, 0.05))


def judged(
    answers: dict[str, str], facts: dict[str, str] | None = None, **shares: float
) -> Carries:
    """Who carries the cost of a lifted edge."""
    return carries(small_base(), likely("lifting", answers, **shares), facts or {})


def test_a_payer_is_named_where_it_leads_and_its_papers_are_there() -> None:
    """Pull 90 %: the shop that laid it."""
    its = judged({}, pulled=0.9, bad_lot=0.05)
    assert (its.verdict, its.payers) == (Verdict.NAMED, ("installer",))


def test_causes_with_the_same_payer_add_up() -> None:
    """Pull 50 % and dirt 45 % are both the shop's: 95 %."""
    its = judged({}, pulled=0.5, dirty=0.45)
    assert its.sides[0].payer == "installer"
    assert its.sides[0].probability == pytest.approx(0.95)
    assert its.sides[0].causes == ("pulled", "dirty")


def test_what_a_payer_needs_is_asked_for() -> None:
    """The roll 95 %, the lot not noted: likely the maker, and the lot is missing."""
    its = judged({}, bad_lot=0.95)
    assert (its.verdict, its.payers) == (Verdict.PAPERS_MISSING, ("maker",))
    assert its.sides[0].missing == ("The lot is noted.",)
    assert its.sides[0].open_checks == ("lot",)
    assert judged({"lot": "noted"}, bad_lot=0.95).verdict == Verdict.NAMED


def test_two_payers_within_ten_decibans_are_not_told_apart() -> None:
    """70 against 25 % is 4.5 decibans: undetermined, with both sides shown."""
    its = judged({"lot": "noted"}, bad_lot=0.7, pulled=0.25)
    assert (its.verdict, its.payers) == (Verdict.UNDETERMINED, ())
    assert [s.payer for s in its.sides] == ["maker", "installer"]
    names = [small_base().payers[s.payer].name for s in its.sides]
    assert its.because.startswith(f"it lies between '{names[0]}' and '{names[1]}'")
    assert apart(0.7, 0.25) == pytest.approx(4.47, abs=0.01)


def test_nobody_is_named_under_forty_percent() -> None:
    """The likeliest side at 38 %: undetermined."""
    its = judged({}, pulled=0.38, bad_lot=0.02)
    assert its.verdict == Verdict.UNDETERMINED
    assert "40%" in its.because


def test_what_speaks_against_a_side_knocks_it_out() -> None:
    """The roll 95 %, but the film was stretched: the maker would refuse."""
    its = judged({"lot": "noted", "pull": "gapes"}, bad_lot=0.95)
    assert its.verdict == Verdict.UNDETERMINED
    assert its.sides[0].against == ("The film was stretched.",)


def test_an_exception_moves_the_cost() -> None:
    """Dirt is the shop's, unless a care sheet was handed over: then the owner's."""
    assert judged({}, dirty=0.95).payers == ("installer",)
    assert judged({"care": "given"}, dirty=0.95).payers == ("owner",)


def test_what_would_turn_it() -> None:
    """With dirt in the lead the care sheet would turn it: given in 60 of 100, to the owner."""
    turns = {t.check: t for t in judged({}, dirty=0.95).turns}
    assert turns["care"].answer == "given"
    assert turns["care"].payer == "owner"
    assert turns["care"].chance == pytest.approx(0.6)
    assert "care" not in {t.check for t in judged({"care": "not_given"}, dirty=0.95).turns}


def test_papers_of_the_maker_as_a_list_to_tick_off() -> None:
    """The lot by its answer or the case's note, the cut by any answer, the invoice to be got."""
    papers = {p.says: p.hand for p in judged({"pull": "closed"}, bad_lot=0.95).papers}
    assert papers == {
        "Lot number": Hand.TO_GET,
        "Relief cut": Hand.AT_HAND,
        "Invoice": Hand.TO_GET,
    }
    noted = judged({}, {"lot": "L-2207"}, bad_lot=0.95)
    assert noted.papers[0].hand == Hand.AT_HAND
    lost = judged({"lot": "lost"}, {"lot": "L-2207"}, bad_lot=0.95)
    assert lost.papers[0].hand == Hand.NOT_THERE


def test_two_causes_proved_together_are_shared() -> None:
    """Pull lines and the fan of a jet, and a signed care sheet: the shop and the owner share."""
    both = {"lines": "seen", "jet": "seen", "care": "given"}
    its = judged(both, pulled=0.6, jetted=0.38)
    assert its.verdict == Verdict.SHARED
    assert set(its.payers) == {"installer", "owner"}
    assert {p.says for p in its.papers} == set()


def test_nobody_shares_with_what_costs_nothing(reasoner: Reasoner) -> None:
    """Silvering that was pressed too lightly, in a film that settles: there is no second side."""
    path = Path(__file__).parents[2] / "cases" / "tailgate_milky_patch.yaml"
    found, problems = read_case(path.name, path.read_text(encoding="utf-8"), reasoner.base)
    assert found is not None, problems
    (diagnosis,) = reasoner.car(complaints_of(reasoner.base, found.case)).diagnoses

    its = carries(reasoner.base, diagnosis, found.case.facts)

    assert "nobody" in {side.payer for side in its.sides}
    assert its.verdict != Verdict.SHARED


def test_a_side_without_its_own_proof_does_not_share() -> None:
    """Without the care sheet the owner's part is not proved; without the fan nothing shows it."""
    without_sheet = judged({"lines": "seen", "jet": "seen"}, pulled=0.6, jetted=0.38)
    without_fan = judged({"lines": "seen", "care": "given"}, pulled=0.6, jetted=0.38)
    assert without_sheet.verdict == without_fan.verdict == Verdict.UNDETERMINED


@pytest.mark.parametrize(
    ("values", "reaches"),
    [
        ({"age_months": "3"}, "piece"),
        ({"age_months": "30"}, "neighbours"),
        ({"age_months": "3", "film_finish": "metallic_or_pearl"}, "neighbours"),
        ({"age_months": "30", "sun_comparison": "exposed_worse"}, "side"),
        ({"artwork_kind": "gradient_over_panels"}, "side"),
        ({"age_months": "3", "lots_on_car": "mixed_lots"}, "neighbours"),
    ],
)
def test_how_far_a_replacement_must_reach(base: Base, values: dict[str, str], reaches: str) -> None:
    """Age, lot, direction, fading and artwork say how much must go so that it does not show."""
    from diagnose.knowledge.logic.answers import parse

    known = {k: parse(base.checks[k], v) for k, v in values.items()}
    its = match(base, known)  # type: ignore[arg-type]
    assert its.reaches == reaches
    assert its.reasons


def test_matching_names_what_is_not_known() -> None:
    """The lot was not looked up: it could widen the replacement to the side."""
    assert match(small_base(), {}).unknown == ("lot",)
    assert match(small_base(), {"lot": "lost"}).reaches == "side"


def test_notes_are_of_this_complaint() -> None:
    """What a film takes of a blow is said of the sheen here and not of the edge."""
    sheen, edge = likely("sheen", {}), likely("lifting", {})
    assert [n.says for n in notes(small_base(), "impact", sheen)] == ["A film takes a part."]
    assert notes(small_base(), "impact", edge) == ()
    assert notes(small_base(), "under_film", edge)[0].payer == "owner"


def test_a_blow_is_told_by_the_film(base: Base, reasoner: Reasoner) -> None:
    """After a stone, colour film is said to take up scuffs, clear film most small blows."""
    for film, share in (("cast_pvc", "scuffs"), ("clear_protective_pu", "most small blows")):
        complaint = AnsweredComplaint(
            "torn_edges", {"damage_point": "stone_pit", "film_class": film}
        )
        said = " ".join(n.says for n in notes(base, "impact", reasoner.diagnose(complaint)))
        assert share in said
        assert "wipe off with a finger" in said


def test_the_sheet_is_in_the_order_of_the_work_and_marks_what_was_missing() -> None:
    """Pull leads: its step is marked; the step for prints is left out on plain film."""
    plain = likely("lifting", {"finish": "plain"}, pulled=0.9)
    steps = laying_sheet(small_base(), [plain])
    assert [s.says for s in steps] == ["Pull along the edge."]
    assert steps[0].prevents == ("pulled",)
    printed = likely("lifting", {"finish": "print"}, dirty=0.9)
    assert [s.says for s in laying_sheet(small_base(), [printed])] == [
        "Pull along the edge.",
        "Let the print dry.",
    ]


def test_the_shipped_sheet_goes_from_washing_to_the_look_after_two_days(base: Base) -> None:
    """Wash, gaps, warm, wipe, edges last, tape, pull, strokes, post-heat, look, check again."""
    steps = list(base.work_steps)
    wanted = [
        "ws_wash",
        "ws_gaps",
        "ws_warm",
        "ws_wipe",
        "ws_edges_last",
        "ws_tape",
        "ws_pull",
        "ws_no_second_stretch",
        "ws_strokes",
        "ws_post_heat",
        "ws_look",
        "ws_again",
    ]
    assert [s for s in steps if s in wanted] == wanted
