"""The shipped rule base, read and found sound once for all workers, and for each run after."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.load import load

ROOT = Path(__file__).resolve().parent.parent

KEPT = ROOT / ".pytest_cache" / "rules"
"""Read anew when a rule changes, or the code that finds rules sound."""


@cache
def shipped_base() -> Base:
    """The shipped rule base; one for all that is asked of it in this process."""
    return load(ROOT / "rules", KEPT)
