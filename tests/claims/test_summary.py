"""The backlog at a glance: on a desk, on half a screen, on a phone."""

from __future__ import annotations

from itertools import pairwise

import pytest

from diagnose.claims.results.outliers import Standout
from diagnose.claims.results.summary import Summary, SummaryLine, text

LONG = "Owner of the vehicle, for washing, chemicals and neglect"


def summary(claimed: float = 87_130.0, carried: float = 0.0) -> Summary:
    """Two payers, and a roll that stands out."""
    lines = (
        SummaryLine("Payers", "The shop that laid the film", 212, 81.2, claimed, carried),
        SummaryLine("Payers", LONG, 49, 18.8, claimed / 4, 0.0),
    )
    roll = Standout("Lots", "K-402", "film manufacture", 20, 15, 2.0, 9.7e-12)
    return Summary(266, 261, 5, "EUR", lines, (roll,))


@pytest.mark.parametrize("width", [40, 60, 80, 100, 200])
@pytest.mark.parametrize("carried", [0.0, 12_345_678.9])
def test_no_line_is_wider_than_the_terminal(width: int, carried: float) -> None:
    """Whatever the width, with and without money carried, every number is there."""
    told = text(summary(carried=carried), width)

    assert max(map(len, told.splitlines())) <= width
    for number in ("212", "81.2 %", "87,130.00", "266 rows read", "15 of 20"):
        assert number in " ".join(told.split())
    assert ("12,345,678.90" in told) == bool(carried)


def test_money_stands_in_columns_where_there_is_room_and_below_where_not() -> None:
    """At 80 a header says once what the sums are; at 40 each says it for itself."""
    wide, narrow = text(summary(), 80).splitlines(), text(summary(), 40).splitlines()
    head = next(line for line in wide if line.startswith("Payers"))

    assert head.split() == ["Payers", "claims", "EUR", "claimed"]
    assert [line for line in pairwise(narrow) if line[1] == "    EUR 87,130.00 claimed"]


def test_without_money_there_is_no_column_for_it() -> None:
    """A backlog without amounts shows numbers of claims only."""
    assert "EUR" not in text(summary(claimed=0.0), 80)
