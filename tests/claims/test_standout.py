"""What stands out: the exact test and its correction, against judges from outside."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import fisher_exact, hypergeom

from diagnose.claims.results.outliers import at_least, holm, standouts


def counted(table: dict[str, tuple[int, int]]) -> pl.DataFrame:
    """Lots with (claims of film manufacture, claims of technique)."""
    rows = [
        ("Lots", lot, kind, number)
        for lot, pair in table.items()
        for kind, number in zip(("film manufacture", "technique"), pair, strict=True)
        if number
    ]
    schema = {"what": pl.String, "value": pl.String, "kind": pl.String, "claims": pl.Int64}
    return pl.DataFrame(rows, schema=schema, orient="row")


def test_a_bad_roll_shows() -> None:
    """One lot with nine film faults among ten claims, nineteen with one: it is named, alone."""
    lots = {f"L-{n}": (1, 9) for n in range(19)} | {"L-2207": (9, 1)}
    found = standouts(counted(lots))

    assert [(s.value, s.kind) for s in found] == [("L-2207", "film manufacture")]
    assert (found[0].of_kind, found[0].claims, found[0].expected) == (9, 10, 1.4)
    assert found[0].p < 1e-4


def test_alike_lots_do_not_show() -> None:
    """Where every lot has the same mix, none is named."""
    assert standouts(counted({f"L-{n}": (2, 8) for n in range(30)})) == ()


def test_chance_alone_rarely_names_a_lot() -> None:
    """Of 200 backlogs without any bad lot, those in which one is named stay near the level."""
    chance = np.random.default_rng(5)
    named = 0
    for _ in range(200):
        film = chance.binomial(20, 0.2, 25)
        lots = {f"L-{n}": (int(k), 20 - int(k)) for n, k in enumerate(film)}
        named += bool(standouts(counted(lots)))

    assert named <= 20


@given(st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), min_size=2, max_size=5))
def test_p_values_are_fishers(pairs: list[tuple[int, int]]) -> None:
    """Judge: scipy's Fisher test on the two-by-two table; Holm's factor taken off again."""
    lots = {f"L-{n}": pair for n, pair in enumerate(pairs)}
    found = standouts(counted(lots), level=2.0)
    film, rest = (sum(pair[n] for pair in pairs) for n in (0, 1))
    expected = []
    for one in found:
        k, n = one.of_kind, one.claims
        of_kind = film if one.kind == "film manufacture" else rest
        table = [[k, n - k], [of_kind - k, film + rest - of_kind - (n - k)]]
        expected.append(fisher_exact(table, alternative="greater").pvalue)

    assert [s.p for s in found] == pytest.approx(sorted(holm(np.array(expected))))


@pytest.mark.parametrize("most", [20, 500, 50_000, 2_000_000])
def test_tails_of_large_backlogs(most: int) -> None:
    """Judge: scipy's tail of the hypergeometric distribution, near its middle and far out."""
    chance = np.random.default_rng(most)
    total = chance.integers(2, most, 60)
    of_kind, n = (np.maximum(1, (chance.random(60) ** p * total).astype(int)) for p in (1, 2))
    k = chance.hypergeometric(of_kind, total - of_kind, n) + chance.integers(-3, 40, 60)
    k = np.clip(k, 0, np.minimum(of_kind, n))

    expected = hypergeom.sf(k - 1, total, of_kind, n)
    assert at_least(k, n, of_kind, total) == pytest.approx(expected, rel=1e-7, abs=1e-280)
    assert (expected < 1e-6).any() or most < 50


@pytest.mark.parametrize(
    ("raw", "corrected"),
    [([0.01, 0.04, 0.03], [0.03, 0.06, 0.06]), ([0.5, 0.9], [1.0, 1.0]), ([], [])],
)
def test_holm(raw: list[float], corrected: list[float]) -> None:
    """The smallest times three, the next times two, never falling, never over one."""
    assert holm(np.array(raw)).tolist() == pytest.approx(corrected)
