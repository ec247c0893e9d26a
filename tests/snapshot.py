"""Writes anew how each worked case fares, and README's picture of a report, after a change of rules.

`python -m tests.snapshot`, then look at the difference; `--picture` writes the picture alone.
"""

from __future__ import annotations

import sys

from diagnose.knowledge.reading.load import load
from tests.page_one import write
from tests.worked_cases import ROOT, SNAPSHOT, play_all, snapshot


def main() -> None:
    """Play all worked cases and write the file that keeps how they fare; draw the page."""
    base = load(ROOT / "rules")
    write(base)
    if "--picture" not in sys.argv[1:]:
        SNAPSHOT.write_text(snapshot(play_all(base)), encoding="utf-8")


if __name__ == "__main__":
    main()
