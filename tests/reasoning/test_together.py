"""Several complaints on one car: what they share speaks for a cause of the whole vehicle."""

from __future__ import annotations

from math import isclose

import pytest

from diagnose.measures.quantity import exact
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.evidence.together import MOST_AT_WORK, chances_at_work, priors_given
from diagnose.reasoning.questions.choose import Chooser
from diagnose.reasoning.questions.question import Asked
from tests.small import REST, SCALES, problems, small


@pytest.fixture(scope="module")
def tool() -> Reasoner:
    """A reasoner on the small base."""
    return Reasoner(small())


COLD = {"panel_c": exact(8)}


def of(tool: Reasoner, complaints: list[AnsweredComplaint], place: int, cause: str) -> float:
    """Probability of a cause behind one of the complaints of a car."""
    return tool.car(complaints).diagnoses[place].differential.of(cause).probability


def test_one_complaint_is_weighed_as_ever(tool: Reasoner) -> None:
    """A car with a single complaint has the probabilities of the complaint alone."""
    alone = tool.differential(AnsweredComplaint("lifting", COLD)).of("cold").probability

    assert of(tool, [AnsweredComplaint("lifting", COLD)], 0, "cold") == alone


def test_a_second_complaint_that_fits_speaks_for_the_cause_of_both(tool: Reasoner) -> None:
    """Two faults in a cold bay make the cold likelier behind each than one fault does."""
    both = [AnsweredComplaint("lifting", COLD), AnsweredComplaint("bumps", COLD)]

    assert of(tool, both, 0, "cold") > of(tool, both[:1], 0, "cold")
    assert of(tool, both, 1, "cold") > of(tool, both[1:], 0, "cold")
    (found,) = tool.car(both).vehicle_wide
    assert found[0] == "cold"


def test_a_second_complaint_that_speaks_against_it_makes_it_less_likely(tool: Reasoner) -> None:
    """Bumps full of dirt do not come from the cold."""
    dirty = {"adhesive": "dirty"}
    both = [AnsweredComplaint("lifting", COLD), AnsweredComplaint("bumps", {**COLD, **dirty})]
    cold = [AnsweredComplaint("lifting", COLD), AnsweredComplaint("bumps", COLD)]

    assert of(tool, both, 0, "cold") < of(tool, cold, 0, "cold")


def test_the_order_of_complaints_does_not_matter(tool: Reasoner) -> None:
    """Reversed, each complaint has the same probabilities."""
    both = [AnsweredComplaint("lifting", COLD), AnsweredComplaint("bumps", {"adhesive": "clean"})]

    assert isclose(of(tool, both, 0, "cold"), of(tool, both[::-1], 1, "cold"))


def test_a_library_network_gives_the_same(tool: Reasoner) -> None:
    """Judge: pyAgrum, with a node for the whole vehicle above the cause of each complaint."""
    gum = pytest.importorskip("pyagrum")
    complaints = [
        AnsweredComplaint("lifting", COLD),
        AnsweredComplaint("bumps", {"adhesive": "clean"}),
    ]
    tables = [tool.table(c.symptom) for c in complaints]
    priors = [
        dict(zip([*(c.id for c in t.causes), "unlisted"], t.priors, strict=True)) for t in tables
    ]
    chance = 0.5 * min(p["cold"] for p in priors) / 0.8
    net = gum.BayesNet()
    net.add(gum.LabelizedVariable("wide", "wide", ["none", "cold"]))
    net.cpt("wide").fillWith([1 - chance, chance])
    for n, prior in enumerate(priors):
        names = list(prior)
        net.add(gum.LabelizedVariable(f"c{n}", "", names))
        net.addArc("wide", f"c{n}")
        local = [
            (p - (0.8 * chance if c == "cold" else 0)) / (1 - 0.8 * chance)
            for c, p in prior.items()
        ]
        wide = [0.2 * p + (0.8 if c == "cold" else 0) for c, p in zip(names, local, strict=True)]
        net.cpt(f"c{n}")[{"wide": 0}] = local
        net.cpt(f"c{n}")[{"wide": 1}] = wide
        net.add(gum.LabelizedVariable(f"e{n}", "", ["seen", "not"]))
        net.addArc(f"c{n}", f"e{n}")
        found = tool.differential(complaints[n])
        gains = [10 ** (found.of(c).decibans / 10) if c != "unlisted" else 1.0 for c in names]
        gains = [
            0.0 if c != "unlisted" and found.of(c).ruled_out else g
            for c, g in zip(names, gains, strict=True)
        ]
        for code, gain in enumerate(gains):
            net.cpt(f"e{n}")[{f"c{n}": code}] = [0.02 * gain, 1 - 0.02 * gain]
    inference = gum.LazyPropagation(net)
    inference.setEvidence({"e0": 0, "e1": 0})

    for n, prior in enumerate(priors):
        judged = dict(zip(prior, inference.posterior(f"c{n}").toarray(), strict=True))
        for cause in list(prior)[:-1]:
            assert of(tool, complaints, n, cause) == pytest.approx(judged[cause], abs=1e-9)


def test_many_complaints_with_many_causes_in_common_leave_room_for_none_of_them() -> None:
    """Three complaints, three causes of the whole vehicle behind two of them each, all likely.

    Taken by pairs each would have its full chance; together they would have more than all.
    """
    base = small(scales=SCALES.replace("vehicle_wide_percent: 50", "vehicle_wide_percent: 80"))
    cold = base.causes["cold"]
    one, two, three = (cold.model_copy(update={"id": word}) for word in ("one", "two", "three"))
    pairs = ((one, two), (two, three), (three, one))
    tables = [Tables(str(n), pair, (0.4, 0.5, 0.1), {}, ()) for n, pair in enumerate(pairs)]
    names = ["one", "two", "three"]

    pair = chances_at_work(base, tables[:2], ["two"])
    chances = chances_at_work(base, tables, names)

    assert pair == {"two": pytest.approx(0.4)}
    assert sum(chances.values()) == pytest.approx(MOST_AT_WORK)
    assert chances["one"] == chances["two"] == chances["three"]
    for table in tables:
        for name in (None, *names):
            assert min(priors_given(base, table, chances, name)) >= 0


def test_scales_that_put_a_cause_on_more_cars_than_there_are_are_refused() -> None:
    """The sentence names both numbers; such a base loaded, and two complaints ended the program."""
    scales = SCALES.replace("carried_over_percent: 80", "carried_over_percent: 20")
    (problem,) = problems(REST, scales)

    assert "vehicle_wide_percent (50) is more than carried_over_percent (20)" in problem.sentence
    assert str(problem.spot).startswith("scales.yaml:")


def test_answers_about_several_complaints_leave_one_chooser_a_symptom() -> None:
    """The shares behind each move with every answer; what is made once is made once."""
    tool = Reasoner(small())
    for code in (5, 15, 25, 35):
        warm = {"panel_c": exact(code)}
        car = tool.car([AnsweredComplaint("lifting", warm), AnsweredComplaint("bumps", warm)])
        for diagnosis in car.diagnoses:
            own = Chooser(tool.base, diagnosis.table).choose(
                Asked(diagnosis.trace.values, frozenset())
            )
            assert diagnosis.choice.questions == own.questions

    assert sorted(tool._choosers) == ["bumps", "lifting"]


def test_a_cause_that_is_plain_in_one_complaint_starts_high_in_the_next(
    reasoner: Reasoner,
) -> None:
    """Paint of four days on the bumper: an edge that lifts on the wing may come of the same."""
    bumper = AnsweredComplaint("gas_blisters", {"paint_age_days": exact(4)})
    wing = AnsweredComplaint("edge_lifting", {})

    assert of(reasoner, [bumper, wing], 0, "fresh_paint_gas") > 0.7
    assert of(reasoner, [wing], 0, "fresh_paint_gas") < 0.02
    assert reasoner.car([bumper, wing]).diagnoses[1].differential.standings[0].cause.id == (
        "fresh_paint_gas"
    )


def test_a_stroke_of_the_hand_says_nothing_of_another_place(reasoner: Reasoner) -> None:
    """A crease that was pressed in on the roof is no likelier at the next complaint."""
    crease = AnsweredComplaint("creases", {"line_form": "single_sharp_fold"})
    lines = AnsweredComplaint("channel_lines", {})
    assert reasoner.base.causes["crease_pressed_in"].scope == "place"

    alone = of(reasoner, [lines], 0, "crease_pressed_in")

    assert of(reasoner, [crease], 0, "crease_pressed_in") > 0.6
    assert of(reasoner, [crease, lines], 1, "crease_pressed_in") == pytest.approx(alone, rel=0.1)
