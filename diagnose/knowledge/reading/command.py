"""The rule base that a command names."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands import has_problems
from diagnose.folders import rules_cache, shipped

if TYPE_CHECKING:
    from diagnose.knowledge.base import Base
    from diagnose.knowledge.reading.parsed import Parse


def base_of(folder: Path | None, keep: bool = True, parse: Parse | None = None) -> Base:
    """The rule base of a folder, or the shipped one; Misuse with every problem of it.

    `keep`: whether one that is sound is kept in the user's cache, to be read fast the next time;
    `parse`: how its files are parsed, where some may be known.
    """
    from diagnose.knowledge.reading.load import BrokenRules, load

    folder = folder or shipped("rules")
    try:
        return load(folder, rules_cache() if keep else None, parse)
    except BrokenRules as error:
        raise has_problems(f"the rule base in {folder}", error.problems) from None
