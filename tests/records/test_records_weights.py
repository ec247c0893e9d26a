"""Closed cases correct the weights: by hand, the same for both evaluators, never silently."""

from __future__ import annotations

from dataclasses import replace
from math import comb, log10

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import portions
from diagnose.knowledge.logic.experience import Counts, CountsTrial, Experience, Prior, differing
from diagnose.knowledge.model.conditions import Value
from diagnose.knowledge.model.values import OneOfThese
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.columns import columns, with_measures
from diagnose.reasoning.explanation.explain import reasons
from diagnose.records.experience.counting import counts
from diagnose.records.store.summary import KnownComplaint
from tests.small import small


@pytest.fixture(scope="module")
def base() -> Base:
    """The small base: dirt shows dirty adhesive in 53 of 100, a pulled edge gapes in 90."""
    return small()


def _closed(number: int, cause: str, symptom: str = "lifting", **values: Value):
    return [KnownComplaint(f"{cause}{n}", 1, symptom, cause, values) for n in range(number)]


def _learned(base: Base, *closed: list[KnownComplaint]) -> Base:
    return base.learned(Experience((counts(base, [c for its in closed for c in its]),)))


# By hand


def test_a_posterior_is_what_was_judged_and_what_was_counted() -> None:
    """A row worth 8 cases and 12 counted ones: 8 of 20 parts judged, 12 counted."""
    prior = Prior((0.5, 0.3, 0.2), 8)

    assert prior.after(((12, 0, 0), 12)).judged == pytest.approx((16 / 20, 2.4 / 20, 1.6 / 20))


def test_what_was_known_in_part_moves_nothing_within_its_part() -> None:
    """Ten cars with the first or the second answer leave their proportion as it was."""
    prior = Prior((0.5, 0.3, 0.2), 8)
    tally = prior.tally({(0, 1): 10})
    first, second, third = prior.after(tally).judged

    assert tally == ((6.25, 3.75, 0), 10)
    assert first / second == pytest.approx(5 / 3)
    assert third < 0.2


def test_what_is_ruled_out_is_not_counted() -> None:
    """Cars that showed the impossible leave the row alone; a person has to look at them."""
    prior = Prior((0.6, 0.4, 0.0), 8)

    assert prior.tally({(2,): 5, (0,): 1}) == ((1, 0, 0), 1)
    assert prior.after(prior.tally({(2,): 5})).judged == prior.judged


def test_the_chance_of_counts_is_that_of_polya_urns() -> None:
    """Of a prior worth two, half and half, each number of heads in ten throws is as likely."""
    prior = Prior((0.5, 0.5), 2)
    for heads in range(11):
        tally = ((heads, 10 - heads), 10)
        assert comb(10, heads) * np.exp(prior.otherwise(tally)) == pytest.approx(1 / 11)
        assert np.exp(prior.as_judged(tally)) == pytest.approx(0.5**10)


def test_answers_that_can_be_right_together_are_each_a_coin() -> None:
    """Two such answers: the chances multiply, and each mean is a beta posterior."""
    prior = Prior((0.5, 0.5), 2, together=True)
    tally = prior.tally({(0,): 3, (0, 1): 1, (): 2})
    one, other = Prior((0.5, 0.5), 2), Prior((0.5, 0.5), 2)

    assert tally == ((4, 1), 6)
    assert prior.otherwise(tally) == pytest.approx(
        one.otherwise(((4, 2), 6)) + other.otherwise(((1, 5), 6))
    )
    assert prior.after(tally).judged == pytest.approx((5 / 8, 2 / 8))


HALF = (0.5, 0.5)
"""As many rows are taken to differ as not to."""


def test_neighbours_count_as_far_as_the_counts_here_agree() -> None:
    """Elsewhere 30 of 30 gape. With 3 of 3 here they are believed, with 0 of 6 they are not."""
    prior = Prior((0.3, 0.7), 8)
    elsewhere = ((prior, ((30.0, 0.0), 30.0)),)
    agreeing = CountsTrial(prior, ((3.0, 0.0), 3.0), elsewhere).mean(HALF)
    differing_here = CountsTrial(prior, ((0.0, 6.0), 6.0), elsewhere).mean(HALF)
    alone = CountsTrial(prior, ((0.0, 6.0), 6.0)).mean((0.01, 0.99))

    assert agreeing[0] > 0.8
    assert differing_here[0] == pytest.approx(alone[0], abs=0.02)


def test_neighbours_are_held_to_what_is_judged_of_them() -> None:
    """Judged 90 of 100 at one symptom, 30 at another, and met so at both: both rows stand."""
    here, there = Prior((0.3, 0.7), 8), Prior((0.9, 0.1), 8)
    met = CountsTrial(here, ((30.0, 70.0), 100.0), ((there, ((90.0, 10.0), 100.0)),)).mean(HALF)
    as_here = CountsTrial(here, ((30.0, 70.0), 100.0), ((here, ((90.0, 10.0), 100.0)),))

    assert met == pytest.approx((0.3, 0.7), abs=0.005)
    assert as_here.parts(HALF)[0] < 0.001


def test_counts_tell_what_is_worth_little_and_what_much() -> None:
    """Nineteen of twenty where half was judged: the judged was worth little. Thirteen: much."""
    far, near = (
        CountsTrial(Prior((0.5, 0.5), 12), ((n, 20 - n), 20.0), (), (0.25, 1, 4)).parts(
            (0, 1 / 3, 1 / 3, 1 / 3)
        )
        for n in (19.0, 13.0)
    )

    assert far[1] > far[2] > far[3]
    assert near[1] < near[2] < near[3]


def test_a_mean_over_worths_is_that_of_its_posteriors() -> None:
    """Six of eight counted where half was judged: by hand from two posteriors and their chances."""
    trial = CountsTrial(Prior((0.5, 0.5), 2), ((6.0, 2.0), 8.0), (), (1, 4))
    chances = []
    for worth in (2, 8):
        prior = Prior((0.5, 0.5), worth)
        chances.append(np.exp(prior.otherwise(((6.0, 2.0), 8.0))))
    expected = (chances[0] * 7 / 10 + chances[1] * 10 / 16) / sum(chances)

    assert trial.mean((0, 0.5, 0.5))[0] == pytest.approx(expected)


def test_rows_that_hold_teach_that_rows_hold() -> None:
    """Of twenty rows that all agree hardly any differs; of twenty that do not, most do."""
    prior = Prior((0.5, 0.5), 8)
    agree = [CountsTrial(prior, ((10.0, 10.0), 20.0))] * 20
    differ = [CountsTrial(prior, ((20.0, 0.0), 20.0))] * 20

    assert differing(agree, (0.9, 0.1), 20)[1] < 0.08
    assert differing(differ, (0.9, 0.1), 20)[1] == pytest.approx((0.1 * 20 + 20) / 40, abs=0.01)
    assert sum(differing(differ, (0.9, 0.1), 20)) == pytest.approx(1)


# In a base


def test_twenty_clean_edges_correct_what_dirt_shows(base: Base) -> None:
    """Judged 53 of 100 dirty; met on none of 60 cars: the weight turns, and the row says why."""
    learned = _learned(base, _closed(60, "dirty_edge", adhesive="clean"))
    row = learned.rows(learned.causes["dirty_edge"], "lifting")["adhesive"]
    judged = base.rows(base.causes["dirty_edge"], "lifting")["adhesive"]
    clean, dirty = row.usual[0], row.usual[1]

    assert sum(portions(row, row.usual)) == pytest.approx(1)
    assert portions(row, row.usual)[1] < 0.1 < row.judged[1] == pytest.approx(0.53)
    assert row.decibans[0] == pytest.approx(10 * log10(portions(row, row.usual)[0] / clean))
    assert row.decibans[1] < 0 < judged.decibans[1]
    assert dirty == pytest.approx(0.3)
    assert [(t.where, t.counts, t.cases) for t in row.tallies] == [("this shop", (60, 0, 0), 60)]


def test_what_was_never_counted_stays_as_judged(base: Base) -> None:
    """Rows, checks and causes without a case keep their numbers to the last digit."""
    learned = _learned(base, _closed(60, "dirty_edge", adhesive="clean"))
    kept = 0
    for cause in base.behind("lifting"):
        for name, row in base.rows(cause, "lifting").items():
            if (cause.id, name) != ("dirty_edge", "adhesive"):
                assert learned.rows(cause, "lifting")[name] == row
                kept += 1

    assert kept == 8


def test_an_outcome_that_contradicts_a_rule_out_leaves_it(base: Base) -> None:
    """Forty wet edges closed as cold: cold stays ruled out where it is wet."""
    learned = _learned(base, _closed(40, "cold", adhesive="wet"))
    row = learned.rows(learned.causes["cold"], "lifting")["adhesive"]
    wet = Reasoner(learned).differential(AnsweredComplaint("lifting", {"adhesive": "wet"}))

    assert row.impossible((2,))
    assert not row.tallies
    assert wet.of("cold").ruled_out


def test_the_judged_base_is_still_there(base: Base) -> None:
    """Whatever was learned, the base as it stands in the files is at hand."""
    learned = _learned(base, _closed(60, "dirty_edge", adhesive="clean"))

    assert learned.judged.priors("lifting") == base.priors("lifting")
    assert learned.version == base.version
    assert learned.experience.mark != Experience().mark
    assert base.judged is base


def test_a_reason_says_what_was_counted(base: Base) -> None:
    """In this shop so many of so many, beside what was judged."""
    learned = _learned(
        base,
        _closed(14, "pulled", cut="gapes"),
        _closed(2, "pulled", cut="closed"),
        _closed(5, "dirty_edge", adhesive="dirty"),
    )
    found = Reasoner(learned).differential(AnsweredComplaint("lifting", {"cut": "gapes"}))
    told = {r.shop for r in reasons(learned, found.of("pulled"), {"cut": "gapes"})}

    assert "in this shop 14 of 16, judged 90 of 100" in told


def test_another_shop_is_told_apart_and_can_be_set_to_nothing(base: Base) -> None:
    """Two shops, two tallies; at a weight of nothing the other one counts for nothing."""
    own = counts(base, _closed(4, "pulled", cut="gapes"))
    other = replace(counts(base, _closed(30, "pulled", cut="closed")), shop="Mill Yard", weight=0.5)
    both = base.learned(Experience((own, other)))
    without = base.learned(Experience((own, replace(other, weight=0))))
    alone = base.learned(Experience((own,)))
    row = both.rows(both.causes["pulled"], "lifting")["cut"]

    assert [(t.where, t.cases) for t in row.tallies] == [("this shop", 4), ("Mill Yard", 30)]
    assert without.rows(base.causes["pulled"], "lifting") == alone.rows(
        base.causes["pulled"], "lifting"
    )
    assert row.decibans != alone.rows(base.causes["pulled"], "lifting")["cut"].decibans


_ANSWERS = {
    "adhesive": ("clean", "dirty", "wet", OneOfThese(("clean", "dirty"))),
    "cut": ("gapes", "closed"),
    "lines": ("seen", "none"),
    "printed": ("print", "plain"),
}
_values = st.fixed_dictionaries(
    {}, optional={check: st.sampled_from(its) for check, its in _ANSWERS.items()}
)
_complaints = st.lists(
    st.builds(
        KnownComplaint,
        st.just("c"),
        st.just(1),
        st.sampled_from(["lifting", "bumps"]),
        st.sampled_from(["pulled", "dirty_edge", "cold", "solvent_left", "unlisted", "gone"]),
        _values,
    ),
    max_size=40,
)


@given(_complaints, _values)
def test_both_evaluators_reckon_the_same(base: Base, closed: list, values: dict) -> None:
    """Whatever was counted, one case weighed and many rows scored come to the same."""
    learned = base.learned(Experience((counts(base, closed),)))
    for symptom in base.symptoms:
        reasoner = Reasoner(learned)
        found = reasoner.differential(AnsweredComplaint(symptom, values))
        table = with_measures(learned, columns(learned, [values]))
        scored = reasoner.matrix(symptom).score(table).probabilities[0]
        for place, cause in enumerate(reasoner.table(symptom).causes):
            assert scored[place] == pytest.approx(found.of(cause.id).probability, abs=1e-12)
        assert scored[-1] == pytest.approx(found.unlisted, abs=1e-12)


@given(_complaints)
def test_every_row_stays_a_row(base: Base, closed: list) -> None:
    """Portions sum to one, nothing that can be becomes impossible, and order does not matter."""
    learned = base.learned(Experience((counts(base, closed),)))
    again = base.learned(Experience((counts(base, closed[::-1]),)))
    assert learned.experience.mark == again.experience.mark
    for symptom in base.symptoms:
        assert sum(learned.priors(symptom)) == pytest.approx(1)
        for cause in base.behind(symptom):
            for name, row in learned.rows(cause, symptom).items():
                assert sum(portions(row, row.usual)) == pytest.approx(1)
                assert row.ruled_out == base.rows(cause, symptom)[name].ruled_out


def test_nothing_counted_is_nothing_learned(base: Base) -> None:
    """An experience without cases, or of cases that the base no longer knows, says nothing."""
    gone = counts(base, [KnownComplaint("c", 1, "sagging", "pulled", {"cut": "gapes"})])

    assert not Experience((Counts("", 0, {}, {}), gone))
    assert base.learned(Experience((gone,))).judged.priors("lifting") == base.priors("lifting")
