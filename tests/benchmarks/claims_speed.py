"""Rows per second of the claims, beside CLIPS and experta on the same rules and rows.

Run:  python -m tests.benchmarks.claims_speed [--rows 1000 100000 1000000]

The evaluator alone: columns in, columns out, two threads. CLIPS: one fact of many slots, all rules
in one environment, a new one each thousand cases; only reset, assert and run are timed. experta:
the chain that explains one case. Measures stand in the columns and slots beforehand, so that all
three do the same chaining; only the evaluator also weighs. The whole run is the command as a clerk
gives it, from its start to files written, with all its processes and their peak of memory; once
with every paper that the base asks for as a column, and once with as many columns as a clerk's
sheet has. All have a claim number and a plate, which are looked for in the whole table.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl

from diagnose.claims.mapping import mapping
from diagnose.claims.mapping.reading import Claims
from diagnose.claims.mapping.recognise import Recogniser
from diagnose.claims.table.source import Piece
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Values
from diagnose.knowledge.reading.load import load
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.evidence.chain import Chain
from diagnose.reasoning.evidence.columns import Columns, grouped, with_measures
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.state import State
from diagnose.reasoning.evidence.tables import tables
from diagnose.reasoning.evidence.weigh import weigh
from tests.benchmarks.process_tree import watched
from tests.claims.tables import made_up
from tests.reasoning.clips_rules import clips_environment, constructs, slots

THREADS = 2
CLIPS_ROWS, EXPERTA_ROWS = 3000, 120
PER_ENVIRONMENT = 1000
SHEET = 24
"""Columns of a clerk's sheet: ten of record, fourteen papers."""
EVALUATED = 50_000
"""Rows that the evaluator takes at a time when it works alone."""


def read(base: Base, frame: pl.DataFrame) -> Claims:
    """Made-up claims as columns, measures reckoned."""
    names = frame.columns
    numbered = frame.insert_column(0, pl.Series("row", range(frame.height)))
    claims, aside = Recogniser(base, mapping.by_name(base, names)).read(Piece(0, numbered))
    assert not aside
    return claims


Spent = tuple[float, float]
"""Seconds by the clock and of the processors."""


def evaluator(base: Base, claims: Claims, columns: Columns, matrices: Sequence[Matrix]) -> Spent:
    """Findings, signs, rule-outs, contradictions and probabilities of all rows, in pieces."""

    def all_of(first: int) -> None:
        order, runs = grouped(claims.symptom[first : first + EVALUATED])
        state = State(base, columns.part(first, first + EVALUATED))
        state.findings()
        for contradiction in base.contradictions.values():
            state.holds(contradiction.when)
        for symptom, start, stop in runs:
            matrices[symptom].score_state(state.part(order[start:stop]))

    start, spent = time.perf_counter(), time.process_time()
    with ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(all_of, range(0, columns.rows, EVALUATED)))
    return time.perf_counter() - start, time.process_time() - spent


def values_of(base: Base, columns: Columns, row: int) -> Values:
    """One row as chain and CLIPS take it."""
    found: dict[str, Any] = {}
    for name, codes in columns.choices.items():
        if codes[row] >= 0:
            kind, code = base.observables[name].kind, int(codes[row])
            together = code - len(kind.labels)
            found[name] = kind.of((code,) if together < 0 else columns.sets[name][together])
    for name, (low, high) in columns.numbers.items():
        if not np.isnan(low[row]):
            found[name] = Quantity(float(low[row]), float(high[row]))
    return found


def clips_seconds(base: Base, claims: Claims, columns: Columns) -> tuple[int, Spent]:
    """Rows and time of CLIPS's matching."""
    import clips

    names, rules = list(base.symptoms), tuple(constructs(base, None))
    cases = [
        slots(base, values_of(base, columns, row), names[claims.symptom[row]])
        for row in range(CLIPS_ROWS)
    ]
    seconds = spent = 0.0
    for first in range(0, len(cases), PER_ENVIRONMENT):
        environment = clips_environment(clips, rules)
        template = environment.find_template("car")
        start, processor = time.perf_counter(), time.process_time()
        for case in cases[first : first + PER_ENVIRONMENT]:
            environment.reset()
            template.assert_fact(**case)
            environment.run()
        seconds += time.perf_counter() - start
        spent += time.process_time() - processor
    return len(cases), (seconds, spent)


def experta_seconds(base: Base, claims: Claims, columns: Columns) -> tuple[int, float, float]:
    """Rows and seconds of the chain, and its largest difference from the matrix."""
    names = list(base.symptoms)
    rows, seconds, worst = 0, 0.0, 0.0
    order, runs = grouped(claims.symptom)
    for symptom, first, last in runs:
        chosen = order[first:last][: max(1, EXPERTA_ROWS // len(names))]
        table = tables(base, names[symptom])
        chain, matrix = Chain(base, names[symptom]), Matrix(base, table)
        for row in chosen:
            known = values_of(base, columns, int(row))
            answers = {n: v for n, v in known.items() if n in base.checks}
            start = time.perf_counter()
            trace = chain.run(answers)
            seconds += time.perf_counter() - start
            differential = weigh(base, table, trace)
            scores = matrix.score(columns.take(np.array([row]))).probabilities[0]
            for place, cause in enumerate(table.causes):
                worst = max(worst, abs(scores[place] - differential.of(cause.id).probability))
        rows += len(chosen)
    return rows, seconds, worst


KINDS = {"all": ("parquet", None), "sheet": ("parquet", SHEET), "csv": ("csv", None)}
"""Whole runs: with every paper, with as many columns as a clerk has, with every paper as text."""

COMMAND = "import sys; from diagnose.cli import main; sys.exit(main(sys.argv[1:]))"


def timed_run(given: Path, output: Path) -> tuple[int, Spent, float]:
    """Rows, time and peak memory in MB of the command on a file."""
    command = [sys.executable, "-c", COMMAND, "claims", str(given), "--output", str(output)]
    run = watched([*command, "--json"], os.environ | {"OPENBLAS_NUM_THREADS": "1"})
    return int(json.loads(run.printed)["rows"]), (run.seconds, run.spent), run.peak


def write_rows(
    base: Base, path: Path, rows: int, columns: int | None = None, step: int = 100_000
) -> int:
    """A Parquet or CSV file of made-up claims, the same rows in both; its columns."""
    parts = [
        _numbered(made_up(base, min(step, rows - first), seed=first + 1), first)[:, :columns]
        for first in range(0, rows, step)
    ]
    frame = pl.concat(parts)
    if path.suffix == ".csv":
        frame.write_csv(path)
    else:
        frame.write_parquet(path, row_group_size=65_536)
    return frame.width


def _numbered(frame: pl.DataFrame, first: int) -> pl.DataFrame:
    """With a claim number and a plate before all; one plate in twenty comes again."""
    rows = range(first, first + frame.height)
    plates = (row if row % 20 else row // 2 for row in rows)
    return frame.select(
        pl.Series("claim", [f"C-{row}" for row in rows]),
        pl.Series("vehicle", [f"AB {plate} CD" for plate in plates]),
        pl.all(),
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("--rows", type=int, nargs="+", default=[1_000, 100_000, 1_000_000])
    parser.add_argument("--kinds", nargs="+", default=list(KINDS), choices=list(KINDS))
    parser.add_argument("--no-evaluator", dest="evaluator", action="store_false")
    parser.add_argument("--runs", type=int, default=2, help="best of so many")
    options = parser.parse_args()
    base = load(shipped("rules"))
    matrices = [Matrix(base, tables(base, symptom)) for symptom in base.symptoms]
    sample = read(base, made_up(base, 20_000))
    columns = with_measures(base, sample.columns)
    count, (seconds, spent) = clips_seconds(base, sample, columns)
    clips = (seconds / count, spent / count)
    print(f"{'CLIPS, matching alone':<30} {count:>9,} rows  {_said(1, clips, clips)}")
    count, seconds, worst = experta_seconds(base, sample, columns)
    print(f"{'experta, chain':<30} {count:>9,} rows  {count / seconds:>12,.1f} rows/s")
    print(f"largest difference of a probability, matrix against chain: {worst:.1e}")
    for rows in options.rows if options.evaluator else ():
        _evaluate(base, matrices, rows, options.runs, clips)
    with tempfile.TemporaryDirectory() as folder:
        for rows in options.rows:
            for which in options.kinds:
                _whole(base, Path(folder), rows, *KINDS[which], clips)


def _said(rows: int, spent: Spent, clips: Spent) -> str:
    """Speeds by the clock and of one processor, and how many times those of CLIPS."""
    return "  ".join(
        f"{rows / its:>11,.0f} {name} ({rows * of_clips / its:>6.1f} times CLIPS)"
        for its, of_clips, name in zip(spent, clips, ("rows/s", "a processor second"), strict=True)
    )


def _evaluate(base: Base, matrices: Sequence[Matrix], rows: int, runs: int, clips: Spent) -> None:
    claims = read(base, made_up(base, rows))
    columns = with_measures(base, claims.columns)
    best = min(evaluator(base, claims, columns, matrices) for _ in range(runs))
    print(f"{'evaluator alone':<30} {rows:>9,} rows  {_said(rows, best, clips)}")


def _whole(
    base: Base, folder: Path, rows: int, kind: str, columns: int | None, clips: Spent
) -> None:
    given = folder / f"claims.{kind}"
    what = f"whole run, {kind}, {write_rows(base, given, rows, columns)} columns"
    count, spent, peak = timed_run(given, folder / f"out.{kind}")
    for path in folder.iterdir():
        path.unlink()
    print(f"{what:<30} {count:>9,} rows  {_said(count, spent, clips)}  {peak:>6,.0f} MB")


if __name__ == "__main__":
    main()
