"""Parquet files put one after another: the rows of all, in order, and each group still its own."""

from __future__ import annotations

from pathlib import Path

import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.claims.rowgroups import put_together
from diagnose.claims.run import Decide, run
from diagnose.knowledge.base import Base
from tests.claims.tables import COMPLETE, job, write_csv

ROW = st.tuples(
    st.none() | st.text(max_size=40),
    st.none() | st.integers(-(2**62), 2**62),
    st.none() | st.floats(allow_nan=False),
    st.none() | st.dates(),
    st.none() | st.booleans(),
)
KINDS = {
    "text": pl.String,
    "whole": pl.Int64,
    "real": pl.Float64,
    "day": pl.Date,
    "yes": pl.Boolean,
}


@settings(
    derandomize=True,
    deadline=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(st.lists(ROW, max_size=30), min_size=1, max_size=20), st.booleans())
def test_the_rows_of_all_parts_in_order(
    tmp_path: Path, tables: list[list[tuple[object, ...]]], statistics: bool
) -> None:
    """Whatever the parts hold, empty ones too, with statistics or without: nothing is lost."""
    frames = [pl.DataFrame(rows, schema=KINDS, orient="row") for rows in tables]
    parts = [tmp_path / f"{number}.parquet" for number in range(len(frames))]
    for frame, part in zip(frames, parts, strict=True):
        frame.write_parquet(part, statistics=statistics, row_group_size=11)
    put_together(tmp_path / "all.parquet", parts)

    assert pl.read_parquet(tmp_path / "all.parquet").equals(pl.concat(frames))
    late = pl.scan_parquet(tmp_path / "all.parquet").filter(pl.col("whole") > 0).collect()
    assert late.equals(pl.concat(frames).filter(pl.col("whole") > 0))


def test_many_columns_and_a_single_part(tmp_path: Path) -> None:
    """Lists of more than fourteen in the footer; one part alone is that part, byte for byte."""
    frame = pl.DataFrame({f"c{n}": [n, None, -n] for n in range(300)})
    frame.write_parquet(tmp_path / "part.parquet")
    put_together(tmp_path / "one.parquet", [tmp_path / "part.parquet"])
    put_together(tmp_path / "three.parquet", [tmp_path / "part.parquet"] * 3)

    assert (tmp_path / "one.parquet").read_bytes() == (tmp_path / "part.parquet").read_bytes()
    assert pl.read_parquet(tmp_path / "three.parquet").equals(pl.concat([frame] * 3))


def test_parts_of_different_columns_are_refused(tmp_path: Path) -> None:
    """Nothing is put together that is not one table."""
    for name in ("a", "b"):
        pl.DataFrame({name: [1]}).write_parquet(tmp_path / f"{name}.parquet")

    with pytest.raises(ValueError, match="different columns"):
        put_together(tmp_path / "all.parquet", [tmp_path / "a.parquet", tmp_path / "b.parquet"])


def test_every_piece_has_its_rows_set_aside_in_a_parquet_file(base: Base, tmp_path: Path) -> None:
    """Seven pieces, a bad row in each: the table of rows set aside names all seven."""
    lines = [COMPLETE | {"symptom": "a dent" if n % 3 == 1 else "fading"} for n in range(21)]
    its = job(base, write_csv(tmp_path / "in.csv", lines), tmp_path / "out.parquet", size=3)
    run(its, decide=Decide(its))

    assert pl.read_parquet(tmp_path / "out.set_aside.parquet")["row"].to_list() == [
        *range(3, 24, 3)
    ]
    assert pl.read_parquet(tmp_path / "out.parquet").height == 14
