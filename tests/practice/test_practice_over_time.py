"""Progress over weeks, by complaint and pair, days in a row, a first week, the trainer's page."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from random import Random
from typing import Any

import pytest

from diagnose.knowledge.base import Base
from diagnose.practice import trainer_page
from diagnose.practice.drills.apart import powers_between
from diagnose.practice.items.bank import Bank
from diagnose.practice.progress.apprentice import ApprenticeDesk
from diagnose.practice.progress.apprentice_records import Book
from diagnose.practice.progress.over_time import (
    by_symptom,
    due_by,
    mixed_up,
    streak,
    sure_and_wrong,
    weeks,
)
from diagnose.practice.progress.progress import Attempt, Progress
from diagnose.practice.progress.schedule import cause_card, pair_card
from diagnose.practice.progress_words import RESTS, WEEK_DONE, progress_lines, stand
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Session
from diagnose.records.case.case_text import GRADES
from diagnose.records.store.store import Store

from .players import START, settle
from .test_practice_plain import talk

ONE, OTHER = "grained_or_low_energy_plastic", "edges_and_gaps_not_cleaned"

NOW = START + timedelta(days=20)


def attempt(day: int, points: float = 60.0, **also: Any) -> Attempt:
    """A case of a day after the start, found unless something else is said."""
    at = (START + timedelta(days=day)).isoformat()
    made = Attempt(at, "case", f"door.{day}", "plain", "edge_lifting", (OTHER,), OTHER, 0.9)
    return replace(made, points=points, **also)


def test_weeks_make_a_curve() -> None:
    """Each week with cases has its mean, by its Monday; a week without is no point of the curve."""
    progress = Progress((attempt(0, 10), attempt(2, 30), attempt(7, 50), attempt(20, 80)))
    found = weeks(progress, UTC)
    assert [(m.isoformat(), w.points, w.cases) for m, w in found.items()] == [
        ("2026-03-02", 20, 2),
        ("2026-03-09", 50, 1),
        ("2026-03-16", 80, 1),
    ]


@pytest.mark.parametrize(
    ("days", "today", "row"),
    [
        ((0, 1, 2), 2, 3),
        ((0, 1, 3), 3, 3),
        ((0, 2, 4), 6, 3),
        ((0, 1, 4), 4, 1),
        ((0, 1), 4, 0),
        ((0, 0, 0), 1, 1),
        ((), 1, 0),
    ],
)
def test_a_day_off_does_not_break_the_row(days: tuple[int, ...], today: int, row: int) -> None:
    """One day without practice between two is forgiven; two in a row end it."""
    progress = Progress(tuple(attempt(day) for day in days))
    assert streak(progress, START + timedelta(days=today)) == row


def test_the_hardest_complaint_stands_first() -> None:
    """Complaints by points a case, each with how often the cause was found."""
    wrong = attempt(1, -40, symptom="silvering", named=ONE)
    found = by_symptom(Progress((attempt(0, 70), wrong, attempt(2, 50))))
    assert [(s, its.right, its.cases, its.points) for s, its in found.items()] == [
        ("silvering", 0, 1, -40),
        ("edge_lifting", 2, 2, 60),
    ]


def test_a_pair_is_followed_until_it_is_told_apart() -> None:
    """Mistaken twice, then told apart twice; a mistake begins the count anew."""
    card = pair_card(ONE, OTHER)
    miss: dict[str, Any] = {"named": ONE, "points": -50.0, "reviews": {card: 1}}
    hits = [attempt(day, reviews={card: 3}) for day in (2, 3)]
    progress = Progress((attempt(0, **miss), attempt(1, **miss), *hits))
    (mixed,) = mixed_up(progress)
    assert (mixed.causes, mixed.times, mixed.apart_since) == (tuple(sorted((ONE, OTHER))), 2, 2)
    (again,) = mixed_up(progress.with_(attempt(4, **miss)))
    assert (again.times, again.apart_since) == (3, 0)


def test_what_is_due_is_counted_by_when() -> None:
    """A cause just missed comes back soon; one known well not within the week."""
    known = Progress((attempt(0, reviews={cause_card("a"): 1, cause_card("b"): 4}),))
    later = due_by(known, START + timedelta(hours=1))
    assert later == {"now": 1, "by tomorrow": 1, "in a week": 1}


def test_progress_tells_weeks_complaints_pairs_and_days(base: Base) -> None:
    """All of it stands in the lines, the weeks as bars under each other."""
    miss = attempt(8, -20, named=ONE, reviews={pair_card(ONE, OTHER): 1})
    lines = progress_lines(base, Progress((attempt(0, 50), attempt(7, 90), miss)), START)
    said = "\n".join(lines)
    assert "2026-03-02 |###############.....|   50, right 1 of 1" in said
    assert "2026-03-09 |##############......|   35, right 1 of 2" in said
    assert f"{base.symptoms['edge_lifting'].name}: right 2 of 3, 40 points a case" in said
    assert "1 time, told apart 0 times since" in said
    assert "days in a row" in said.casefold()


# The first week


@pytest.fixture
def desk(bank: Bank, judge: Judge, store: Store) -> ApprenticeDesk:
    """A beginner's desk whose clock stands on the first day."""
    return ApprenticeDesk(judge, bank, Book(store, "Ada"), lambda: START, Random(1))


def test_a_first_week_goes_from_plain_to_treacherous(desk: ApprenticeDesk) -> None:
    """Five days of five; within a day and over the week it gets harder; no cause twice."""
    week = desk.week()
    assert [len(day) for day in week.days] == [5] * 5
    for day in week.days:
        grades = [GRADES.index(item.grade) for item in day]
        assert grades == sorted(grades)
        assert len({item.symptom for item in day}) == 5
    means = [sum(GRADES.index(i.grade) for i in day) for day in week.days]
    assert means == sorted(means)
    assert len({item.right[0] for item in week.items}) == len(week.items) == 25
    assert all(desk.judge.sound(item) for item in week.items)


def do_week(desk: ApprenticeDesk, most: int) -> int:
    """Do cases of the first week while it gives any; how many there were."""
    done = 0
    while done < most and (session := desk.week_case()) is not None:
        desk.finish(settle(desk.judge, session, desk.judge.full(session.item)))
        done += 1
    return done


def test_five_a_day(bank: Bank, judge: Judge, store: Store) -> None:
    """After five the week rests till tomorrow, and says so; after five days it is done."""
    now = [START]
    desk = ApprenticeDesk(judge, bank, Book(store, "Ada"), lambda: now[0], Random(1))
    assert [do_week(desk, 2), do_week(desk, 9)] == [2, 3]
    said = talk(desk, "week")
    assert RESTS in said
    assert "Day 1: 5 of 5 done" in said
    assert desk.week().items[5].title not in said
    for day in range(1, 5):
        now[0] = START + timedelta(days=day)
        assert do_week(desk, 9) == 5
    assert WEEK_DONE in talk(desk, "week")
    assert desk.week().next is None


def test_a_case_of_the_week_is_gone_on_with(desk: ApprenticeDesk) -> None:
    """Who leaves in the middle finds the same case again, looks and all."""
    said = talk(desk, "week", "q")
    assert "First week: day 1, case 1 of 5." in said
    session = desk.week_case()
    assert session is not None
    check = next(iter(set(session.item.record) - set(session.seen)))
    desk.keep(session.look(desk.judge.base, check))
    again = desk.week_case()
    assert again is not None
    assert [look.check for look in again.looks] == [check]


# The page for whoever trains


def test_the_trainer_reads_what_goes_wrong_and_what_tells_it_apart(
    judge: Judge, bank: Bank
) -> None:
    """Complaints not found, what was named instead, the check between them, certain and wrong."""
    base = judge.base
    item = bank.items["door_return_after_wash.1"]
    other = next(c for c in judge.causes(item.symptom) if c not in item.right)
    miss = attempt(
        3, -80, right=item.right, named=other, sure=0.95, reviews={pair_card(OTHER, other): 1}
    )
    progress = Progress((attempt(0), miss))
    assert sure_and_wrong(progress) == (miss,)
    page = trainer_page.text(judge, "Ada", progress, NOW)
    powers = powers_between(judge, item.right[0], other)
    best = base.checks[max(powers, key=lambda check: (powers[check], check))]
    assert f"Named instead: {base.causes[other].name} (1)." in page
    assert f"look at: {best.name}." in page
    assert best.how in page
    assert f"{base.causes[other].name} at 95%; it was {base.causes[OTHER].name}." in page
    drawn = trainer_page.html(judge, "<b>Ada</b>", progress, NOW)
    assert "&lt;b&gt;Ada&lt;/b&gt;" in drawn
    assert "<b>Ada" not in drawn


def test_nothing_practised_is_said(judge: Judge) -> None:
    """A page of somebody who did nothing says so."""
    assert "Nothing practised yet." in trainer_page.text(judge, "Ada", Progress(), NOW)
    assert "Nothing practised yet." in trainer_page.html(judge, "Ada", Progress(), NOW)


def test_what_goes_wrong_in_drills_is_on_the_page(judge: Judge) -> None:
    """Of each kind how much was right, the worst kind first, and what it was about."""
    pair = "|".join(("pulled_to_edge", OTHER))
    drilled = Progress(
        (
            replace(attempt(0), kind="signs", item=OTHER, points=100.0),
            replace(attempt(0), kind="apart", item=pair, points=0.0),
            replace(attempt(0), kind="first", item="edge_lifting", points=50.0),
        )
    )

    page = trainer_page.text(judge, "Ada", drilled, NOW)

    one, other = (judge.base.causes[cause].name for cause in ("pulled_to_edge", OTHER))
    drills = page[page.index("Drills, what goes worst first") :].splitlines()[1:4]
    assert [line.strip() for line in drills] == [
        f"Which check tells two causes apart: 1 drill, 0 % right. Least in: {one} / {other}.",
        "What to look at first: 1 drill, 50 % right.",
        "Which signs go with a cause: 1 drill, 100 % right.",
    ]
    assert "No case practised yet." in page
    assert "Right in 0 of 0" not in page


def test_the_first_case_of_the_week_is_offered_from_the_menu(desk: ApprenticeDesk) -> None:
    """The choice of what to do leads into the week."""
    said = talk(desk, None, "2", "q")
    assert "2. First week: five cases a day" in said
    assert "0 cases done so far." in said
    begun = Progress((attempt(0, reviews={cause_card(OTHER): 1}), attempt(1)))
    assert stand(begun, START + timedelta(days=2)) == (
        "2 cases done so far. Days in a row: 2. Due now: 1."
    )
    assert "Day 1: 0 of 5 done" in said
    assert isinstance(desk.begun(), Session)


def test_moments_of_another_zone_fall_on_their_own_day() -> None:
    """A case at 23:30 in UTC was done on the next day where the clock is two hours ahead."""
    late = replace(attempt(0), at=datetime(2026, 3, 8, 23, 30, tzinfo=UTC).isoformat())
    ahead = timezone(timedelta(hours=2))
    assert [d.isoformat() for d in weeks(Progress((late,)), UTC)] == ["2026-03-02"]
    assert [d.isoformat() for d in weeks(Progress((late,)), ahead)] == ["2026-03-09"]
