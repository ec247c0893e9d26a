"""The rule base that a command names, with what closed cases made of it."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.knowledge.reading.command import base_of

if TYPE_CHECKING:
    from diagnose.knowledge.base import Base


def add_experience(its: argparse.ArgumentParser) -> None:
    """Let a command take records, and leave what they count."""
    its.add_argument("--records", type=Path, metavar="FILE", help="records kept elsewhere")
    its.add_argument("--no-learning", action="store_true", help="as judged, without closed cases")


def learned_base(options: argparse.Namespace, without: str = "") -> Base:
    """The rule base with what closed cases count, unless that is not wanted.

    `without`: a case that is to be reasoned without itself. Raises StoreError for records that
    cannot be read.
    """
    base = base_of(options.rules)
    if getattr(options, "no_learning", False):
        return base
    from diagnose.records.store.paths import default_path
    from diagnose.records.store.store import Store

    path: Path = getattr(options, "records", None) or default_path()
    if not path.exists():
        return base
    from diagnose.records.experience.counting import experience

    with Store.open(path) as store:
        return base.learned(experience(base, store, without))
