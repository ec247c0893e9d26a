"""Measures against the world outside: published values and judge libraries."""

import pytest

from diagnose.knowledge.base import Base
from diagnose.measures.model import Maturity
from diagnose.measures.registry import MEASURES

from .measures_table import JUDGES, Judge, Published, published
from .sources import own_sources

ROWS = published()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.measure}-{row.sources[0]}")
def test_published_values_are_met(base: Base, row: Published) -> None:
    """Each row of the table names its sources and how close a measure has to come to them."""
    assert row.sources
    assert set(row.sources) <= set(base.sources) | set(own_sources())
    assert row.deviation <= row.tolerance, f"{row.found} against {row.expected}: {row.detail}"


@pytest.mark.parametrize("judge", JUDGES, ids=lambda judge: f"{judge.measure}-{judge.says[:30]}")
def test_judges_agree_over_the_range(judge: Judge) -> None:
    """A library, or another way to the same number, agrees everywhere and not only at one point."""
    for package in judge.needs:
        pytest.importorskip(package)

    deviations = list(judge.deviations())

    assert deviations
    assert max(deviations) <= judge.bound


def test_checked_means_that_an_outside_value_is_here() -> None:
    """A measure calls itself checked if and only if this folder holds a check of it."""
    held = {row.measure for row in ROWS} | {judge.measure for judge in JUDGES}
    called = {each.id for each in MEASURES.values() if each.maturity is Maturity.CHECKED}

    assert held == called
