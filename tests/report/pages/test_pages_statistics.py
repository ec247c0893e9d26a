"""Statistics as pages: everything told, plots by their numbers, nothing typed as markup."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cli import main
from diagnose.files import CannotWrite
from diagnose.knowledge.base import Base
from diagnose.records.experience.sign_worth import SignRecord
from diagnose.records.experience.statistics import Statistics, statistics
from diagnose.records.store.store import Store
from diagnose.records.store.summary import ClosedComplaint
from diagnose.report.formats.blocks import Figure
from diagnose.report.pages.statistics import HEIGHT, document, hand_over

AT = datetime(2026, 3, 2, 8, 30, tzinfo=UTC)
SIGN = SignRecord("zone is gap", "Zone: in the gap", "pulled_to_edge", 3, 2, 7.5)


def closed(number: int, month: str, **more: object) -> ClosedComplaint:
    """A closed complaint on the roof, in a month."""
    said = {"cause": "pulled_to_edge", "closed": f"{month}-09", "installer": "<b>Quay & Co</b>"}
    said |= {"case_id": f"c{number}", "number": 1, "month": month, "symptom": "edge_lifting"}
    said |= {"panel": "roof", "film": "film A", "lot": "", "cost": 120.5, "held": True}
    return ClosedComplaint(**{**said, "concluded": "pulled_to_edge", "probability": 0.75, **more})


@pytest.fixture
def found() -> Statistics:
    """Three complaints in January, one in February; one conclusion was wrong."""
    outcomes = [closed(n, "2026-01") for n in range(3)]
    outcomes.append(closed(3, "2026-02", concluded="film_shrinkage"))
    return statistics(outcomes, 1, (SIGN,))


def figures(base: Base, found: Statistics) -> list[Figure]:
    """The plots of a document."""
    return [block for block in document(found, base, AT).blocks if isinstance(block, Figure)]


def test_bars_are_as_high_as_their_counts(base: Base, found: Statistics) -> None:
    """Three times the complaints are three times the height, and the words tell both."""
    bars = figures(base, found)[0]
    january, february = (
        float(high) for high in re.findall(r'<rect[^>]* height="([\d.]+)"', bars.svg)
    )
    assert january == pytest.approx(3 * february, abs=0.2)
    assert "2026-01: 3, 2026-02: 1" in bars.alternative


def test_a_dot_stands_where_it_was_stated_and_held(base: Base, found: Statistics) -> None:
    """75 % stated and right three times of four lies on the dotted line."""
    dots = figures(base, found)[1]
    ((x, y),) = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)"', dots.svg)
    ends = re.search(r'x1="(\d+)" y1="(\d+)" x2="(\d+)" y2="(\d+)"[^>]*dasharray', dots.svg)
    assert ends
    left, bottom, right, top = map(float, ends.groups())
    assert (float(x) - left) / (right - left) == pytest.approx(0.75, abs=0.01)
    assert (bottom - float(y)) / (bottom - top) == pytest.approx(0.75, abs=0.01)
    assert 0 < float(y) < HEIGHT


def test_pages_tell_everything_and_what_is_typed_is_text(
    base: Base, found: Statistics, tmp_path: Path
) -> None:
    """Counts, causes, money, the score, the signs; an installer's name is no markup."""
    path = tmp_path / "told.html"
    assert hand_over(found, base, AT, path, "a4", False) == f"Written to {path}."
    page = path.read_text(encoding="utf-8")
    for words in (
        "4 closed complaints on 4 vehicles",
        "4 of 4 looked at again",
        base.causes["pulled_to_edge"].name,
        "482.00",
        "Brier score",
        "Zone: in the gap",
        "3 carried, 2 misled",
        "&lt;b&gt;Quay &amp; Co&lt;/b&gt;",
    ):
        assert words in page
    assert "<b>Quay" not in page
    assert "<script" not in page


def test_pages_as_pdf(base: Base, found: Statistics, tmp_path: Path) -> None:
    """The same pages on paper."""
    path = tmp_path / "told.pdf"
    hand_over(found, base, AT, path, "letter", False)
    assert path.read_bytes().startswith(b"%PDF-")


def test_nothing_is_written_over_or_under_another_ending(
    base: Base, found: Statistics, tmp_path: Path
) -> None:
    """A file that is there stays, and an ending that is no page is refused."""
    path = tmp_path / "told.html"
    path.write_text("my notes")
    with pytest.raises(CannotWrite, match="--overwrite"):
        hand_over(found, base, AT, path, "a4", False)
    assert path.read_text() == "my notes"
    with pytest.raises(CannotWrite, match=r"end in \.html or \.pdf"):
        hand_over(found, base, AT, tmp_path / "told.doc", "a4", False)


def test_no_closed_case_makes_a_page_all_the_same(base: Base, tmp_path: Path) -> None:
    """An empty shop is told that there is nothing yet."""
    path = tmp_path / "told.html"
    hand_over(statistics([], 1), base, AT, path, "a4", False)
    assert "0 closed complaints on 0 vehicles" in path.read_text(encoding="utf-8")


def test_on_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The file is written and named; one that is there is a mistake of use."""
    records, path = tmp_path / "records.sqlite3", tmp_path / "told.html"
    Store.open(records).close()
    command = ["cases", "statistics", "--records", str(records), "--output", str(path)]
    assert main(command) == 0
    assert capsys.readouterr().out == f"Written to {path}.\n"
    assert main(command) == 2
    assert "say --overwrite" in capsys.readouterr().err
