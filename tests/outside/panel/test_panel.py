"""How often a symptom is due to a cause was judged by a panel that had not seen the rule base."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from math import log
from statistics import correlation

import pytest

from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import ALL_SYMPTOMS
from tests.outside.panel import ELSE, MEMBERS, agreed, first, later, shares
from tests.outside.panel.estimates import USUAL, files, lean, leaning, members
from tests.outside.panel.whole import Fit, judged, weighed
from tests.outside.panel.whole import later as judged_later


def test_the_rule_base_says_what_the_panel_says(base: Base) -> None:
    """Each number under `behind` is the mean of the estimates."""
    panel, more = shares(), later()
    compared = 0
    for cause in base.causes.values():
        for symptom, share in cause.behind.items():
            if cause.id in panel[symptom]:
                assert share == agreed(panel[symptom][cause.id]), (symptom, cause.id)
            else:
                assert share == agreed((more[symptom, cause.id],)), (symptom, cause.id)
            compared += 1
    assert compared > 1100


def test_the_members_agree_on_what_is_common_and_what_is_rare() -> None:
    """Three who did not see each other's numbers put causes in much the same order."""
    listed = [numbers for of in shares().values() for cause, numbers in of.items() if cause != ELSE]
    for one, other in combinations(range(len(MEMBERS)), 2):
        of_one = [log(numbers[one]) for numbers in listed]
        of_other = [log(numbers[other]) for numbers in listed]
        assert correlation(of_one, of_other) > 0.85


def test_what_the_panel_looks_at_first_is_a_check_of_the_rule_base(base: Base) -> None:
    """Five checks a symptom and member, each of which the base still has."""
    looks = first()
    assert set(looks) == set(base.symptoms)
    for by_member in looks.values():
        for checks in by_member.values():
            assert len(checks) == 5
            assert set(checks) <= set(base.checks)


def test_what_is_looked_at_first_is_the_panels(base: Base) -> None:
    """Five checks a symptom: those with most of the three members' places, first counting five."""
    for symptom, by_member in first().items():
        votes = Counter[str]()
        for checks in by_member.values():
            votes.update({check: 5 - place for place, check in enumerate(checks)})
        ranked = sorted(votes, key=lambda check: (-votes[check], check))
        assert list(base.symptoms[symptom].look_first) == ranked[:5], symptom


def test_estimated_rows_are_the_mean_of_the_panel(base: Base) -> None:
    """Each file of rules/estimates is what its members come to, and nothing was changed by hand."""
    made = files(base)
    there = {path.stem: path for path in (shipped("rules") / "estimates").glob("*.yaml")}

    assert set(made) == set(there)
    for symptom, text in made.items():
        assert there[symptom].read_text(encoding="utf-8") == text, symptom


def test_most_rows_were_estimated_by_two_and_more() -> None:
    """Three members put down the first checks of a symptom, two the further ones."""
    told = Counter(row for rows, _ in members().values() for row in rows if row[0] != ALL_SYMPTOMS)

    assert len(told) > 15_000
    assert sum(number >= 2 for number in told.values()) == len(told)


def test_each_cause_was_before_two_members_with_all_its_symptoms(base: Base) -> None:
    """A row that both left out is as usual; none was simply not looked at."""
    looked = Counter[str]()
    for rows, _ in members().values():
        looked.update({cause for at, _, cause in rows if at == ALL_SYMPTOMS and cause != USUAL})

    assert set(looked) <= set(base.causes)
    assert len(looked) > 180
    assert set(looked.values()) == {2}


def test_who_holds_a_row_for_usual_draws_it_there() -> None:
    """Numbers are held against what the same member calls usual."""
    assert lean((50.0, 50.0), (50.0, 50.0), together=False) == pytest.approx((0, 0))
    twice = leaning((20.0, 80.0), lean((40.0, 60.0), (20.0, 80.0), together=False), together=False)
    assert twice == pytest.approx((40, 60))


def test_whole_complaints_come_out_nearer_to_the_panel(base: Base) -> None:
    """What the panel takes a complaint for is met better with the moves than without.

    Of complaints that were left out of the reckoning 0.61 nats are lost, of those in it fewer.
    """
    some = [its for at, its in enumerate(judged(base)) if at % 15 == 0]
    without = Fit(weighed(base.row_by_row, some)).divergence()
    moved = Fit(weighed(base, some)).divergence()

    assert len(some) > 250
    assert moved < 0.7 * without


def test_base_and_panel_agree_on_complaints_judged_later(base: Base) -> None:
    """Half of complaints that nothing was reckoned from have the same cause first as with a member.

    Two members agree on eight in ten: so far the base is from them.
    """
    with_base, members = judged_later(base, every=20)

    assert with_base > 0.45
    assert members > 0.75


def test_only_what_was_before_the_panel_is_moved(base: Base) -> None:
    """Each share and each answer that is moved stands in some complaint of the panel."""
    told = {(j.complaint.symptom, check) for j in judged(base) for check in j.complaint.answers}
    symptoms, checks = {s for s, _ in told}, {c for _, c in told}

    assert base.whole_cases
    for its in base.whole_cases.values():
        assert set(its.shares) <= symptoms
        assert all(c in checks for c in its.shows), its.id
