"""Writes anew how each worked case fares: `python -m tests.snapshot`, then look at the difference."""

from __future__ import annotations

from diagnose.knowledge.reading.load import load
from tests.worked_cases import ROOT, SNAPSHOT, play_all, snapshot


def main() -> None:
    """Play all worked cases and write the file that keeps how they fare."""
    SNAPSHOT.write_text(snapshot(play_all(load(ROOT / "rules"))), encoding="utf-8")


if __name__ == "__main__":
    main()
