"""Tables of claims for tests, small enough to see."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import polars as pl

from diagnose.claims.job import Job
from diagnose.claims.mapping import mapping
from diagnose.claims.policy import policy
from diagnose.claims.policy.policy import Policy
from diagnose.claims.table import source
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.panels import PANELS
from tests.examples import is_large

COMPLETE = {
    "claim": "C-1",
    "symptom": "edge_lifting",
    "panel": "front_door_left",
    "film": "film A",
    "lot": "L-2207",
    "installer": "Harbour Lane Wraps",
    "laid_on": "2025-03-01",
    "seen_on": "2025-04-20",
    "claimed": "200",
}


def example_policy(base: Base) -> Policy:
    """The shipped example."""
    path = shipped("rules") / "policies" / "example_policy.yml"
    found, problems = policy.read(path.name, path.read_text(encoding="utf-8"), base)
    assert found is not None, problems
    return found


def job(base: Base, given: Path, output: Path, size: int = 1000) -> Job:
    """A job whose columns carry the facts' own names."""
    table = source.table(given)
    found = mapping.by_name(base, table.names)
    return Job(table, output, base, found, example_policy(base), "0", size)


def write_csv(path: Path, rows: Sequence[Mapping[str, str]]) -> Path:
    """Rows as a CSV file with all their keys as header."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    frame = pl.DataFrame([[row.get(n) for n in names] for row in rows], schema=names, orient="row")
    frame.cast(pl.String).write_csv(path)
    return path


def every() -> int:
    """Claims are made up of all symptoms; in a small campaign of every sixth, with more rows each.

    To get a symptom ready takes longer than to decide its few rows.
    """
    return 1 if is_large() else 6


def made_up(
    base: Base, rows: int, seed: int = 1, filled: float = 0.4, every: int = 1
) -> pl.DataFrame:
    """Made-up claims of `every` so-manieth symptom: papers filled in as often as usual."""
    chance = np.random.default_rng(seed)
    symptoms = np.array(list(base.symptoms)[::every])
    panels = np.array(list(PANELS))
    laid = np.datetime64("2023-01-01") + chance.integers(0, 1400, rows)
    found: dict[str, pl.Series] = {
        "symptom": pl.Series(symptoms[chance.integers(0, len(symptoms), rows)]),
        "panel": pl.Series(panels[chance.integers(0, len(panels), rows)]),
        "film": pl.Series([f"film {'ABC'[n]}" for n in chance.integers(0, 3, rows)]),
        "lot": pl.Series([f"L-{2200 + n}" for n in chance.integers(0, 40, rows)]),
        "installer": pl.Series([f"shop {n}" for n in chance.integers(0, 6, rows)]),
        "laid_on": pl.Series(laid),
        "seen_on": pl.Series(laid + chance.integers(1, 900, rows)),
        "claimed": pl.Series(chance.integers(50, 2000, rows).astype(float)),
    }
    for check in base.checks.values():
        if check.place != "paperwork" or check.id == "age_months":
            continue
        there = chance.random(rows) < filled
        if check.answers:
            words = np.array([str(its) for its in check.outcomes], dtype=object)
            shares = np.array(check.kind.outcome_shares(check.shares))
            drawn = words[chance.choice(len(words), rows, p=shares)]
            drawn[~there] = None
            found[check.id] = pl.Series(list(drawn), dtype=pl.String)
        elif check.number is not None:
            low, high = check.number.low, min(check.number.high, 2 * max(check.edges or (50,)))
            spread = low + (high - low) * chance.integers(0, 25, rows) / 24
            numbers = np.clip(np.round(spread), low, high)
            numbers[~there] = np.nan
            found[check.id] = pl.Series(numbers).fill_nan(None)
    return pl.DataFrame(found)
