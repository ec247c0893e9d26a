"""``python -m tests.hostile --inputs 100000``: no traceback, no growth, whatever is read."""

from __future__ import annotations

import argparse
import resource
import sys
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

from diagnose.folders import rules_cache, shipped
from diagnose.knowledge.reading.load import load
from tests.hostile.mutated import attacks

GROWTH = 300
"""Megabytes by which the process may grow after the first hundredth of the inputs."""


def main() -> int:
    """Read them all; 1 if something fell over or grew."""
    its = argparse.ArgumentParser(description=__doc__)
    its.add_argument("--inputs", type=int, default=2000)
    its.add_argument("--seed", type=int, default=1)
    options = its.parse_args()
    base = load(shipped("rules"), rules_cache())
    count: Counter[str] = Counter()
    wrong = 0
    start = 0.0
    with TemporaryDirectory() as folder:
        for number, (kind, data, fell) in enumerate(
            attacks(base, Path(folder), options.inputs, options.seed)
        ):
            count[kind] += 1
            if number == max(100, options.inputs // 100):
                start = _megabytes()
            if fell:
                wrong += 1
                print(f"{kind}, input {number}: {fell[:300]}\n    {data[:200]!r}", file=sys.stderr)
    grown = _megabytes() - start if start else 0.0
    print(f"{sum(count.values()):,} inputs {dict(count)}: {wrong} fell over, grew {grown:.0f} MB")
    return int(bool(wrong) or grown > GROWTH)


def _megabytes() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    sys.exit(main())
