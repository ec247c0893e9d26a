"""The policy: read with places, all problems at once; months, shares and dates by arrays."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.claims.policy import policy
from diagnose.claims.policy.gaps import gaps
from diagnose.claims.policy.policy import CarriedShare
from diagnose.claims.table.days import months_between
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from tests.claims.tables import example_policy

FILE = (shipped("rules") / "policies" / "example_policy.yml").read_text(encoding="utf-8")
TEXT = FILE[FILE.index("\nname:") + 1 :]
"""The example without the comment at its head."""


def problems(base: Base, text: str) -> list[str]:
    """What is wrong with a policy."""
    return [str(p) for p in policy.read("own.yml", text, base)[1]]


def test_the_shipped_example_is_sound(base: Base) -> None:
    """The example can be used as it is."""
    found = example_policy(base)

    assert [t.name for t in found.terms] == ["Terms of 2022", "Terms of 2024"]
    assert found.surface("bonnet") == "horizontal"
    assert found.surface("front_door_left") == "vertical"
    assert found.surface("whole_vehicle") is None


@pytest.mark.parametrize(
    ("was", "becomes", "says"),
    [
        ("payer: designer", "payer: desinger", "did you mean designer?"),
        ("[bonnet, roof", "[bonet, roof", "did you mean bonnet?"),
        ("2024-06-30", "2024-06-31", "'2024-06-31' is no day of the calendar"),
        ("valid_to: 2024-06-30", "valid_to: 2021-01-01", "the terms end before they begin"),
        ("valid_from: 2024-07-01", "valid_from: 2024-06-30", "one day, one set of terms"),
        ("share: linear", "share: half", "a share is full, linear"),
        ("months: 12", "months: twelve", "'twelve' is no number of months"),
        ("{vertical: 36, horizontal: 12}", "{vertical: 36}", "the months on 'horizontal' are"),
        ("risk_waiver: signed", "risk_waiver: sined", "did you mean signed?"),
        ("risk_waiver: signed", "risk_waver: signed", "did you mean risk_waiver?"),
        ("origins: [film_manufacture,", "origins: [film_making,", "no origin is called"),
        ("origins: [film_manufacture,", "origins: [workmanship,", "one of surface_preparation,"),
        ("boot_lid]", "trunk]", "no panel is called 'trunk' (did you mean boot_lid?)"),
        ("percent: 50", "percent: 150", "no more than 100 percent"),
        ("until: 24, percent: 50", "until: 6, percent: 50", "the steps must rise"),
        (
            "until: 24, percent: 50",
            "until: 20, percent: 50",
            "the last step ends at 20 months, the",
        ),
        ("payer: designer", "payer: installer", "is answered for by cover 1 already"),
        ("symptoms: [recess_pop_out,", "symptoms: [recess_popout,", "did you mean recess_pop_out?"),
        ("money: EUR", "sureness: {accept: 120}\nmoney: EUR", "'120' is no percent from 0 to 100"),
        ("money: EUR", "money: [EUR]", "is no currency: write its code, such as EUR"),
        ("money: EUR", "currency: EUR", "'currency' is not known here"),
        ("name: Terms of Harbour Lane Wraps", "note: x", "'name' is missing"),
        ("other_surface: vertical", "flat: [roof]", "'other_surface' names the surface"),
    ],
)
def test_a_fault_is_named_with_its_place(base: Base, was: str, becomes: str, says: str) -> None:
    """Each kind of fault: a sentence that begins with file, line and column."""
    found = problems(base, TEXT.replace(was, becomes, 1))

    assert any(says in sentence for sentence in found)
    assert all(sentence.startswith("own.yml:") for sentence in found)


def test_all_faults_are_told_at_once(base: Base) -> None:
    """Three faults, three sentences, in the order of the file."""
    broken = TEXT.replace("roof", "rof").replace("2024-06-30", "soon").replace("signed", "sign")
    found = problems(base, broken)

    assert len(found) == 3
    assert "rof" in found[0]
    assert "soon" in found[1]
    assert "sign" in found[2]


def test_pairs_that_no_cover_answers_are_told(base: Base) -> None:
    """The terms name the printer for prints, but not for film that was stored badly."""
    less = TEXT.replace("origins: [print_and_laminate, film_manufacture]", "origins: [design]")
    found, wrong = policy.read("own.yml", less, base)
    assert found is not None, wrong
    told = list(gaps(base, found))

    assert list(gaps(base, example_policy(base))) == []
    assert "Terms of 2024 answer for a payer but not for 2 pairs of payer and origin" in told[0]
    assert "printer with print_and_laminate (such as: " in told[0]


def test_a_gap_between_terms_is_told(base: Base) -> None:
    """Film laid in that year would find no terms."""
    text = TEXT.replace("valid_to: 2024-06-30", "valid_to: 2023-06-30")
    found, wrong = policy.read("own.yml", text, base)
    assert found is not None, wrong

    assert list(gaps(base, found)) == ["No terms are in force from 2023-07-01 to 2024-06-30."]


def test_terms_that_are_silent_on_what_is_no_claim_are_told(base: Base) -> None:
    """Nothing of work by others, nothing of faults that are gone: then such claims are paid too."""
    text = TEXT[: TEXT.index("    not_our_work:")] + TEXT[TEXT.index("  - name: Terms of 2024") :]
    found, wrong = policy.read("own.yml", text, base)
    assert found is not None, wrong
    told = list(gaps(base, found))

    assert [("not_our_work" in t, "no_fault" in t) for t in told] == [(True, False), (False, True)]
    assert all(t.startswith("Terms of 2022 do not say") for t in told)


@pytest.mark.parametrize("text", ["", "[]", "terms: 3", "name: x", "name: x\nterms: [3]"])
def test_what_is_no_policy_is_said(base: Base, text: str) -> None:
    """An empty file, a list, a number: problems, never a crash."""
    assert problems(base, text)


@pytest.mark.parametrize(
    ("share", "age", "months", "percent"),
    [
        (CarriedShare(), 11, 12, 100),
        (CarriedShare(), 12, 12, 0),
        (CarriedShare(full_until=0), 20, 36, 100 * 16 / 36),
        (CarriedShare(full_until=0), 20, 60, 100 * 40 / 60),
        (CarriedShare(full_until=12), 12, 24, 100),
        (CarriedShare(full_until=12), 18, 24, 50),
        (CarriedShare(steps=((12, 100), (24, 50))), 11, 24, 100),
        (CarriedShare(steps=((12, 100), (24, 50))), 12, 24, 50),
        (CarriedShare(steps=((12, 100),)), 20, 24, 0),
    ],
)
def test_shares_by_age(share: CarriedShare, age: float, months: float, percent: float) -> None:
    """The bonnet at 20 of 36 months, the door at 20 of 60, and the other kinds of share."""
    full, term = np.array([float(age)]), np.array([float(months)])
    found = share.percents(full, full + 1, term)

    assert found.tolist() == pytest.approx([percent])


def test_the_last_day_of_a_step_is_inside_it() -> None:
    """On the day on which twelve months are full, all of it; on the next day, half."""
    share = CarriedShare(steps=((12, 100), (24, 50)))
    full, term = np.array([12.0, 12.0]), np.array([24.0, 24.0])

    assert share.percents(full, np.array([12.0, 13.0]), term).tolist() == [100, 50]


DAYS = st.dates(date(2015, 1, 1), date(2030, 12, 31))


@given(DAYS, DAYS)
def test_full_months_by_the_calendar(start: date, end: date) -> None:
    """The number is the most months that can be added to the first day without passing the last."""
    found = months_between(
        np.array([start], dtype="datetime64[D]"), np.array([end], dtype="datetime64[D]")
    )[0]
    if end < start:
        assert np.isnan(found)
        return

    assert _after(start, int(found)) <= end
    assert _after(start, int(found) + 1) > end


def _after(day: date, months: int) -> date:
    """The same day some months later, or that month's last one."""
    from calendar import monthrange

    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
