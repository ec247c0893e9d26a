"""An exam of ten mixed cases, its result printed as text and as a page."""

from __future__ import annotations

from html.parser import HTMLParser
from random import Random

import pytest

from diagnose.knowledge.base import Base
from diagnose.practice.exam_page import TO_LEARN, html, text, to_learn, verdict
from diagnose.practice.items.bank import Bank
from diagnose.practice.progress.exam import Exam, ExamRow, Result, draw, result
from diagnose.practice.progress.progress import Attempt
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.variants import find


def test_ten_cases_of_all_grades(bank: Bank, judge: Judge) -> None:
    """Four plain, four tricky, two treacherous; no case and no cause twice."""
    for seed in range(3):
        made = draw(bank, judge, Random(seed), "2026-03-02T08:00")
        items = [find(bank, judge.base, item) for item in made.items]
        grades = [item.grade for item in items]
        assert [grades.count(g) for g in ("plain", "tricky", "treacherous")] == [4, 4, 2]
        assert len({item.case for item in items}) == 10
        causes = [cause for item in items for cause in item.right]
        assert len(set(causes)) == len(causes)


def test_most_cases_of_an_exam_are_variants(bank: Bank, judge: Judge) -> None:
    """Having read the worked cases is not enough."""
    made = draw(bank, judge, Random(4), "x")
    assert sum("~" in item for item in made.items) > 5


def test_same_seed_same_exam(bank: Bank, judge: Judge) -> None:
    """A seed draws the same exam again; it is read back as it was kept."""
    one, other = (draw(bank, judge, Random(7), "x") for _ in range(2))
    assert one == other == Exam.of(one.data())


def test_small_bank_gives_what_it_has(bank: Bank, judge: Judge) -> None:
    """With few cases the exam is shorter, and other grades fill in."""
    few = Bank([i for i in bank.items.values() if i.grade == "plain"][:3])
    assert 1 <= len(draw(few, judge, Random(1), "x").items) <= 3


def rows(right: int, points: float) -> tuple[ExamRow, ...]:
    """Ten rows, so many of them right."""
    return tuple(
        ExamRow(f"c.{n}", "plain", "edge_lifting", ("pulled_to_edge",), "pulled_to_edge", 0.8, points,
            12.0, 0, n < right)
        for n in range(10)
    )  # fmt: skip


@pytest.mark.parametrize(
    ("right", "points", "passed"),
    [(10, 80, True), (7, 50, True), (6, 90, False), (10, 49.9, False), (0, -50, False)],
)
def test_passing(right: int, points: float, passed: bool) -> None:
    """Passed with seven causes right and fifty points a case, both needed."""
    found = Result("Ada", "2026-03-02", "v1", rows(right, points))
    assert found.passed is passed
    assert verdict(found).startswith("Passed" if passed else "Not passed")


def test_result_takes_only_the_attempts_of_its_exam() -> None:
    """Practice before and after an exam does not count in it."""
    inside = Attempt("2026-03-02T09:00:00+00:00", "case", "a.1", exam="e", points=10, minutes=3)
    outside = Attempt("2026-03-02T09:00:00+00:00", "case", "b.1", points=90)
    found = result("Ada", Exam("e", ("a.1",)), [outside, inside, outside], "v1")
    assert [row.item for row in found.rows] == ["a.1"]
    assert (found.mean, found.on) == (10, "2026-03-02")


class Cells(HTMLParser):
    """The words in a page, and its elements."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        """Note the element."""
        self.tags.append(tag)

    def handle_data(self, data: str) -> None:
        """Note the words."""
        self.words.append(data)


def test_page_and_text_say_the_same(base: Base) -> None:
    """Every case stands in both, and the page needs nothing from outside."""
    found = Result("Ada", "2026-03-02", "v1", rows(8, 61))
    page, plain = html(base, found), text(base, found)
    cells = Cells()
    cells.feed(page)
    assert cells.tags.count("tr") == 11
    for words in (verdict(found), base.causes["pulled_to_edge"].name):
        assert words in " ".join(cells.words)
        assert words in plain
    assert not {"script", "link", "img", "iframe"} & set(cells.tags)
    assert "http" not in page


def test_a_result_teaches_how_the_causes_not_found_come_about(base: Base) -> None:
    """Each cause that was not found once, with its physics; nothing where all were found."""
    found = Result("Ada", "2026-03-02", "v1", rows(8, 61))
    missed = {base.causes[c].name for row in found.rows if not row.hit for c in row.right}
    assert missed
    assert set(to_learn(base, found)) == missed
    cells = Cells()
    cells.feed(html(base, found))
    for name, how in to_learn(base, found).items():
        assert f"    {name}: {how}" in text(base, found)
        assert how in " ".join(cells.words)
    whole = Result("Ada", "2026-03-02", "v1", rows(10, 61))
    assert TO_LEARN not in text(base, whole)
    assert TO_LEARN not in html(base, whole)


def test_a_name_is_never_markup(base: Base) -> None:
    """A name made of markup and control characters stays words."""
    found = Result("<script>x</script>\x1b[2J", "2026-03-02", "v1", rows(8, 61))
    cells = Cells()
    cells.feed(html(base, found))
    assert "script" not in cells.tags
    assert "\x1b" not in html(base, found)
    assert "\x1b" not in text(base, found)
