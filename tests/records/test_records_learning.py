"""What closed cases teach: shares that move, and statistics that can be checked by hand."""

from dataclasses import replace
from itertools import cycle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.experience import Counts, Experience
from diagnose.records import tables
from diagnose.records.experience import plots
from diagnose.records.experience.learning import (
    RankChange,
    rank_changes,
    shares,
)
from diagnose.records.experience.sign_worth import SignRecord
from diagnose.records.experience.statistics import (
    Band,
    CauseCount,
    Cost,
    Recurring,
    calibration,
    causes_over_time,
    costs,
    recurring,
    statistics,
)
from diagnose.records.store.summary import ClosedComplaint

CAUSES = ("gap_not_cleaned", "laid_cold", "unlisted", "elsewhere_listed")
counters = st.dictionaries(st.sampled_from(CAUSES), st.integers(0, 50))


def _outcome(cause: str = "laid_cold", number: int = 1, **more) -> ClosedComplaint:
    plain = ClosedComplaint(
        f"c{number}",
        1,
        "2026-03",
        "edge_lifting",
        "bonnet",
        "film A",
        "L-1",
        "Harbour Lane Wraps",
        cause,
        "2026-03-09",
    )
    return replace(plain, **more)


# Shares


def _counted(base: Base, confirmed: dict[str, int], worth: float = 10) -> Base:
    """The base of a shop that confirmed these, with words worth so many cases."""
    figures = base.scales.worth_cases.model_copy(update={"shares": worth})
    scales = base.scales.model_copy(update={"worth_cases": figures})
    its = Counts("", sum(confirmed.values()), {"edge_lifting": confirmed}, {})
    return replace(base, scales=scales).learned(Experience((its,)))


def test_without_outcomes_the_words_stand(base: Base) -> None:
    """A shop that has confirmed nothing yet sees the shares of the rule base."""
    assert base.learned(Experience()).priors("edge_lifting") == base.priors("edge_lifting")


def test_counts_far_from_the_words_move_the_shares_as_dirichlet_says(base: Base) -> None:
    """With words worth 10 callbacks and 30 own ones that tell otherwise, a share is a quarter words.

    That the words are right all the same keeps a part, of which little is left.
    """
    # Words: 40 to 3 of what the unlisted 5 % leaves.
    words = (0.95 * 40 / 43, 0.95 * 3 / 43, 0.05)
    learned = _counted(base, {"laid_cold": 24, "elsewhere": 6}).priors("edge_lifting")

    assert base.priors("edge_lifting") == pytest.approx(words)
    assert learned == pytest.approx(
        (10 * words[0] / 40, (10 * words[1] + 24) / 40, (10 * words[2] + 6) / 40), abs=1e-6
    )


def test_counts_that_agree_with_the_words_leave_them(base: Base) -> None:
    """Thirty callbacks just as the words have it move no share by more than half a percent."""
    learned = _counted(base, {"gap_not_cleaned": 27, "laid_cold": 2, "elsewhere": 1})

    for now, words in zip(learned.priors("edge_lifting"), base.priors("edge_lifting"), strict=True):
        assert now == pytest.approx(words, abs=0.005)


@given(counters, st.floats(0.01, 1000))
def test_learned_shares_are_shares(base: Base, confirmed: dict[str, int], worth: float) -> None:
    """They sum to one, none is zero, and each lies between the words and the counts."""
    found = shares(_counted(base, confirmed, worth), "edge_lifting")
    total = sum(confirmed.values())

    assert sum(share.learned for share in found) == pytest.approx(1)
    for share in found:
        counted = share.confirmed / total if total else share.by_words
        low, high = sorted((share.by_words, counted))
        assert low - 1e-9 <= share.learned <= high + 1e-9
        assert share.learned > 0


@given(counters)
def test_own_figures_stand_in_for_the_worth_of_the_words(
    base: Base, confirmed: dict[str, int]
) -> None:
    """Who asks for another worth sees the plain posterior: words worth 40 and the counts."""
    found = shares(_counted(base, confirmed), "edge_lifting", 40)
    total = 40 + sum(confirmed.values())

    for share in found:
        assert share.learned == pytest.approx((40 * share.by_words + share.confirmed) / total)


@pytest.mark.parametrize("worth", [0, -1, float("nan")])
def test_the_words_must_count_for_something(base: Base, worth: float) -> None:
    """A worth of nothing would forget causes that the shop has not met yet."""
    with pytest.raises(ValueError, match="above 0"):
        shares(_counted(base, {}), "edge_lifting", worth)


def test_a_changed_rank_is_told() -> None:
    """The report can say which causes stand elsewhere because of the shop's own counts."""
    by_words = {"a": 0.5, "b": 0.3, "c": 0.2}
    learned = {"a": 0.3, "b": 0.5, "c": 0.2}

    assert rank_changes(by_words, learned) == (RankChange("b", 2, 1), RankChange("a", 1, 2))
    assert rank_changes(by_words, by_words) == ()


# Statistics


def test_causes_by_month() -> None:
    """Each month and cause with its count, in order."""
    outcomes = (_outcome(), _outcome(), _outcome("gap_not_cleaned"), _outcome(month="2026-01"))

    assert causes_over_time(outcomes) == (
        CauseCount("2026-01", "laid_cold", 1),
        CauseCount("2026-03", "gap_not_cleaned", 1),
        CauseCount("2026-03", "laid_cold", 2),
    )


def test_what_comes_back() -> None:
    """A lot with three complaints on two vehicles, and the cause met most often with it."""
    outcomes = (
        _outcome(number=1),
        _outcome(number=1, panel="roof"),
        _outcome("gap_not_cleaned", number=2),
        _outcome(number=3, lot="L-2"),
        _outcome(number=4, lot=""),
    )

    assert recurring(outcomes, "lot") == (Recurring("lot", "L-1", 3, 2, "laid_cold", 2),)
    assert recurring(outcomes, "lot", at_least=1)[1].value == "L-2"


def test_costs_count_only_what_is_known() -> None:
    """A callback without a cost on file is counted as such, not as free."""
    outcomes = (_outcome(cost=100.0), _outcome(cost=50.0), _outcome(), _outcome("gap_not_cleaned"))

    assert costs(outcomes) == (
        Cost("laid_cold", 3, 1, 150, 75, 100),
        Cost("gap_not_cleaned", 1, 1, 0, 0, 0),
    )


def test_calibration_by_hand() -> None:
    """Four conclusions at 95 % of which three were right, one at 30 % that was wrong."""
    sure = {"probability": 0.95, "concluded": "laid_cold"}
    outcomes = [
        *[_outcome(**sure)] * 3,
        _outcome("gap_not_cleaned", **sure),
        _outcome("gap_not_cleaned", probability=0.3, concluded="laid_cold"),
        _outcome(),
    ]
    found = calibration(outcomes, seed=1)

    assert found is not None
    assert found.count == 5
    assert found.bands == (
        Band(0.2, 0.4, 1, pytest.approx(0.3), 0),
        Band(0.9, 1.0, 4, pytest.approx(0.95), 0.75),
    )
    assert found.brier == pytest.approx((3 * 0.05**2 + 0.95**2 + 0.3**2) / 5)
    assert found.low <= found.brier <= found.high


def test_a_certain_conclusion_lies_in_the_last_band() -> None:
    """A probability of 1 is not left out of the table."""
    found = calibration([_outcome(probability=1.0, concluded="laid_cold")], seed=1)

    assert found is not None
    assert found.bands == (Band(0.9, 1.0, 1, 1, 1),)
    assert (found.brier, found.low, found.high) == (0, 0, 0)


def test_the_interval_comes_from_the_seed() -> None:
    """The same seed gives the same interval, and more cases a narrower one."""
    said = cycle([0.9, 0.6, 0.7])
    some = [
        _outcome("laid_cold" if n % 4 else "gap_not_cleaned", probability=p, concluded="laid_cold")
        for n, p in zip(range(40), said, strict=False)
    ]
    few, again, many = calibration(some, 3), calibration(some, 3), calibration(some * 25, 3)
    assert few is not None
    assert many is not None

    assert few == again
    assert many.high - many.low < (few.high - few.low) / 3


def test_no_conclusion_no_calibration() -> None:
    """Where the tool was never asked, nothing is said of how well it did."""
    assert calibration([_outcome()], seed=1) is None


# As text


def test_the_page_of_statistics_names_things_as_people_do(base: Base) -> None:
    """Names instead of ids, and the scores with what they mean."""
    sure = {"probability": 0.95, "concluded": "laid_cold", "cost": 1234.5, "held": True}
    signs = (SignRecord("cold_bay is yes", "Bay: cold", "laid_cold", 1, 0, 15.0),)
    found = statistics([_outcome(number=n, **sure) for n in (1, 2)], 1, signs)
    page = tables.statistics_page(found, base)

    for words in (
        "2 closed complaints on 2 vehicles",
        "repairs that held: 2 of 2",
        "Laid cold",
        "Bonnet",
        "2,469.00",
        "Brier score 0.003",
        "+15.0 dB",
    ):
        assert words in page
    assert "laid_cold" not in page


def test_an_empty_shop_gets_a_sentence(base: Base) -> None:
    """No table is drawn of nothing."""
    assert tables.statistics_page(statistics([], 1), base) == "0 closed complaints on 0 vehicles"


def test_typed_text_steers_no_terminal(base: Base) -> None:
    """Control characters and marks of direction are taken out of every table."""
    hostile = "L-1\x1b[31m\r\n\u202e"
    found = statistics(
        [_outcome(number=n, lot=hostile, installer=hostile) for n in range(1, 41)], 1
    )
    page = tables.statistics_page(found, base)

    assert "\x1b" not in page
    assert "\u202e" not in page
    assert "L-1[31m" in page


def test_plots_are_plain_text_of_the_asked_width(base: Base) -> None:
    """A plot has no colours, fits the width, and shows months and name of the cause."""
    sure = {"probability": 0.95, "concluded": "laid_cold"}
    months = ("2026-01", "2026-02", "2026-02")
    found = statistics([_outcome(month=month, **sure) for month in months], 1)
    assert found.calibration is not None
    drawn = plots.causes_plot(found.months, lambda c: tables.cause_name(base, c), 60, 12)
    curve = plots.calibration_plot(found.calibration, 60, 12)

    assert "2026-02" in drawn
    assert "most often: Laid cold (3)" in drawn
    assert plots.MARK in curve
    for text in (drawn, curve):
        assert "\x1b" not in text
        assert max(map(len, text.splitlines())) <= 60
