"""What only the whole table tells: claims sent twice or settled before, and a bad roll."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import polars as pl
import pytest

from diagnose.claims.results.spelled import joined
from diagnose.claims.run import run
from diagnose.commands import DONE, MISUSE
from diagnose.knowledge.base import Base
from tests.claims.tables import COMPLETE, job, write_csv
from tests.claims.test_command import claims

CAR = COMPLETE | {"vehicle": "LM 301", "customer": "Fell Cabs"}


def decided(base: Base, folder: Path, rows: list[dict[str, str]], size: int = 2) -> pl.DataFrame:
    """The decided rows, read in pieces of two."""
    run(job(base, write_csv(folder / "in.csv", rows), folder / "out.parquet", size=size))
    return pl.read_parquet(folder / "out.parquet").cast({pl.Categorical: pl.String})


def test_a_claim_sent_twice_is_paid_once(base: Base, tmp_path: Path) -> None:
    """The same number again, and the same car and fault under another number."""
    rows = [
        CAR,
        CAR | {"claim": "C-2"},
        CAR | {"claim": "c 1"},
        CAR | {"claim": "C-3", "vehicle": "X 9"},
    ]
    found = decided(base, tmp_path, rows)

    assert found["settled"].to_list() == [
        None, "sent twice: row 2 (C-1)", "sent twice: row 2 (C-1)", None,
    ]  # fmt: skip
    assert found["decision"].to_list()[1:3] == ["decline", "decline"]
    assert found["because"][1] == "Sent in already: row 2 (C-1)."
    assert found["amount_carried"].to_list()[1:3] == [None, None]


def test_a_number_that_two_cars_have_is_asked_about(base: Base, tmp_path: Path) -> None:
    """Nobody is declined for a slip in the numbering."""
    other = CAR | {"vehicle": "X 9", "customer": "A. Vale"}
    found = decided(base, tmp_path, [CAR, other])

    assert found["decision"][1] == "ask"
    assert "stands in row 2 (C-1) too, for another vehicle or fault" in found["ask_first"][1]


@pytest.mark.parametrize(
    "change",
    [{"panel": "roof"}, {"symptom": "fading"}, {"vehicle": "van"}, {"customer": "A. Vale"}],
)
def test_another_fault_of_the_same_car_is_another_claim(
    base: Base, tmp_path: Path, change: dict[str, str]
) -> None:
    """At another place, of another kind; and a column that says only 'van' names no car."""
    first = CAR | ({"vehicle": "van", "customer": ""} if "vehicle" in change else {})
    found = decided(base, tmp_path, [first, first | {"claim": "C-2"} | change])

    assert found["settled"].to_list() == [None, None]


def test_the_same_fault_told_more_closely_is_asked_about(base: Base, tmp_path: Path) -> None:
    """The left door, and two months later the left door's lower edge under another number."""
    first = CAR | {"panel": "Left front door", "symptom": "edge lifting"}
    later = first | {"claim": "C-2", "panel": "Left front door, lower edge"}
    again = decided(base, tmp_path, [first, later | {"symptom": "its edge comes up again"}])

    assert again["settled"].to_list() == [None, "perhaps sent twice: row 2 (C-1)"]
    assert "is it the same claim?" in again["ask_first"][1]


def test_what_an_earlier_run_settled_is_not_paid_again(tmp_path: Path) -> None:
    """The second month's table holds the first month's claims; questions are decided anew."""
    january = write_csv(
        tmp_path / "january.csv", [CAR | {"film_listed_for_use": "surface_excluded"}]
    )
    assert claims(january, "--output", tmp_path / "first.csv") == DONE
    rows = [CAR | {"claim": "C-9", "vehicle": "X 9"}, CAR]
    february = write_csv(tmp_path / "february.csv", rows)
    settled = ("--settled", tmp_path / "first.csv")
    assert claims(february, *settled, "--output", tmp_path / "second.csv") == DONE
    found = pl.read_csv(tmp_path / "second.csv")

    assert found["settled"].to_list() == [None, "settled before: decline in row 2"]
    assert found["decision"][1] == "settled before"
    assert claims(february, "--settled", january, "--output", tmp_path / "third.csv") == MISUSE


def test_a_claim_that_is_open_is_not_settled_by_its_double(tmp_path: Path) -> None:
    """Asked in January, its double declined as such: in February it is decided, and no less."""
    january = write_csv(tmp_path / "january.csv", [CAR, CAR])
    claims(january, "--output", tmp_path / "first.csv")
    first = pl.read_csv(tmp_path / "first.csv")
    assert first["decision"].to_list() == ["inspect", "decline"]
    february = write_csv(tmp_path / "february.csv", [CAR])
    claims(february, "--settled", tmp_path / "first.csv", "--output", tmp_path / "second.csv")
    found = pl.read_csv(tmp_path / "second.csv")

    assert found["settled"].to_list() == [None]
    assert found["decision"].to_list() == ["inspect"]


def test_a_car_that_comes_back_after_it_was_settled_is_asked_about(tmp_path: Path) -> None:
    """The same kind of fault at the same place, under another number and in other words."""
    car = CAR | {"symptom": "edge lifting", "film_listed_for_use": "surface_excluded"}
    january = write_csv(tmp_path / "january.csv", [car])
    claims(january, "--output", tmp_path / "first.csv")
    again = [car | {"claim": "C-8", "symptom": "the edge comes up again"}, car | {"claim": "C-9"}]
    february = write_csv(tmp_path / "february.csv", again)
    claims(february, "--settled", tmp_path / "first.csv", "--output", tmp_path / "second.csv")
    found = pl.read_csv(tmp_path / "second.csv")

    assert found["decision"].to_list() == ["ask", "settled before"]
    assert "is it the same claim?" in found["ask_first"][0]
    assert found["settled"][0] == "perhaps settled before: decline in row 2"


ROLL = ("R-7714B", "r7714b", "R 7714 B", "R-7714B")


def with_a_bad_roll() -> list[dict[str, str]]:
    """Four cars with cracked film of one roll, spelled in three ways, among twenty-four others."""
    bad = [
        COMPLETE | {"claim": f"B-{n}", "symptom": "cracking", "lot": lot}
        for n, lot in enumerate(ROLL)
    ]
    kinds = ("edge_lifting", "fading", "grit_bumps")
    others = [
        COMPLETE | {"claim": f"O-{n}", "symptom": kinds[n % 3], "lot": f"L-{n // 4}"}
        for n in range(24)
    ]
    return [*bad, *others]


def test_a_bad_roll_shows_in_the_summary_and_in_its_rows(base: Base, tmp_path: Path) -> None:
    """Three spellings are one roll; each of its rows is decided with what the others say."""
    its = job(base, write_csv(tmp_path / "in.csv", with_a_bad_roll()), tmp_path / "out.parquet", 5)
    summary = run(its)
    found = pl.read_parquet(tmp_path / "out.parquet").cast({pl.Categorical: pl.String})
    answered = with_a_bad_roll()[0] | {"other_jobs_same_roll": "several"}
    alone = decided(base, tmp_path_of(tmp_path), [answered])
    lots = [s for s in summary.standouts if s.what == "Lots"]

    assert [(s.value, s.of_kind, s.claims) for s in lots] == [
        ("R-7714B (also R 7714 B, r7714b)", 4, 4)
    ]
    told = found["from_the_table"].to_list()
    assert [t is not None for t in told] == [True] * 4 + [False] * 24
    assert "4 of 4 claims are Cracking" in str(told[0])
    for name in ("decision", "cause_1", "cause_1_percent", "payer_percent", "sign_for_1"):
        assert found[name][0] == alone[name][0]


def test_the_sheet_for_the_film_maker_names_no_customer(base: Base, tmp_path: Path) -> None:
    """Rows of the bad roll with their lot and days, without whose car it is."""
    rows = [row | {"customer": "A. Vale", "vehicle": "X 9"} for row in with_a_bad_roll()]
    run(job(base, write_csv(tmp_path / "in.csv", rows), tmp_path / "out.xlsx", size=50))
    rolls = pl.read_excel(tmp_path / "out.xlsx", sheet_name="rolls")

    assert rolls["lot"].to_list() == list(ROLL)
    assert {"claim", "film", "laid_on", "from_the_table"} <= set(rolls.columns)
    assert not {"customer", "vehicle"} & set(rolls.columns)


def test_what_a_clerk_answered_of_the_roll_is_not_told_twice(base: Base, tmp_path: Path) -> None:
    """Where a column says whether other jobs of the roll show it, the column counts alone."""
    rows = [row | {"other_jobs_same_roll": "none"} for row in with_a_bad_roll()]
    found = decided(base, tmp_path, rows, size=50)

    assert found["from_the_table"].is_null().all()


def test_a_run_stopped_after_its_last_row_ends_as_one_in_one_go(base: Base, tmp_path: Path) -> None:
    """What the whole table tells may be put into the parts twice."""
    from diagnose.claims.parts import Parts

    its = job(base, write_csv(tmp_path / "in.csv", with_a_bad_roll()), tmp_path / "out.csv", 5)
    parts = Parts(its, resume=False)
    for piece in its.table.pieces(its.size):
        parts.keeping.keep(its.classifier().decide(piece))
    parts.tell_the_whole()
    run(its, resume=True)
    run(replace(its, output=tmp_path / "whole.csv"))

    assert (tmp_path / "out.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()


def tmp_path_of(folder: Path) -> Path:
    """A folder of its own beside others."""
    its = folder / "alone"
    its.mkdir()
    return its


def test_spellings_are_shown_as_one() -> None:
    """The most frequent spelling first, the others in brackets; what says nothing is nothing."""
    counts = pl.DataFrame({"lot": ["A-1", "a1", "A 1", "?"], "claims": [3, 1, 1, 2]})

    assert joined(counts, "lot")["lot"].to_list() == ["A-1 (also A 1, a1)"] * 3 + [None]
