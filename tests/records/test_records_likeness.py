"""Like this one: the nearest closed complaints, by what answers weigh and not by counting them."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.cli import main
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.load import load
from diagnose.records.experience.nearness import (
    LikeCase,
    PastComplaint,
    like_case,
    like_this,
    nearest,
)
from diagnose.records.experience.past import worked
from diagnose.records.store.store import Store
from tests.benchmarks.likeness import by_count, by_weight, left_out
from tests.shipped import shipped_base
from tests.small import small


@pytest.fixture(scope="module")
def base() -> Base:
    """The small base."""
    return small()


def _past(case_id: str, cause: str, symptom: str = "lifting", **values: str) -> PastComplaint:
    return PastComplaint(case_id, 1, symptom, cause, values, "relay", True, 80.0)


def test_one_telling_answer_counts_more_than_two_that_tell_nothing(base: Base) -> None:
    """A gape that only pull makes outweighs two equal papers that speak of no cause."""
    values = {"cut": "gapes", "care": "given", "printed": "print"}
    telling = _past("a", "pulled", cut="gapes")
    papers = _past("b", "dirty_edge", care="given", cut="closed")

    assert [n.past.case_id for n in nearest(base, "lifting", values, [papers, telling])] == ["a"]


def test_a_missing_answer_is_neither_alike_nor_different(base: Base) -> None:
    """Two past complaints that differ only in what the open one has not answered are as near."""
    values = {"cut": "gapes"}
    one, other = _past("a", "pulled", cut="gapes"), _past("b", "pulled", cut="gapes", lines="none")
    near = nearest(base, "lifting", values, [one, other])

    assert near[0].likeness == near[1].likeness
    assert near[0].alike == near[1].alike == ("cut",)
    assert near[0].differing == ()


def test_only_complaints_of_the_symptom_with_something_in_common(base: Base) -> None:
    """Another symptom is another story, and so is one that shows the opposite."""
    values = {"cut": "gapes"}
    past = [
        _past("a", "dirty_edge", symptom="bumps", cut="gapes"),
        _past("b", "dirty_edge", cut="closed"),
    ]

    assert nearest(base, "lifting", values, past) == ()


def test_it_is_said_what_is_alike_what_differs_and_how_it_ended(base: Base) -> None:
    """In words: the end, whether it held, what it cost; here and there where they differ."""
    values = {"cut": "gapes", "adhesive": "clean"}
    near = nearest(base, "lifting", values, [_past("a", "pulled", cut="gapes", adhesive="dirty")])

    assert like_case(base, values, near[0]) == LikeCase(
        "case a",
        "pulled to the edge, re-lay, it held, cost 80.00.",
        "Alike: Relief cut (gapes).",
        "Different: Adhesive (clean here, dirty there).",
    )


def test_a_worked_case_goes_by_its_title() -> None:
    """Nobody reads the name of a file: it says what the case is about."""
    base = load(shipped("rules"))
    past = [*worked(base, shipped("cases"), {"seam_opening", "edge_lifting"})]
    dirty = next(one for one in past if one.case_id == "handle_gaps_dirty")
    near = nearest(base, dirty.symptom, dirty.values, [dirty])

    told = like_case(base, dirty.values, near[0])
    assert told.name == "worked case 'Grit along gaps and a lifting return'"
    assert "handle_gaps_dirty" not in f"{told}"


def test_where_the_nearest_and_the_weighing_disagree_it_is_said(base: Base) -> None:
    """None of the nearest ended as what leads: look once more."""
    values = {"cut": "gapes"}
    past = [_past("a", "pulled", cut="gapes")]
    (told,) = like_this(base, "lifting", values, "dirty_edge", past)
    (sure,) = like_this(base, "lifting", values, "pulled", past)

    assert told.doubt.startswith("None of these ended as dirt left at the edge, which")
    assert sure.doubt == ""
    assert [*sure.lines] == [
        "Lifting, the shop's own cases most like this one:",
        "- case a: pulled to the edge, re-lay, it held, cost 80.00.",
        "  Alike: Relief cut (gapes).",
    ]
    assert [*like_this(base, "lifting", values, "pulled", ())] == []


def test_of_cases_alike_the_last_one_comes_first(base: Base) -> None:
    """Four that say the same: the three that were closed last, by their numbers."""
    past = [_past(f"2026-0{n}-01-0001", "pulled", cut="gapes") for n in (2, 4, 1, 3)]
    near = nearest(base, "lifting", {"cut": "gapes"}, past)

    assert [one.past.case_id[5:7] for one in near] == ["04", "03", "02"]


def test_left_out_one_by_one_the_worked_cases_find_their_like() -> None:
    """The right cause is among the three nearest, and more often first than by equal fields."""
    rules = shipped_base()
    past = list(worked(rules, shipped("cases"), rules.symptoms))
    first, three, count = left_out(past, by_weight(rules))
    plain_first, plain_three, _ = left_out(past, by_count)

    assert count >= 60
    assert three / count >= 0.95
    assert first > plain_first
    assert three >= plain_three


def test_the_report_tells_of_cases_like_it(tmp_path: Path, capsys) -> None:
    """A case file is held against the worked cases, never against itself."""
    file = next(shipped("cases").rglob("door_return_after_wash.yaml"))
    records = tmp_path / "none.sqlite3"
    Store.open(records).close()
    assert main(["case", str(file), "--records", str(records), "--format", "text"]) == 0
    told = " ".join(capsys.readouterr().out.split())

    assert "most like this one" in told
    title = next(line for line in file.read_text().splitlines() if line.startswith("title: "))
    assert f"worked case '{title.removeprefix('title: ')}'" not in told


def test_a_case_file_is_held_against_the_shop_and_never_against_itself(
    tmp_path: Path, capsys
) -> None:
    """The shop's closed case comes first; the file's own copy in the records counts for nothing."""
    file = next(shipped("cases").rglob("door_return_after_wash.yaml"))
    twin = tmp_path / "twin.yaml"
    own = "case: door_return_after_wash"
    twin.write_text(file.read_text().replace(own, "case: last_winter"))
    records = tmp_path / "records.sqlite3"
    assert main(["cases", "import", str(file), str(twin), "--records", str(records)]) == 0
    capsys.readouterr()
    assert main(["case", str(file), "--records", str(records), "--format", "text"]) == 0
    told = " ".join(capsys.readouterr().out.split())

    assert told.index("the shop's own cases most like") < told.index("- case last_winter: ")
    assert told.index("- case last_winter: ") < told.index("worked cases most like")
    assert "case door_return_after_wash: " not in told
    assert "in this shop 1 of 1" in told
    assert "in this shop 2 of 2" not in told
