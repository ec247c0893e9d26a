"""What all commands share: exit codes, how one is added and run, how it refuses, what it prints."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from diagnose.extras import missing

DONE, PROBLEM, MISUSE = 0, 1, 2
"""Exit codes: done; a problem was found; bad usage or input."""

Parsers = argparse._SubParsersAction
Run = Callable[[argparse.Namespace], int]
CommandResult = tuple[int, str]
"""An exit code, and what to print with it."""


class Misuse(Exception):
    """Input that cannot be used; one clear sentence with what to do."""


class CommandFailed(Exception):
    """What could not be done though it was asked for rightly; one clear sentence."""


def add_command(
    commands: Parsers[argparse.ArgumentParser],
    name: str,
    says: str,
    example: str,
    run: Run,
    *,
    more: str = "",
    interrupted: str = "Left.",
) -> argparse.ArgumentParser:
    """Add a command: its name, what it does, an example, and what runs it.

    `more`: what its own help says beyond that; `interrupted`: what Ctrl-C is answered with.
    """
    its = commands.add_parser(
        name,
        help=says,
        description=f"{says} {more}".strip(),
        epilog=f"example: {example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    its.set_defaults(run=run, interrupted=interrupted)
    return its


def add_rules(its: argparse.ArgumentParser) -> None:
    """Let a command take a folder of rules."""
    its.add_argument("--rules", type=Path, metavar="DIR", help="a rule base of your own")


def run(options: argparse.Namespace) -> int:
    """Run a command; its exit code. What is wrong is said in one sentence on stderr."""
    try:
        return int(options.run(options))
    except Misuse as error:
        return refuse(error)
    except CommandFailed as error:
        return refuse(error, PROBLEM)
    except ModuleNotFoundError as error:
        words = missing(error.name)
        if words is None:
            raise
        return refuse(words)
    except KeyboardInterrupt:
        print(f"\n{options.interrupted}", file=sys.stderr)
        return PROBLEM
    except BrokenPipeError:
        sys.stderr.close()
        return DONE
    except OSError as error:
        if not error.filename:
            raise
        return refuse(f"{error.filename}: {error.strerror}")


def refuse(words: object, code: int = MISUSE) -> int:
    """Say on stderr what is wrong; the exit code."""
    print(f"diagnose: {words}", file=sys.stderr)
    return code


def tell(result: CommandResult) -> int:
    """Print what came of a command, on stderr where it was not done; the exit code."""
    code, words = result
    print(words, file=sys.stderr if code else sys.stdout)
    return code


def print_json(value: object) -> None:
    """A result as JSON."""
    print(json.dumps(value, ensure_ascii=False, indent=1))


def has_problems(name: str, problems: Sequence[object] | Iterable[object]) -> Misuse:
    """The refusal of a file or folder of this name, with each of its problems in a line."""
    listed = [str(problem) for problem in problems]
    many = "1 problem" if len(listed) == 1 else f"{len(listed)} problems"
    return Misuse(f"{name} has {many}:\n" + "\n".join(listed))
