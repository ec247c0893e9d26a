"""Dates: opening hours, weekends, holidays, and the chain of a printed piece."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.model.shop import closed_days
from diagnose.reasoning.correction.schedule import BAY, Calendar, WorkStage, run
from tests.reasoning.plan_cases import SHOP, diagnosed, places, pricer, shop

WORKDAY = (time(8), time(17))
CALENDAR = Calendar((*[WORKDAY] * 5, None, None), frozenset({date(2026, 12, 25)}))
MONDAY = datetime(2026, 11, 30, 8)


@pytest.mark.parametrize(
    ("start", "hours", "end"),
    [
        (datetime(2026, 11, 30, 8), 9, datetime(2026, 11, 30, 17)),
        (datetime(2026, 11, 30, 8), 10, datetime(2026, 12, 1, 9)),
        (datetime(2026, 11, 30, 6), 1, datetime(2026, 11, 30, 9)),
        (datetime(2026, 12, 4, 16), 2, datetime(2026, 12, 7, 9)),
        (datetime(2026, 12, 5, 12), 1, datetime(2026, 12, 7, 9)),
        (datetime(2026, 12, 24, 16), 2, datetime(2026, 12, 28, 9)),
        (datetime(2026, 11, 30, 18), 0, datetime(2026, 11, 30, 18)),
    ],
)
def test_work_goes_on_in_opening_hours(start: datetime, hours: float, end: datetime) -> None:
    """Work that does not fit the day goes on at the next opening, over weekend and holiday."""
    assert CALENDAR.after_work(start, hours) == end


@pytest.mark.parametrize(
    ("start", "days", "end"),
    [
        (datetime(2026, 11, 30, 9), 2, datetime(2026, 12, 2, 8)),
        (datetime(2026, 12, 4, 9), 1, datetime(2026, 12, 7, 8)),
        (datetime(2026, 12, 24, 9), 1, datetime(2026, 12, 28, 8)),
    ],
)
def test_shipping_takes_working_days(start: datetime, days: int, end: datetime) -> None:
    """A parcel of two working days is there at opening of the second day after."""
    assert CALENDAR.after_days(start, days) == end


@pytest.mark.parametrize(
    ("done", "fetched"),
    [
        (datetime(2026, 12, 4, 11), datetime(2026, 12, 4, 11)),
        (datetime(2026, 12, 4, 17), datetime(2026, 12, 4, 17)),
        (datetime(2026, 12, 5, 14), datetime(2026, 12, 7, 8)),
        (datetime(2026, 12, 8, 3), datetime(2026, 12, 8, 8)),
        (datetime(2026, 12, 25, 10), datetime(2026, 12, 28, 8)),
    ],
)
def test_a_car_is_fetched_while_somebody_is_there(done: datetime, fetched: datetime) -> None:
    """Paint that has cured on a Saturday or at night is ready when the shop opens."""
    assert CALENDAR.hands_over(done) == fetched


def test_working_days_between() -> None:
    """From Thursday the 24th to Monday the 28th of December, with Christmas between: one."""
    assert CALENDAR.working_days(datetime(2026, 12, 24, 9), datetime(2026, 12, 28, 9)) == 1
    assert CALENDAR.working_days(MONDAY, MONDAY + timedelta(days=7)) == 5


def test_the_chain_of_a_printed_door() -> None:
    """Print, degas, laminate, cut, ship, warm up, lay, post-heat: Monday morning to Friday noon.

    0.8 m² at 10 m² an hour after half an hour: 08:34:48. A day of degassing, 15.8 minutes of
    laminating, 15 of cutting, two working days of shipping, a night of warming up, 3.9 hours of
    laying (five less the machines' 1.09), a quarter of an hour of post-heat.
    """
    car = diagnosed(("sheen", {"finish": "print"}))
    its = pricer()
    stages = its.stages(its.base.remedies["reprint"], places(car, "front_door_left"))
    slots = run([stages], MONDAY, CALENDAR)[0]
    assert [(s.name, s.end.replace(microsecond=0)) for s in slots] == [
        ("print", datetime(2026, 11, 30, 8, 34, 48)),
        ("degas", datetime(2026, 12, 1, 8, 34, 48)),
        ("laminate", datetime(2026, 12, 1, 8, 50, 36)),
        ("cut", datetime(2026, 12, 1, 9, 5, 36)),
        ("ship", datetime(2026, 12, 3, 8)),
        ("warm up", datetime(2026, 12, 3, 20)),
        ("lay", datetime(2026, 12, 4, 11, 54, 24)),
        ("post-heat", datetime(2026, 12, 4, 12, 9, 24)),
    ]
    assert CALENDAR.working_days(MONDAY, slots[-1].end) == 4


def test_two_jobs_share_one_bay() -> None:
    """The second job waits for the bay, but prints while the first is laid."""
    jobs = [
        [WorkStage("lay", 5, "work", BAY)],
        [WorkStage("degas", 2, "clock"), WorkStage("lay", 2, "work", BAY)],
    ]
    first, second = run(jobs, MONDAY, CALENDAR)
    assert first[0].end == datetime(2026, 11, 30, 13)
    assert second[0].end == datetime(2026, 11, 30, 10)
    assert (second[1].begin, second[1].end) == (
        datetime(2026, 11, 30, 13),
        datetime(2026, 11, 30, 15),
    )


@given(
    st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31)),
    st.floats(0.1, 60),
    st.floats(0.1, 60),
)
def test_work_can_be_done_in_two_parts(start: datetime, one: float, two: float) -> None:
    """Doing it in two goes, the second right after the first, ends when doing it in one does."""
    whole = CALENDAR.after_work(start, one + two)
    parts = CALENDAR.after_work(CALENDAR.after_work(start, one), two)
    assert abs(whole - parts) < timedelta(seconds=1)
    assert whole >= start + timedelta(hours=one + two) - timedelta(seconds=1)


@given(st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31)))
def test_the_next_opening_is_open_and_not_earlier(moment: datetime) -> None:
    """Whatever the moment, work begins in opening hours and never before it."""
    opens = CALENDAR.next_open(moment)
    hours = CALENDAR.hours(opens.date())
    assert opens >= moment
    assert hours is not None
    assert hours[0] <= opens.time() < hours[1]


def test_holidays_of_a_country_and_of_the_shop() -> None:
    """Public holidays come from the library; own days are added, and some worked all the same."""
    pytest.importorskip("holidays")
    german = SHOP.replace(
        'holidays: {country: none, closed: ["2026-12-25"]}',
        'holidays: {country: DE, region: BY, closed: ["2026-12-24"],'
        ' open_all_the_same: ["2026-01-06"]}',
    )
    closed = closed_days(shop(german), (2026,))
    assert date(2026, 10, 3) in closed
    assert date(2026, 11, 1) in closed  # not in every region
    assert date(2026, 12, 24) in closed
    assert date(2026, 1, 6) not in closed
    assert closed_days(shop(), (2026,)) == {date(2026, 12, 25)}
