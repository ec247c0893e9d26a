"""What if: another rate, a remedy that failed, a cause that is known; and what may be tried."""

from __future__ import annotations

import pytest

from diagnose.knowledge.base import Base
from diagnose.reasoning.correction.plan import CarPlan, plan_car
from diagnose.reasoning.correction.pricing import Pricer, WorkPlace
from diagnose.reasoning.correction.shared_causes import worlds
from diagnose.reasoning.correction.situation import CannotSuppose, candidates, situations
from diagnose.reasoning.correction.what_if import parse, what_if, with_figure
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint, CarDiagnosis
from tests.reasoning.plan_cases import base as small_base
from tests.reasoning.plan_cases import diagnosed, places, pricer, shop


def edge() -> CarDiagnosis:
    """A lifted edge whose relief cut gapes."""
    return diagnosed(("lifting", {"pull": "gapes", "finish": "plain"}))


def supposed(text: str) -> CarPlan:
    """The plan of the edge under a supposition."""
    car = edge()
    its = pricer()
    where = places(car, "front_door_left")
    return what_if(its, car, where, parse(text, small_base(), its.shop)).plan


def planned() -> CarPlan:
    """The plan of the edge as it stands."""
    car = edge()
    return plan_car(pricer(), situations(small_base(), car, places(car, "front_door_left")))


def test_another_labour_rate_changes_the_money_only() -> None:
    """At 80 an hour half an hour of re-laying costs 10 more, looking again 5, as does the visit."""
    plain, dear = planned().complaints[0], supposed("labour_rate=80").complaints[0]
    costs = {s.remedy: s.cost for s in plain.starts}
    assert {s.remedy: s.cost for s in dear.starts}["relay"] == pytest.approx(costs["relay"] + 15)
    assert [s.holds for s in dear.steps] == pytest.approx([s.holds for s in plain.steps])


def test_a_remedy_that_failed_is_not_tried_again_and_weighs_the_causes_anew() -> None:
    """Re-laid in vain: pull is less likely by Bayes' rule, and the new piece a tenth dearer."""
    car = edge()
    where = places(car, "front_door_left")
    before = situations(small_base(), car, where)[0].shares
    after = situations(small_base(), car, where, [(None, "relay")])[0].shares
    left = {c: p * (0.4 if c == "pulled" else 1.0) for c, p in before.items()}
    total = sum(left.values())
    assert after == pytest.approx({c: p / total for c, p in left.items()})
    starts = {s.remedy: s for s in supposed("failed=relay").complaints[0].starts}
    assert "relay" not in starts
    assert starts["renew"].cost == pytest.approx(226 * 1.1)


def test_what_failed_may_have_to_be_done_again_once_the_cause_is_told() -> None:
    """A shiny patch that is stretched: printed again in vain, it is looked at and printed again."""
    car = diagnosed(("sheen", {"finish": "print"}))
    its, where = pricer(), places(car, "front_door_left")
    text = "cause=stretched, failed=reprint"
    plan = what_if(its, car, where, parse(text, small_base(), its.shop)).plan.complaints[0]
    assert plan.steps == ()
    printed = its.price(its.base.remedies["reprint"], where[:1]).likely
    assert plan.expected == pytest.approx(150 + printed / 0.9)


def test_a_known_cause_brings_its_own_remedies() -> None:
    """If it is the roll, the new piece holds in 90 %, the set in 95 %, and nothing is re-laid."""
    starts = {s.remedy: s.holds for s in supposed("cause=bad_lot").complaints[0].starts}
    assert starts == pytest.approx({"renew": 0.9, "set": 0.95})


def test_suppositions_joined_by_commas_count_together() -> None:
    """A failure and another rate at once."""
    both = supposed("failed=relay, labour_rate=80").complaints[0]
    starts = {s.remedy: s.cost for s in both.starts}
    assert "relay" not in starts
    assert starts["renew"] == pytest.approx((3 * 80 + 16 + 15 + 20) * 1.1)


def test_a_failure_may_be_of_one_complaint_alone() -> None:
    """Of two edges the second was re-laid in vain."""
    car = diagnosed(("lifting", {"finish": "plain"}), ("lifting", {"finish": "plain"}))
    where = places(car, "front_door_left", "bonnet")
    failed = parse("failed=2:relay", small_base(), shop()).failed
    first, second = situations(small_base(), car, where, failed)
    assert first.failed == ()
    assert second.failed == ("relay",)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("cheaper", "supposes nothing: write labour_rate=80"),
        ("labour_rate=", "supposes nothing"),
        ("labour_rate=dear", "'dear' is no figure"),
        ("labour_rate=-1", "'-1' is no figure"),
        ("labour_rate=nan", "'nan' is no figure"),
        ("labor_rate=80", "did you mean labour_rate"),
        ("printing.degas_hour=3", "did you mean printing.degas_hours"),
        ("name.x=3", "the shop has no figure 'name.x'"),
        ("work.people=0", "work.people=0 cannot be"),
        ("failed=rela", "there is no remedy 'rela' (did you mean relay"),
        ("failed=x:relay", "'x' is no number of a complaint"),
        ("cause=bad_lott", "there is no cause 'bad_lott' (did you mean bad_lot"),
        ("cause=waxed", "lies behind none of the complaints"),
        ("failed=3:relay", "there is no complaint 3 for 'relay': there is 1"),
        ("failed=degrease", "'degrease' mends none of the complaints"),
    ],
)
def test_what_cannot_be_supposed_says_what_can(text: str, says: str) -> None:
    """One sentence with what is wrong and what to write."""
    with pytest.raises(CannotSuppose) as error:
        supposed(text)
    assert says in str(error.value)


def test_any_figure_of_the_shop_can_be_supposed() -> None:
    """A section and its figure; the shop itself stays as it is."""
    its = shop()
    assert with_figure(its, "printing.shipping_days", 5).printing.shipping_days == 5
    assert its.printing.shipping_days == 2


SHIPPED = ("edge_lifting", "sheen_patches", "grit_bumps")
"""Symptoms of the shipped base with many causes and remedies of every kind."""


@pytest.mark.parametrize("symptom", SHIPPED)
def test_plans_of_shipped_symptoms(reasoner: Reasoner, base: Base, symptom: str) -> None:
    """A plan may try what the conclusion proposes, and no first step undercuts it on average."""
    car = reasoner.car([AnsweredComplaint(symptom, {})])
    its = situations(base, car, [WorkPlace(1, "bonnet", {}, (1.2, 1.4))])[0]
    proposed = {remedy for remedy, _ in car.diagnoses[0].conclusion.proposed}
    assert set(candidates(base, its)) == {
        r for r in proposed if any(c.remedies.get(r) for c in its.causes)
    }
    plan = plan_car(shop_of(base), [its]).complaints[0]
    assert sum(p * m for _, p, m in plan.terms) == pytest.approx(plan.expected)
    assert all(start.expected >= plan.expected - 1e-6 for start in plan.starts)


AT_REMOVAL = ("adhesive_residue", "ghosting", "paint_lifting", "film_breakup")


@pytest.mark.parametrize("symptom", AT_REMOVAL)
def test_film_that_comes_off_is_not_mended_by_laying_it_anew(
    reasoner: Reasoner, base: Base, symptom: str
) -> None:
    """Residue is wiped off and torn paint is painted: a new piece over it ends nothing."""
    car = reasoner.car([AnsweredComplaint(symptom, {})])
    its = situations(base, car, [WorkPlace(1, "bonnet", {}, (1.2, 1.4))])[0]
    tried = candidates(base, its)
    assert tried
    assert [r for r in tried if base.remedies[r].kind == "replace"] == []


@pytest.mark.parametrize("symptoms", [SHIPPED, ("edge_lifting", "edge_lifting")])
def test_complaints_hang_together_as_the_diagnosis_says(
    reasoner: Reasoner, base: Base, symptoms: tuple[str, ...]
) -> None:
    """Over the causes of the whole vehicle the complaints' probabilities are those diagnosed."""
    car = reasoner.car([AnsweredComplaint(s, {}) for s in symptoms])
    stand = situations(base, car, [WorkPlace(n, "bonnet", {}, None) for n in range(len(symptoms))])
    ways = worlds(base, stand)
    assert sum(w.chance for w in ways) == pytest.approx(1)
    wide = sorted(p for _, p in car.vehicle_wide)
    assert sorted(w.chance for w in ways[1:]) == pytest.approx(wide, abs=1e-9)
    for n, its in enumerate(stand):
        told = [sum(w.chance * w.shares[n][k] for w in ways) for k in range(len(its.shares))]
        assert told == pytest.approx(list(its.shares.values()), abs=1e-9)


def shop_of(base: Base) -> Pricer:
    """The shipped example's prices."""
    from tests.reasoning.test_plan_shop import EXAMPLE, read_shop

    its = read_shop(EXAMPLE.name, EXAMPLE.read_text(encoding="utf-8"), base).content
    assert its is not None
    return Pricer(base, its, its.vehicle_classes[0])
