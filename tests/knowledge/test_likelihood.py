"""What a cause makes of a check: stated numbers hold exactly, and silence speaks."""

from __future__ import annotations

from math import isclose, log10

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.logic.likelihood import Beside, Made, UsualHere, row, rows, usual
from diagnose.knowledge.logic.named import NoTable
from diagnose.knowledge.logic.said import word
from diagnose.knowledge.model import Observable, PossibleAnswer, Scales, ShownAnswers, Symptom
from tests.small import small

SCALES: Scales = small().scales
WORDS = ("a", "b", "c", "d")


def check(shares: list[float]) -> Observable:
    """A check of four answers with these shares."""
    total = sum(shares)
    answers = {
        w: PossibleAnswer(says=w, usual=s / total * 100) for w, s in zip(WORDS, shares, strict=True)
    }
    return Observable(id="k", name="k", answers=answers)


def shown(of_100: dict[str, float | str], *at: str, because: str = "x") -> ShownAnswers:
    """An entry of a cause on that check."""
    return ShownAnswers.model_validate(
        {"check": "k", "of_100": of_100, "because": because, "source": "memory", "at": at}
    )


def chances(shares: tuple[float, ...], cells: CauseRow) -> list[float]:
    """P(answer | cause) of every answer."""
    return [
        0.0 if code in cells.ruled_out else b * 10 ** (d / 10)
        for code, (b, d) in enumerate(zip(shares, cells.decibans, strict=True))
    ]


shares = st.lists(st.floats(1, 50), min_size=4, max_size=4)
numbers = st.dictionaries(
    st.sampled_from(WORDS), st.just(0.0) | st.floats(0.01, 60), min_size=1, max_size=3
)


@given(shares, numbers)
def test_a_row_is_a_distribution_in_which_the_stated_numbers_hold(
    given_usual: list[float], of_100: dict[str, float]
) -> None:
    """P(answer | cause) sums to one; each named answer has its number, 0 rules out."""
    observable = check(given_usual)
    try:
        cells = row(observable, [shown({**of_100})], SCALES)
    except NoTable:
        assume(False)

    likely = chances(observable.shares, cells)
    assert isclose(sum(likely), 1, abs_tol=1e-9)
    for label, number in of_100.items():
        assert isclose(likely[WORDS.index(label)], number / 100, abs_tol=1e-9)
        assert (number == 0) == (WORDS.index(label) in cells.ruled_out)


@given(shares)
def test_silence_speaks_against_what_usually_shows(given_usual: list[float]) -> None:
    """Where a mark that is nearly always left is not found, the other answers speak against it."""
    observable = check(given_usual)
    often = 100 * observable.shares[0] ** 0.5
    assume(often < 99)
    cells = row(observable, [shown({"a": often})], SCALES)

    assert cells.decibans[0] > 0
    assert len(set(cells.decibans[1:])) == 1
    assert cells.decibans[1] < 0


def test_an_answer_that_rules_out_leaves_its_share_to_the_others() -> None:
    """If 70 of 100 callbacks are of a kind that excludes a cause, the other 30 speak for it."""
    cells = row(check([70, 10, 10, 10]), [shown({"a": 0}, because="it cannot be")], SCALES)

    assert isclose(cells.decibans[1], 5.2288, abs_tol=1e-4)
    assert [(str(out.when), out.because) for out in cells.outs] == [("k is a", "it cannot be")]


def test_a_reason_without_a_number_goes_with_what_is_left() -> None:
    """Of what a row leaves, an answer marked as rest takes its part, with the reason given for it.

    80 of 100 show a; b, c and d share 20 as 10 to 10 to 20, and d has a reason of its own.
    """
    entries = [shown({"a": 80}), shown({"d": "rest"}, because="what is left")]
    cells = row(check([60, 10, 10, 20]), entries, SCALES)

    assert chances((0.6, 0.1, 0.1, 0.2), cells) == pytest.approx([0.8, 0.05, 0.05, 0.1])
    assert [sign and (sign.because, sign.speaks) for sign in cells.signs] == [
        ("x", "for"),
        None,
        None,
        ("what is left", "against"),
    ]


def test_answers_of_one_entry_that_say_as_much_alike_are_one_sign() -> None:
    """An entry may name answers that speak for and against; each side is read as its own sign."""
    cells = row(check([25, 25, 25, 25]), [shown({"a": 45, "b": 45, "c": 1})], SCALES)

    said = [str(sign.when) if sign else "" for sign in cells.signs]
    assert said == ["k is a or b", "k is a or b", "k is c", ""]
    assert [sign.strength for sign in cells.signs if sign] == ["barely", "barely", "strong"]


@pytest.mark.parametrize(
    ("decibans", "said"),
    [(0, "barely"), (-4.9, "barely"), (5.1, "substantial"), (-12, "strong"), (30, "decisive")],
)
def test_the_word_of_a_weight_is_the_nearest_one(decibans: float, said: str) -> None:
    """The words stand for 2.5, 7.5, 15 and 22 decibans, for and against."""
    assert word(SCALES, decibans) == said


def symptom(**more: object) -> Symptom:
    """A symptom with usual shares or a look of its own."""
    words = dict.fromkeys(("id", "name", "group", "look", "appears", "where"), "s")
    return Symptom.model_validate({**words, "source": "memory", **more})


def test_a_symptom_may_have_its_own_usual_shares() -> None:
    """What is common with this symptom says little there, though it says much elsewhere.

    The answers that the symptom does not name share the rest as over all callbacks.
    """
    observable, here = check([10, 30, 30, 30]), symptom(usual={"k": {"a": 70}})
    cause = small().causes["cold"].model_copy(update={"shows": (shown({"a": 70}),)})

    everywhere = rows(cause, SCALES, UsualHere({"k": observable}))["k"]
    there = rows(cause, SCALES, UsualHere({"k": observable}, here))["k"]

    assert usual(observable, here) == pytest.approx((0.7, 0.1, 0.1, 0.1))
    assert everywhere.decibans[0] == pytest.approx(10 * log10(7))
    assert there.decibans == pytest.approx((0, 0, 0, 0), abs=1e-12)


def test_a_row_at_a_symptom_stands_in_place_of_the_general_one() -> None:
    """Entries that name a symptom are the whole row there; elsewhere the others are."""
    entries = (shown({"a": 5}), shown({"a": 50, "b": 10}, "s"))
    cause = small().causes["cold"].model_copy(update={"shows": entries})
    observable = check([25, 25, 25, 25])

    at = rows(cause, SCALES, UsualHere({"k": observable}, symptom()))["k"]
    elsewhere = rows(cause, SCALES, UsualHere({"k": observable}))["k"]

    assert chances(observable.shares, at) == pytest.approx([0.5, 0.1, 0.2, 0.2])
    assert chances(observable.shares, elsewhere)[0] == pytest.approx(0.05)


def test_what_a_symptom_shows_by_itself_is_evidence_for_nobody() -> None:
    """The look that makes the symptom what it is has no row there, whatever a cause says of it."""
    cause = small().causes["cold"].model_copy(update={"shows": (shown({"a": 0}),)})
    observables = {"k": check([25, 25, 25, 25])}

    assert rows(cause, SCALES, UsualHere(observables, symptom(shows={"k": "a"}))) == {}
    assert "k" in rows(cause, SCALES, UsualHere(observables, symptom()))


def test_bins_carry_both_of_their_ends() -> None:
    """A bin has one name everywhere, in which both its ends stand."""
    assert small().checks["panel_c"].labels == ("under 10", "10 to 18", "18 and over")


def test_a_row_that_rests_on_the_same_at_two_symptoms_is_there_once() -> None:
    """A row of its own, and shares of its own, make another; else memory is spent on copies."""
    base = small()
    cause = next(c for c in base.causes.values() if len(c.behind) > 1)
    one, other = (base.rows(cause, symptom) for symptom in list(cause.behind)[:2])
    alone = [
        rows(cause, SCALES, UsualHere(base.observables, base.symptoms[s])) for s in cause.behind
    ][:2]

    assert [dict(one), dict(other)] == alone
    alike = [name for name in one if name in other and one[name] == other[name]]
    assert alike
    assert all(one[name] is other[name] for name in alike)


def test_what_rows_say_with_other_numbers_is_there_once() -> None:
    """Most rows of a cause say at each symptom what they say at others: one sign for all."""
    its, made = check([30, 30, 20, 20]), Made()
    entry = shown({"a": 80})
    one, other = (
        row(its, [entry], SCALES, Beside(b), made)
        for b in ((0.3, 0.3, 0.2, 0.2), (0.31, 0.29, 0.2, 0.2))
    )

    assert one.decibans != other.decibans
    assert one.sign([0]) is not None
    assert one.sign([0]) is other.sign([0])


def test_a_reason_does_not_stand_for_a_weight_of_the_other_direction() -> None:
    """What is rare over all callbacks and met nearly always here speaks against; figures say so."""
    observable = check([10, 30, 30, 30])
    entry = shown({"a": 40}, because="it ran down")

    over_all = row(observable, [entry], SCALES)
    here = row(observable, [entry], SCALES, Beside((0.8, 0.1, 0.05, 0.05), observable.shares))

    assert over_all.signs[0] is not None
    assert (over_all.signs[0].speaks, over_all.signs[0].because) == ("for", "it ran down")
    assert here.signs[0] is not None
    assert here.signs[0].speaks == "against"
    assert here.signs[0].because == ("About 40 of 100 cars with this cause show it; usually 80 do.")
    assert here.signs[0].source == ("derived",)
