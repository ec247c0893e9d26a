"""Weighing: decibans add up, groups count once, silence speaks, what is ruled out is out."""

from __future__ import annotations

from itertools import product
from math import isclose, log10

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN
from diagnose.measures.quantity import Quantity, exact
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.columns import columns
from tests.small import REST, small


@pytest.fixture(scope="module")
def tool() -> Reasoner:
    """A reasoner on the small base."""
    return Reasoner(small())


def chances(tool: Reasoner, **answers: object) -> dict[str, float]:
    """Probabilities behind lifting with these answers."""
    found = tool.differential(AnsweredComplaint("lifting", answers))  # type: ignore[arg-type]
    return {s.cause.id: s.probability for s in found.standings} | {"unlisted": found.unlisted}


def test_without_answers_the_shares_of_the_rule_base_stand(tool: Reasoner) -> None:
    """12, 12, 3 and 0.7 parts of what the unlisted cause leaves."""
    found = chances(tool)

    assert isclose(found["pulled"], 0.95 * 12 / 27.7)
    assert isclose(found["unlisted"], 0.05)


def test_a_stated_number_moves_the_odds_by_just_that_much(tool: Reasoner) -> None:
    """90 of 100 against 16 in general multiply the odds against the unlisted cause by 90/16."""
    before, after = chances(tool), chances(tool, cut="gapes")

    moved = (after["pulled"] / after["unlisted"]) / (before["pulled"] / before["unlisted"])
    assert isclose(moved, 90 / 16)


def test_of_a_group_only_the_strongest_counts(tool: Reasoner) -> None:
    """Pull lines and the cut see the same pull: together they weigh as the cut alone."""
    alone = tool.differential(AnsweredComplaint("lifting", {"cut": "gapes"})).of("pulled")
    both = tool.differential(AnsweredComplaint("lifting", {"cut": "gapes", "lines": "seen"})).of(
        "pulled"
    )

    assert isclose(alone.decibans, both.decibans)
    assert [w.counts for w in both.weights] == [True, False]


@pytest.mark.parametrize(
    ("seen", "counts"), [(1, "lines"), (14, "cut"), (60, "cut"), (97, "lines"), (0.1, "lines")]
)
def test_the_strongest_of_a_group_is_the_largest_whichever_way_it_speaks(
    seen: float, counts: str
) -> None:
    """What speaks strongly against a pull outweighs what speaks for one, and the other way."""
    before = "of_100: {seen: 27}, because: pull lines"
    assert before in REST
    tool = Reasoner(small(REST.replace(before, f"of_100: {{seen: {seen}}}, because: pull lines")))
    values = {"cut": "gapes", "lines": "seen"}
    says = {"cut": 10 * log10(90 / 16), "lines": 10 * log10(seen / 15)}
    standing = tool.differential(AnsweredComplaint("lifting", values)).of("pulled")
    place = [c.id for c in tool.table("lifting").causes].index("pulled")
    scores = tool.matrix("lifting").score(columns(tool.base, [values]))

    assert max(says, key=lambda check: abs(says[check])) == counts
    assert [w.subjects for w in standing.weights if w.counts] == [(counts,)]
    assert isclose(standing.decibans, says[counts])
    assert isclose(scores.decibans[0, place], says[counts])


def test_silence_speaks(tool: Reasoner) -> None:
    """A cut that stays closed speaks against a pull, though no sign says so."""
    standing = tool.differential(AnsweredComplaint("lifting", {"cut": "closed"})).of("pulled")

    (weight,) = standing.weights
    assert weight.sign is None
    assert weight.decibans < 0


@pytest.mark.parametrize("answers", [{"cut": UNKNOWN}, {"panel_c": UNKNOWN, "lines": UNKNOWN}])
def test_unknown_is_no_evidence(tool: Reasoner, answers: dict[str, object]) -> None:
    """Tried and could not tell leaves every probability as it was."""
    assert chances(tool, **answers) == chances(tool)


def test_what_is_impossible_is_out(tool: Reasoner) -> None:
    """Plain film has no solvent of a print in it; the record names the answer."""
    found = tool.differential(AnsweredComplaint("lifting", {"printed": "plain"}))

    assert found.of("solvent_left").probability == 0
    assert found.of("solvent_left").ruled_out[0].matched == {"printed": "plain"}
    assert found.standings[-1].cause.id == "solvent_left"


def test_a_range_across_a_limit_says_less_than_one_on_its_side(tool: Reasoner) -> None:
    """8 to 12 degrees may be under 10 or not: it says what both together do; 7 to 9 is under 10."""
    under, over = chances(tool, panel_c=exact(8))["cold"], chances(tool, panel_c=exact(12))["cold"]

    assert under > chances(tool, panel_c=Quantity(8, 12))["cold"] > over
    assert chances(tool, panel_c=Quantity(7, 9)) == chances(tool, panel_c=exact(8))


def test_not_found_holds_only_when_every_way_to_the_finding_is_closed(tool: Reasoner) -> None:
    """Clean adhesive closes both ways to dirt; wet adhesive leaves one open."""
    clean = tool.trace(AnsweredComplaint("lifting", {"adhesive": "clean", "cut": "gapes"}))
    wet = tool.trace(AnsweredComplaint("lifting", {"adhesive": "wet", "cut": "gapes"}))

    assert clean.values["dirt"] == "not_found"
    assert "dirt" not in wet.values
    assert len(clean.signs) == len(wet.signs) + 1


def test_a_star_network_from_a_library_gives_the_same_probabilities() -> None:
    """Judge: pyAgrum. Cause as parent of three checks, tables from the stated numbers."""
    gum = pytest.importorskip("pyagrum")
    base = small(
        REST.replace(", group: pull", "").replace(
            "{dirt: not_found, cut: gapes}", "{dirt: not_found, cut: closed}"
        )
    )
    tool = Reasoner(base)
    table = tool.table("lifting")
    names = [c.id for c in table.causes]
    net = gum.BayesNet()
    net.add(gum.LabelizedVariable("cause", "cause", [*names, "unlisted"]))
    net.cpt("cause").fillWith(list(table.priors))
    for check in ("adhesive", "cut", "lines", "panel_c"):
        observable = base.observables[check]
        net.add(
            gum.LabelizedVariable(check, check, [str(n) for n in range(len(observable.labels))])
        )
        net.addArc("cause", check)
        rows = table.rows.get(check, (None,) * len(names))
        for code, cells in enumerate([*rows, None]):
            gains = cells.decibans if cells else (0.0,) * len(observable.shares)
            net.cpt(check)[{"cause": code}] = [
                b * 10 ** (d / 10) for b, d in zip(observable.shares, gains, strict=True)
            ]
    inference = gum.LazyPropagation(net)
    for adhesive, cut, lines, bin_ in product(
        ("clean", "dirty"), ("gapes",), ("seen", "none"), (0, 1, 2)
    ):
        evidence = {
            "adhesive": base.checks["adhesive"].labels.index(adhesive),
            "cut": base.checks["cut"].labels.index(cut),
            "lines": base.checks["lines"].labels.index(lines),
            "panel_c": bin_,
        }
        inference.setEvidence(evidence)
        judged = list(inference.posterior("cause").toarray())
        mine = chances(
            tool, adhesive=adhesive, cut=cut, lines=lines, panel_c=exact((5, 15, 25)[bin_])
        )

        assert [mine[n] for n in (*names, "unlisted")] == pytest.approx(judged, abs=1e-12)


def test_every_share_and_strength_of_the_shipped_base_is_in_its_place(base: Base) -> None:
    """Priors of every symptom sum to one, and the strengths are the four stated numbers."""
    for symptom in base.symptoms:
        assert isclose(sum(base.priors(symptom)), 1, abs_tol=1e-12)
    assert base.scales.strengths == {
        "barely": 2.5,
        "substantial": 7.5,
        "strong": 15,
        "decisive": 22,
    }
