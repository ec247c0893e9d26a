"""No claim is paid twice: numbers that stand more than once are named, with the money they ask."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from diagnose.claims.results.doubled import doubled
from diagnose.claims.results.doubled import numbers as listed
from diagnose.claims.run import run
from diagnose.knowledge.base import Base
from tests.claims.tables import COMPLETE, job, write_csv


@pytest.mark.parametrize("parcel", [10_000, 50, 7])
def test_doubled_numbers_are_found_across_parts_in_parcels_of_any_size(
    tmp_path: Path, parcel: int
) -> None:
    """As a count over all rows at once has it; empty cells are no number."""
    drawn = np.random.default_rng(4).integers(0, 300, 400)
    numbers = [f"C-{n}" if n % 10 else " " for n in drawn]
    parts = []
    for place, its in enumerate((numbers[:100], numbers[100:])):
        parts.append(tmp_path / f"{place}.parquet")
        money = {"claimed_amount": [2.0] * len(its), "amount_carried": [1.0] * len(its)}
        listed(pl.DataFrame({"no": its, **money}), "no").write_parquet(parts[-1])
    counted = {n: c for n, c in Counter(numbers).items() if c > 1 and n.strip()}
    found = doubled(parts, parcel)

    assert {number: count for number, count, _, _ in found} == counted
    assert all(claimed == 2.0 * count for _, count, claimed, _ in found)
    assert [(-c, n) for n, c, _, _ in found] == sorted((-c, n) for n, c in counted.items())


def test_a_claim_that_came_in_twice_stands_in_the_summary(base: Base, tmp_path: Path) -> None:
    """With how often, and what it asks in sum; a table without numbers of claims has none."""
    rows = [COMPLETE, COMPLETE | {"claim": "C-2"}, COMPLETE, COMPLETE | {"claim": ""}]
    twice = run(job(base, write_csv(tmp_path / "in.csv", rows), tmp_path / "out.csv", size=1))
    bare = [{k: v for k, v in row.items() if k != "claim"} for row in rows]
    none = run(job(base, write_csv(tmp_path / "bare.csv", bare), tmp_path / "bare.out.csv"))
    found = [line for line in twice.lines if line.part.startswith("Claim numbers")]

    assert [(line.value, line.claims, line.claimed) for line in found] == [("C-1", 2, 400.0)]
    assert not [line for line in none.lines if line.part.startswith("Claim numbers")]
