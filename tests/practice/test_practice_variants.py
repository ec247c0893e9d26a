"""Items come from worked cases; a variant is given only where its answer still stands."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN
from diagnose.knowledge.panels import PANELS
from diagnose.practice.items.bank import Bank, items_of
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Session
from diagnose.practice.session.variants import NoItem, find, make, same_answer, varied
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case.journal import Case, Outcome
from diagnose.records.case.journal import Complaint as Recorded

DOOR = "door_return_after_wash.1"


def test_every_complaint_with_an_outcome_is_an_item(bank: Bank) -> None:
    """A case of two complaints gives two items, each with its own record."""
    both = [i for i in bank.items if i.startswith("gull_and_lance_on_the_pickup")]
    assert both == ["gull_and_lance_on_the_pickup.1", "gull_and_lance_on_the_pickup.2"]
    first, second = (bank.items[i] for i in both)
    assert first.right == ("dirt_left_on",)
    assert second.right == ("pressure_lance",)
    assert first.record["lance_distance_mm"] == second.record["lance_distance_mm"]
    assert "jet_marks" not in first.record


def test_item_does_not_give_itself_away(bank: Bank) -> None:
    """What is told at the start leaves out the title and the lesson of the case."""
    for item in bank.items.values():
        assert not {"title", "lesson", "installer", "lot"} & set(item.facts)
        assert set(item.given) <= set(item.record)


def test_all_grades_and_most_causes_are_taught(bank: Bank, base: Base) -> None:
    """The shipped cases teach each grade and most causes of the rule base."""
    assert {i.grade for i in bank.items.values()} == {"plain", "tricky", "treacherous"}
    assert len(bank.causes()) > len(base.causes) / 2


def test_case_without_outcome_or_with_a_foreign_cause_is_no_item(base: Base) -> None:
    """Only what is confirmed can be practised, and only if it can lie behind the symptom."""
    open_one = Recorded(1, "edge_lifting", "bonnet")
    foreign = Recorded(2, "edge_lifting", "bonnet", outcome=Outcome("hail", "seen"))
    closed = Recorded(3, "edge_lifting", "bonnet", outcome=Outcome("unlisted", "nothing fitted"))
    items = items_of(base, Case("shop", complaints=(open_one, foreign, closed)))
    assert [(i.number, i.right, i.grade) for i in items] == [(3, ("unlisted",), "tricky")]


def test_values_are_those_of_the_explaining_engine(
    bank: Bank, judge: Judge, reasoner: Reasoner
) -> None:
    """What the judge reckons quickly is what the chain of rules concludes, measures included."""
    for item in [bank.items[DOOR], bank.items["cup_bridged_first.1"], *bank.items.values()][:5]:
        trace = reasoner.trace(AnsweredComplaint(item.symptom, item.record))
        assert dict(judge.values(item)) == dict(trace.values)
        leading = reasoner.differential(AnsweredComplaint(item.symptom, item.record)).leading
        assert leading is not None
        assert judge.full(item)[leading.cause.id] == pytest.approx(leading.probability)


def test_variants_of_the_bank_keep_their_answer(bank: Bank, judge: Judge) -> None:
    """Every variant that is given out leads to the same cause, remedy and payer as its case."""
    kinds = set()
    sound = [item for item in bank.items.values() if judge.sound(item)]
    for number, item in enumerate(sound[:60]):
        variant = varied(judge, item, Random(number))
        if variant is None:
            continue
        kinds.add(variant.id.partition("~")[2].partition(":")[0])
        assert judge.answer(variant) == judge.answer(item)
        assert judge.answer(variant).cause in item.right
        assert judge.contradicted(variant) <= judge.contradicted(item)
        assert find(bank, judge.base, variant.id) == variant
        assert variant.twist
    assert kinds == {"panel", "first", "without", "with"}


def test_other_panel(bank: Bank, base: Base) -> None:
    """The same story on the other side; a remark that names the place is left out."""
    variant = make(base, bank.items[DOOR], "panel:front_door_right")
    assert PANELS[variant.panel] == "Front door, right"
    assert "remark" in bank.items[DOOR].facts
    assert "remark" not in variant.facts
    assert variant.record == bank.items[DOOR].record


def test_other_order(bank: Bank, base: Base) -> None:
    """Something about the vehicle is told at the start instead of only when asked."""
    variant = make(base, bank.items[DOOR], "first:wash_method")
    assert next(iter(variant.given)) == "wash_method"
    assert set(variant.given) == {*bank.items[DOOR].given, "wash_method"}


def test_an_answer_missing(bank: Bank, base: Base) -> None:
    """The record does not say what is left out."""
    variant = make(base, bank.items[DOOR], "without:thumb_relay")
    assert Session(variant).look(base, "thumb_relay").looks[0].answer is UNKNOWN


def test_a_distractor(bank: Bank, base: Base) -> None:
    """An answer is added that the case lacks."""
    variant = make(base, bank.items[DOOR], "with:care_sheet=handed_over")
    assert "care_sheet" not in bank.items[DOOR].record
    assert variant.record["care_sheet"] == "handed_over"


def test_a_variant_that_would_change_the_answer_is_refused(bank: Bank, judge: Judge) -> None:
    """Taking away what the answer rests on is noticed."""
    item = bank.items[DOOR]
    bare = replace(item, id=f"{DOOR}~bare", record=dict(item.given))
    assert not same_answer(judge, item, bare)
    assert same_answer(judge, item, replace(item, id=f"{DOOR}~same"))


def test_no_variants_of_what_the_engine_gets_wrong(bank: Bank, judge: Judge) -> None:
    """Where the record does not lead to what was confirmed, nothing could check a variant."""
    item = bank.items["chrome_cap_read_forty_degrees.1"]
    wrong = replace(item, id="wrong.1", outcome=replace(item.outcome, cause="unlisted"))
    assert not judge.sound(wrong)
    assert varied(judge, wrong, Random(1)) is None


@pytest.mark.parametrize(
    "item_id", ["nothing.1", f"{DOOR}~panel:moon", f"{DOOR}~odd:x", f"{DOOR}~with:care_sheet=blue"]
)
def test_an_id_that_fits_nothing_is_told(bank: Bank, base: Base, item_id: str) -> None:
    """An item that is no longer there, or a twist that fits none, is told by its id."""
    with pytest.raises(NoItem, match="there is no practice case"):
        find(bank, base, item_id)
