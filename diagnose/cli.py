"""The command line: one thin function for each command."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.callback import callback
from diagnose.claims import command as claims_command
from diagnose.commands import (
    DONE,
    MISUSE,
    PROBLEM,
    Misuse,
    Parsers,
    Run,
    add_command,
    add_rules,
    tell,
)
from diagnose.commands import run as run_command
from diagnose.files import text_of, write
from diagnose.folders import program
from diagnose.knowledge.reading.command import base_of
from diagnose.options import (
    hand_over,
    hand_over_kept,
    is_kept,
    now,
    reasoner_of,
    records_there,
    report_of,
)
from diagnose.practice import command as practice_command
from diagnose.records import arguments
from diagnose.records.store.command import store_of
from diagnose.report import options as page_options
from diagnose.report import plan_options
from diagnose.report.formats.registry import FORMATS
from diagnose.rulebook import command as rulebook_command

if TYPE_CHECKING:
    from datetime import datetime

    from diagnose.knowledge.base import Base
    from diagnose.records.experience.statistics import Statistics

__all__ = ["DONE", "MISUSE", "PROBLEM", "main", "parser"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns its exit code."""
    options = parser().parse_args(arguments)
    if not hasattr(options, "run"):
        parser().print_help()
        return MISUSE
    return run_command(options)


def parser() -> argparse.ArgumentParser:
    """The parser of all commands."""
    top = argparse.ArgumentParser(
        prog="diagnose", description="Failure diagnosis for vehicle wraps."
    )
    top.add_argument("--version", action="version", version=f"diagnose {program()}")
    commands = top.add_subparsers(title="commands", metavar="COMMAND")
    _add_callback(commands)
    _add_case(commands)
    claims_command.add_parser(commands)
    arguments.add_parsers(commands, cases)
    _add_measure(commands)
    practice_command.add_parser(commands, practice)
    _add_rules(commands)
    _add_serve(commands)
    return top


def _command(
    commands: Parsers[argparse.ArgumentParser],
    name: str,
    says: str,
    example: str,
    run: Run,
    interrupted: str = "Left.",
) -> argparse.ArgumentParser:
    its = add_command(commands, name, says, example, run, interrupted=interrupted)
    add_rules(its)
    return its


# callback


def _add_callback(commands: Parsers[argparse.ArgumentParser]) -> None:
    its = _command(
        commands,
        "callback",
        "Triage one vehicle, question by question.",
        "diagnose callback --plain",
        callback,
        "Left. Everything entered is kept.",
    )
    its.add_argument("--plain", action="store_true", help="line by line, without screens")
    its.add_argument("--records", type=Path, metavar="FILE", help="records kept elsewhere")
    its.add_argument("--customer", default="", metavar="NAME", help="whose vehicle it is")
    its.add_argument("--plate", default="", help="its plate; both are kept apart from the case")
    its.add_argument("--new", action="store_true", help="start anew even if a case is unfinished")
    its.add_argument(
        "--no-learning", action="store_true", help="the rule base as judged, without closed cases"
    )
    its.add_argument("--output", type=Path, metavar="FILE", help="write the report to a file")
    its.add_argument("--format", choices=tuple(FORMATS), help="of the report")
    page_options.add_page_options(its)
    plan_options.add_plan_options(its)


# case


def _add_case(commands: Parsers[argparse.ArgumentParser]) -> None:
    its = _command(
        commands,
        "case",
        "Diagnose from a filled-in case file or a kept case, without questions.",
        "diagnose case cases/door_return_after_wash.yaml --format markdown",
        case,
    )
    says = "a case file (YAML), - for stdin, or the id of a kept case"
    its.add_argument("file", type=Path, metavar="FILE", help=says)
    its.add_argument("--output", type=Path, metavar="FILE", help="write the report to a file")
    its.add_argument("--format", choices=tuple(FORMATS), help="of the report")
    page_options.add_page_options(its)
    its.add_argument("--json", action="store_const", const="json", dest="format")
    its.add_argument("--records", type=Path, metavar="FILE", help="records kept elsewhere")
    its.add_argument(
        "--no-learning", action="store_true", help="the rule base as judged, without closed cases"
    )
    plan_options.add_plan_options(its)


def case(options: argparse.Namespace) -> int:
    """Report on a case file, or on a kept case with its photos."""
    from diagnose.records.case.casefile import read_case

    kept, piped = is_kept(options), not sys.stdout.isatty()
    reasoner = reasoner_of(options, without=str(options.file) if kept else "")
    if kept:
        with store_of(options.records) as store:
            its = store.case(str(options.file))
            hand_over_kept(options, reasoner, store, its, piped=piped)
        return DONE
    name, text = text_of(options.file)
    found, problems = read_case(name, text, reasoner.base)
    for problem in problems:
        print(problem, file=sys.stderr)
    if found is None:
        raise Misuse(f"{name} cannot be diagnosed until that is mended")
    if not found.case.complaints:
        raise Misuse(f"{name} has no complaint: add one under 'complaints'")
    with records_there(options) as store:
        if store and found.case.id in store.ids():
            reasoner = reasoner_of(options, without=found.case.id)
        report = report_of(options, reasoner, found.case, store)
    hand_over(options, reasoner, report, piped=piped)
    return DONE


# cases


def cases(options: argparse.Namespace) -> int:
    """What is done with the records."""
    from diagnose.records.command import run

    reasoner = reasoner_of(options, learning=False)
    said = arguments.read(options)
    at = now()
    return tell(run(said, reasoner.base, at, _pages(options, reasoner.base, at)))


def _pages(
    options: argparse.Namespace, base: Base, at: datetime
) -> Callable[[Statistics], str] | None:
    """What writes the statistics as pages, where a file is named for them."""
    output: Path | None = getattr(options, "output", None)
    if output is None:
        return None

    def hand_over_statistics(found: Statistics) -> str:
        from diagnose.report.pages.statistics import hand_over

        return hand_over(found, base, at, output, options.paper, options.overwrite)

    return hand_over_statistics


# measure


def _add_measure(commands: Parsers[argparse.ArgumentParser]) -> None:
    its = _command(
        commands,
        "measure",
        "One calculation by itself; without a name, the list of them.",
        "diagnose measure dew_point_margin_c air_temp_c=24 humidity_percent=60 panel_temp_c=18",
        measure,
    )
    its.add_argument("name", nargs="?", metavar="NAME")
    its.add_argument("inputs", nargs="*", metavar="INPUT=VALUE")
    its.add_argument("--units", choices=("metric", "us"), default="metric")
    its.add_argument("--json", action="store_true")


def measure(options: argparse.Namespace) -> int:
    """Reckon one measure."""
    from diagnose.measures.command import run

    return tell(run(options.name, options.inputs, options.units, options.json))


# rules


def _add_rules(commands: Parsers[argparse.ArgumentParser]) -> None:
    its = _command(
        commands,
        "rules",
        "Check, show and describe the rule base.",
        "diagnose rules check",
        lambda options: MISUSE,
    )
    parts = its.add_subparsers(title="what", metavar="WHAT", required=True)
    rulebook_command.add_parsers(parts)
    schema = _command(
        parts,
        "schema",
        "Print the JSON Schema of rule files, with the ids of a rule base.",
        "diagnose rules schema --rules my_rules --output my_rules/schema.json",
        rules_schema,
    )
    schema.add_argument("--output", type=Path, metavar="FILE")


def rules_schema(options: argparse.Namespace) -> int:
    """The JSON Schema that editors use."""
    from diagnose.knowledge.reading.load import is_additions
    from diagnose.knowledge.reading.schema import schema_text

    base = base_of(options.rules)
    text = schema_text(base, adds=options.rules is not None and is_additions(options.rules))
    if options.output:
        write(options.output, text.encode(), overwrite=True)
    else:
        print(text, end="")
    return DONE


# practice


def practice(options: argparse.Namespace) -> int:
    """Drills for the apprentice."""
    from diagnose.terminal.practice.run import run

    return run(options)


# serve


def _add_serve(commands: Parsers[argparse.ArgumentParser]) -> None:
    its = _command(
        commands,
        "serve",
        "The callback in a browser, for a phone at the car.",
        "diagnose serve --network",
        serve,
    )
    its.add_argument("--records", type=Path, metavar="FILE", help="records kept elsewhere")
    its.add_argument("--port", type=int, default=8000)
    its.add_argument("--network", action="store_true", help="on this network, behind a secret")
    its.add_argument("--shared", action="store_true", help="every visitor sees every case")
    its.add_argument(
        "--visitors", type=int, default=30, metavar="N", help="at most so many at once"
    )
    its.add_argument(
        "--idle-minutes", type=float, default=30.0, metavar="M", help="then a place is free again"
    )


def serve(options: argparse.Namespace) -> int:
    """Serve the pages until Ctrl-C."""
    from diagnose.records.store.paths import default_path
    from diagnose.serve.command import run
    from diagnose.serve.settings import Settings
    from diagnose.serve.signing import BadSecret

    settings = Settings(
        records=options.records or default_path(),
        rules=options.rules,
        port=options.port,
        network=options.network,
        shared=options.shared,
        visitors=options.visitors,
        idle_minutes=options.idle_minutes,
        ahead=True,
    )
    try:
        run(settings, reasoner_of(options))
    except BadSecret as error:
        raise Misuse(str(error)) from None
    except OSError as error:
        raise Misuse(f"port {options.port} cannot be used: {error.strerror}") from None
    return DONE


if __name__ == "__main__":
    sys.exit(main())
