"""What the parts of `diagnose rules` share: how one is added, run, and refused."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.knowledge.base import Base

Parsers = argparse._SubParsersAction
Run = Callable[[argparse.Namespace], int]

DONE, PROBLEM, MISUSE = 0, 1, 2

WIDEST = 100
"""Characters in a line at most."""


class MisuseError(Exception):
    """Input that cannot be used; one clear sentence with what to do."""


def part(
    parts: Parsers[argparse.ArgumentParser], name: str, says: str, example: str, run: Run
) -> argparse.ArgumentParser:
    """Add a part: its name, what it does, an example, and what runs it."""
    its = parts.add_parser(
        name,
        help=says,
        description=says,
        epilog=f"example: {example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    its.set_defaults(run=_told(run))
    return its


def _told(run: Run) -> Run:
    """A command whose misuse becomes one sentence on stderr and exit code 2."""

    def command(options: argparse.Namespace) -> int:
        try:
            return run(options)
        except MisuseError as error:
            print(f"diagnose: {error}", file=sys.stderr)
            return MISUSE

    return command


def with_rules(its: argparse.ArgumentParser) -> None:
    """Let a part take a folder of rules, and give JSON."""
    its.add_argument("--rules", type=Path, metavar="DIR", help="a rule base of your own")
    its.add_argument("--json", action="store_true", help="the result as JSON")


def base_of(folder: Path, cache: Path | None = None) -> Base:
    """The rule base of a folder; MisuseError with every problem where it cannot be used."""
    from diagnose.knowledge.reading.load import BrokenRules, load

    try:
        return load(folder, cache)
    except BrokenRules as error:
        raise MisuseError(
            f"the rule base in {folder} has {len(error.problems)} problems:\n{error}"
        ) from None


def print_json(value: object) -> None:
    """A result as JSON."""
    print(json.dumps(value, ensure_ascii=False, indent=1))
