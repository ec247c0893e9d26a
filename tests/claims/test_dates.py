"""What the days of a row say, and what is asked where they cannot be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.claims.decision.questions import SEEN
from diagnose.claims.mapping.dates import QUESTIONS, DaySpan, RowDays, by_dates
from diagnose.claims.run import run
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.dates import bounded
from diagnose.reasoning.evidence.columns import Columns, columns
from tests.claims.tables import COMPLETE, job, write_csv

TODAY = date(2026, 11, 30)


def decided(base: Base, tmp_path: Path, *rows: dict[str, str]) -> list[dict[str, object]]:
    """The rows as decided on the 30th of November 2026."""
    its = job(base, write_csv(tmp_path / "in.csv", rows), tmp_path / "out.parquet")
    run(replace(its, today=TODAY))
    return pl.read_parquet(tmp_path / "out.parquet").rows(named=True)


def one(first: date | None, last: date | None = None) -> DaySpan:
    """A day of one row, or a stretch of them."""
    ends = [np.array([d], dtype="datetime64[D]") for d in (first, last or first)]
    return DaySpan(*ends)


NEAR = st.dates(date(2023, 1, 1), date(2026, 1, 1))


@given(NEAR, st.none() | NEAR, NEAR)
def test_days_say_of_many_rows_what_they_say_of_one_case(
    base: Base, laid: date, handed: date | None, seen: date
) -> None:
    """For each check that lies between two dates: the same answer as in a callback."""
    days = RowDays(one(laid), one(handed), one(seen), one(None))
    found = by_dates(base, Columns(1), days)
    facts = {"laid_on": str(laid), "seen_on": str(seen)}
    facts |= {"handed_on": str(handed)} if handed else {}
    told = {c.id: bounded(c, facts) for c in base.checks.values() if c.between}
    wanted = columns(base, [{name: value for name, value in told.items() if value is not None}])

    assert set(found.choices) | set(found.numbers) == {n for n, v in told.items() if v is not None}
    for name, codes in wanted.choices.items():
        assert codes.tolist() == found.choices[name].tolist()
        assert wanted.sets[name] == found.sets[name]
    for name, ends in wanted.numbers.items():
        assert [e.tolist() for e in ends] == [e.tolist() for e in found.numbers[name]]


def test_nothing_is_asked_that_the_days_say(base: Base, tmp_path: Path) -> None:
    """Laid, handed over and seen on one day: nobody is asked how long after handover it was."""
    days = dict.fromkeys(("laid_on", "handed_on", "seen_on"), "2025-06-02")
    row = decided(base, tmp_path, COMPLETE | {"symptom": "grit_bumps"} | days)[0]
    asked = [str(row[name]) for name in row if name.startswith("ask_f")]

    assert asked
    assert not any(base.checks["first_seen"].ask in text for text in asked)


def test_the_day_of_the_claim_bounds_when_it_was_seen(base: Base, tmp_path: Path) -> None:
    """Without a day of first sight the day of the claim stands for it, and is not asked for."""
    row = COMPLETE | {"seen_on": "", "claimed_on": "2025-04-20"}
    found = decided(base, tmp_path, row)[0]

    assert found["age_months_at_claim"] == 1
    assert SEEN not in str(found["ask_first"])


def impossible() -> Iterator[tuple[dict[str, str], str]]:
    """Days that cannot be, and the name of what is asked."""
    yield {"seen_on": "2062-07-12"}, "future"
    yield {"claimed_on": "2026-12-01"}, "future"
    yield {"laid_on": "1925-03-01"}, "year"
    yield {"laid_on": "2005-03-01"}, "year"
    yield {"seen_on": "2025-02-01"}, "seen"
    yield {"handed_on": "2025-02-01"}, "handed"
    yield {"claimed_on": "2025-04-01"}, "told"
    yield {"age_months": "20"}, "age"


@pytest.mark.parametrize(("days", "question"), impossible())
def test_days_that_cannot_be_are_asked_about_and_decide_nothing(
    base: Base, tmp_path: Path, days: dict[str, str], question: str
) -> None:
    """A day to come, a slip of the pen in the year, an order that cannot be."""
    found = decided(base, tmp_path, COMPLETE | {"risk_waiver": "signed"} | days)[0]

    assert found["decision"] == "ask"
    assert QUESTIONS[question] in str(found["ask_first"])


def test_the_last_day_of_a_term_is_inside_it(base: Base, tmp_path: Path) -> None:
    """Eighteen months on a bonnet from the 3rd of March end with the 3rd of September."""
    rows = [
        COMPLETE | {"panel": "bonnet", "laid_on": "2025-03-03", "seen_on": day}
        for day in ("2026-09-03", "2026-09-04")
    ]
    found = decided(base, tmp_path, *rows)

    assert "Past the months" not in str(found[0]["because"])
    assert [row["age_months_at_claim"] for row in found] == [18, 18]


def test_terms_run_from_the_handover(base: Base, tmp_path: Path) -> None:
    """Laid in January, handed over in March, seen in May: two months."""
    row = COMPLETE | {"laid_on": "2025-01-02", "handed_on": "2025-03-01", "seen_on": "2025-05-02"}

    assert decided(base, tmp_path, row)[0]["age_months_at_claim"] == 2


@pytest.mark.parametrize("cell", ["Feb 2025", "February 2025", "2025-02", "02/2025"])
def test_a_month_is_a_stretch_of_days(base: Base, tmp_path: Path, cell: str) -> None:
    """Seen some time in February: nothing is noted, and the age is known to the month."""
    found = decided(base, tmp_path, COMPLETE | {"laid_on": "2025-01-03", "seen_on": cell})[0]

    assert found["not_read"] is None
    assert found["age_months_at_claim"] == 1
