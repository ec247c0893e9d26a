"""What words in a row say against an accept, and what a row must hold before it is decided."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import polars as pl
import pytest

from diagnose.claims.policy.policy import Exclusion
from diagnose.claims.run import run
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import parse
from tests.claims.tables import COMPLETE, example_policy, job, write_csv

SHOPS_OWN = COMPLETE | {
    "first_seen": "within_72h",
    "adhesive_side": "oily_or_waxy",
    "prep_record": "wash_only",
    "coating_history": "waxed_not_removed",
    "film_listed_for_use": "listed",
    "risk_waiver": "none",
    "repair_history": "none",
    "care_sheet": "handed_over",
}
"""Wax was left on the paint: the shop's, and every paper is there."""


def decided(
    base: Base, folder: Path, rows: list[dict[str, str]], first_owner_only: bool = False
) -> pl.DataFrame:
    """The decided rows, each a claim of its own."""
    numbered = [{"claim": f"C-{n}", "vehicle": f"AB {n}"} | row for n, row in enumerate(rows, 1)]
    for number, row in enumerate(numbered, 1):
        row["claim"] = f"C-{number}"
    its = job(base, write_csv(folder / "in.csv", numbered), folder / "out.parquet")
    terms = tuple(replace(t, first_owner_only=first_owner_only) for t in its.policy.terms)
    run(replace(its, policy=replace(its.policy, terms=terms)))
    return pl.read_parquet(folder / "out.parquet").cast({pl.Categorical: pl.String})


@pytest.mark.parametrize("column", ["found", "remark"])
def test_no_accept_goes_through_over_words_that_nothing_weighed(
    base: Base, tmp_path: Path, column: str
) -> None:
    """A ladder is in no answer: the row is asked about, and the words stand in the reason."""
    words = ("", "a ladder fell on it", "no ladder anywhere near")
    found = decided(base, tmp_path, [SHOPS_OWN | {column: its} for its in words])

    assert found["decision"].to_list() == ["accept", "ask", "accept"]
    assert "'a ladder fell on it'" in found["because"][1]
    assert found["ask_first"][1]


def test_what_was_read_and_speaks_for_some_cause_is_weighed(base: Base, tmp_path: Path) -> None:
    """A lance has a cause behind lifted edges; with wax on the glue the shop still pays."""
    found = decided(base, tmp_path, [SHOPS_OWN | {"found": "owner used a pressure washer"}])

    assert found["decision"].to_list() == ["accept"]


def test_a_row_in_which_nothing_was_found_is_not_decided(base: Base, tmp_path: Path) -> None:
    """Edges lift through the shop's work more often than not; that alone is no ground."""
    found = decided(base, tmp_path, [COMPLETE | {"zone": "convex_edge", "film_finish": "gloss"}])

    assert found["covered_percent"][0] > 50
    assert found["decision"][0] in ("ask", "inspect")
    assert "what was found" in found["because"][0]


def test_words_for_a_later_owner_count_where_terms_ask_for_the_first(
    base: Base, tmp_path: Path
) -> None:
    """'Bought used' ends it under such terms and nowhere else; a column that says otherwise wins."""
    rows = [
        SHOPS_OWN | {"found": "bought used in spring", "first_owner": ""},
        SHOPS_OWN | {"found": "bought used in spring", "first_owner": "yes"},
    ]
    bound = decided(base, tmp_path, rows, first_owner_only=True)
    free = decided(base, tmp_path, rows)

    assert bound["decision"].to_list() == ["decline", "accept"]
    assert "first owner" in bound["because"][0]
    assert free["decision"].to_list() == ["accept", "accept"]


def test_the_same_car_with_other_words_is_asked_about(base: Base, tmp_path: Path) -> None:
    """A van can come back with the same kind of fault; only the same words are the same claim."""
    words = ("edge up at the sill", "edges curl round the handle", "Edge up at the sill!")
    rows = [SHOPS_OWN | {"vehicle": "AB 7", "symptom": its, "panel": ""} for its in words]
    found = decided(base, tmp_path, rows)

    assert found["decision"].to_list()[1:] == ["ask", "decline"]
    assert "is it the same claim?" in found["ask_first"][1]


def test_an_exclusion_by_age_goes_by_the_age_that_terms_count(base: Base, tmp_path: Path) -> None:
    """Seen on a day that nobody wrote down, claimed after 13 months: 'over 12 months' holds."""
    policy = example_policy(base)
    rows = [
        SHOPS_OWN | {"seen_on": "", "claimed_on": day, "first_seen": ""}
        for day in ("2026-04-10", "2025-06-10")
    ]
    its = job(base, write_csv(tmp_path / "in.csv", rows), tmp_path / "out.parquet")
    old = Exclusion(parse({"age_months": {"over": 12}}), "Older than a year.", if_unknown="pay")
    terms = tuple(replace(t, excludes=(*t.excludes, old)) for t in policy.terms)
    run(replace(its, policy=replace(policy, terms=terms)))
    found = pl.read_parquet(tmp_path / "out.parquet").cast({pl.Categorical: pl.String})

    assert "Older than a year" in found["because"][0]
    assert "Older than a year" not in found["because"][1]


def test_what_a_complaint_says_beyond_the_symptom_is_read_without_a_remark_column(
    base: Base, tmp_path: Path
) -> None:
    """A shop that writes all in one cell has said that the paint was fresh."""
    row = {"film_finish": "gloss", "age_months": "1", "panel": "bonnet"}
    plain, told = (
        row | {"symptom": words}
        for words in ("bubbles on bonnet", "bubbles on bonnet, laid on fresh paint")
    )
    found = decided(base, tmp_path, [plain, told])

    likely = [{row[f"cause_{n}"] for n in (1, 2, 3)} for row in found.to_dicts()]
    gas = base.causes["fresh_paint_gas"].name

    assert [gas in causes for causes in likely] == [False, True]
    assert ["resprayed" in its for its in found["from_remark"]] == [False, True]
