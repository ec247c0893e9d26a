"""Five simulated learners: points, due dates, grades and exams put them in the right order."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest

from diagnose.practice.items.bank import Bank
from diagnose.practice.progress import exam
from diagnose.practice.progress.exam import PASS_RIGHT
from diagnose.practice.session.judge import Judge

from .learners import A_DAY, DAYS, EXAMS, TABLE, Row, learners, read, small_bank, table, text

pytestmark = pytest.mark.xdist_group("learners")

SITTINGS = 2000

NEAR_POINTS, NEAR_SHARE, NEAR_DAYS = 8.0, 0.08, 6.0
"""How far a row may be from what stands in the file before that has to be written anew."""


@pytest.fixture(scope="module")
def rows(bank: Bank, judge: Judge) -> tuple[Row, ...]:
    """The five, each through the same three weeks and exams."""
    return table(bank, judge)


def test_points_and_causes_found_put_them_in_order(rows: tuple[Row, ...]) -> None:
    """Expert, steady, forgetful, beginner, guesser: each earns less, and is right less often."""
    assert [row.learner for row in rows] == list(learners())
    for better, worse in pairwise(rows):
        assert better.points > worse.points
        assert better.right > worse.right
    assert rows[0].points > 50
    assert rows[-1].points < 0


def test_due_dates_put_them_in_order(rows: tuple[Row, ...]) -> None:
    """What is known rests for weeks, what is forgotten comes back sooner, a guess at once."""
    rests = {row.learner: row.days for row in rows}
    assert min(rests["expert"], rests["steady"]) > rests["forgetful"] > rests["beginner"]
    assert rests["beginner"] > rests["guesser"]
    assert rests["guesser"] < 2


def test_grades_put_them_in_order(rows: tuple[Row, ...]) -> None:
    """Treacherous cases open first for those who find the cause, and never for the guesser."""
    opened = {row.learner: row.opened or DAYS * A_DAY + 1 for row in rows}
    assert opened["expert"] <= opened["steady"] < opened["beginner"] <= opened["guesser"]
    assert opened["guesser"] > DAYS * A_DAY
    assert opened["expert"] < opened["forgetful"] < opened["guesser"]


def test_exams_are_passed_by_who_knows_and_never_by_the_guesser(
    rows: tuple[Row, ...], bank: Bank, judge: Judge
) -> None:
    """Two thousand sittings with a cause drawn for each case: none comes near to enough right."""
    passed = {row.learner: row.passed for row in rows}
    assert passed["expert"] == EXAMS
    assert passed["expert"] >= passed["steady"] >= passed["beginner"] >= passed["guesser"] == 0
    few = small_bank(bank, judge)
    paper = [few.items[i.partition("~")[0]] for i in exam.draw(few, judge, Random(1), "x").items]
    random = Random(2)
    best = max(
        sum(random.choice(judge.causes(item.symptom)) in item.right for item in paper)
        for _ in range(SITTINGS)
    )
    assert 0 < best < PASS_RIGHT


def test_the_table_in_the_file_is_true(rows: tuple[Row, ...]) -> None:
    """What stands there is what comes out; `python -m tests.practice.learners` writes it anew."""
    kept = read(TABLE.read_text(encoding="utf-8"))
    assert text(kept) == TABLE.read_text(encoding="utf-8")
    assert [row.learner for row in kept] == [row.learner for row in rows]
    for old, new in zip(kept, rows, strict=True):
        assert old.points == pytest.approx(new.points, abs=NEAR_POINTS)
        assert old.right == pytest.approx(new.right, abs=NEAR_SHARE)
        assert old.days == pytest.approx(new.days, abs=NEAR_DAYS)
        assert (old.opened == 0) == (new.opened == 0)
