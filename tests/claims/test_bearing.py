"""Measures are reckoned only where a rule looks at them, and nothing else comes of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.claims import classify
from diagnose.claims.decision.measure_symptoms import bearing
from diagnose.knowledge.base import Base
from tests.claims.tables import example_policy, job, made_up
from tests.examples import examples


def test_a_measure_bears_on_the_symptoms_of_the_causes_that_look_at_it(base: Base) -> None:
    """Dew at laying tells of pockets of water; nothing about a stain hangs on it."""
    symptoms = list(base.symptoms)
    dew = bearing(base, example_policy(base))["dew_point_margin_c"]

    assert dew[symptoms.index("water_pockets")]
    assert not dew[symptoms.index("staining")]
    assert set(base.causes["dew_on_panel"].behind) <= {
        name for name, its in zip(symptoms, dew, strict=True) if its
    }


def test_what_payers_look_at_bears_everywhere(base: Base) -> None:
    """A planner may have to pay where the tape test says that the film could not reach."""
    found = bearing(base, example_policy(base))

    assert found["tape_vs_limit"].all()
    assert set(found) == set(base.measures)


def test_rows_come_out_as_if_every_measure_were_reckoned(
    base: Base, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Thousands of made-up claims with readings of all kinds: each column is the same."""
    rows = examples(6000)
    made_up(base, rows, seed=8).write_parquet(tmp_path / "in.parquet")
    its = job(base, tmp_path / "in.parquet", tmp_path / "out.parquet")
    (piece,) = its.table.pieces(rows)
    spared = its.classifier().decide(piece).frame
    monkeypatch.setattr(classify, "bearing", lambda base, policy: {})

    assert spared.equals(its.classifier().decide(piece).frame)
