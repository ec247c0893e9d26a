"""The command line: one thin function for each command."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.claims import command as claims_command
from diagnose.extras import missing
from diagnose.practice import command as practice_command
from diagnose.records import arguments
from diagnose.report import page_options, plan_options
from diagnose.rulebook import command as rulebook_command
from diagnose.where import program, rules_cache, shipped

if TYPE_CHECKING:
    from diagnose.knowledge.base import Base
    from diagnose.reasoning.diagnose import Reasoner
    from diagnose.records.case import Case, Complaint, Outcome
    from diagnose.records.statistics import Fired
    from diagnose.records.store import Store
    from diagnose.records.summary import Filter
    from diagnose.report.content import Report

FORMATS = ("text", "markdown", "json", *page_options.FORMATS)

DONE, PROBLEM, MISUSE = 0, 1, 2
"""Exit codes: done; a problem was found; bad usage or input."""


class Misuse(Exception):
    """Input that cannot be used; one clear sentence with what to do."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns its exit code."""
    options = parser().parse_args(arguments)
    if not hasattr(options, "run"):
        parser().print_help()
        return MISUSE
    try:
        run: Callable[[argparse.Namespace], int] = options.run
        return run(options)
    except Misuse as error:
        print(f"diagnose: {error}", file=sys.stderr)
        return MISUSE
    except ModuleNotFoundError as error:
        words = missing(error.name)
        if words is None:
            raise
        print(f"diagnose: {words}", file=sys.stderr)
        return MISUSE
    except KeyboardInterrupt:
        print("\nLeft. Everything entered is kept.", file=sys.stderr)
        return PROBLEM
    except BrokenPipeError:
        sys.stderr.close()
        return DONE


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
    practice_command.add_parser(commands).set_defaults(run=practice)
    _add_rules(commands)
    _add_serve(commands)
    return top


def _command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    says: str,
    example: str,
    run: Callable[[argparse.Namespace], int],
) -> argparse.ArgumentParser:
    its = commands.add_parser(
        name,
        help=says,
        description=says,
        epilog=f"example: {example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    its.add_argument("--rules", type=Path, metavar="DIR", help="a rule base of your own")
    its.set_defaults(run=run)
    return its


# callback


def _add_callback(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    its = _command(
        commands,
        "callback",
        "Triage one vehicle, question by question.",
        "diagnose callback --plain",
        callback,
    )
    its.add_argument("--plain", action="store_true", help="line by line, without screens")
    its.add_argument("--records", type=Path, metavar="FILE", help="records kept elsewhere")
    its.add_argument("--new", action="store_true", help="start anew even if a case is unfinished")
    its.add_argument("--no-learning", action="store_true", help="the rule base's own shares only")
    its.add_argument("--output", type=Path, metavar="FILE", help="write the report to a file")
    its.add_argument("--format", choices=FORMATS, help="of the report")
    page_options.add_page_options(its)
    plan_options.add_plan_options(its)


def callback(options: argparse.Namespace) -> int:
    """Ask, diagnose, report."""
    reasoner = _reasoner(options)
    store = _store(options)
    if options.plain or not (sys.stdin.isatty() and sys.stdout.isatty()):
        return _callback_plain(options, reasoner, store)
    from diagnose.terminal.app import CallbackApp
    from diagnose.terminal.graphics import pictures

    app = CallbackApp(reasoner, store, _now, resume=not options.new, pictures=pictures())
    case_id = app.run()
    if case_id:
        print(f"Case {case_id} is kept: diagnose cases show {case_id}")
    return DONE


def _callback_plain(options: argparse.Namespace, reasoner: Reasoner, store: Store) -> int:
    from diagnose.terminal.dialogue import Dialogue, StoredJournal
    from diagnose.terminal.plain import Leave, Plain

    unfinished = None if options.new else store.unfinished()
    if unfinished:
        print(f"Going on with the unfinished case {unfinished.id} (--new starts another).")
    case_id = unfinished.id if unfinished else store.begin(_now())
    dialogue = Dialogue(reasoner, StoredJournal(store, case_id, _now))
    try:
        Plain(dialogue, sys.stdin, sys.stdout, prompt=True).run()
    except Leave:
        print(f"\nLeft. Case {case_id} is kept; start again to go on.", file=sys.stderr)
        return PROBLEM
    _hand_over_kept(options, reasoner, store, dialogue.case)
    return DONE


# case


def _add_case(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
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
    its.add_argument("--format", choices=FORMATS, help="of the report")
    page_options.add_page_options(its)
    its.add_argument("--json", action="store_const", const="json", dest="format")
    its.add_argument("--records", type=Path, metavar="FILE", help="records kept elsewhere")
    its.add_argument("--no-learning", action="store_true", help="the rule base's own shares only")
    plan_options.add_plan_options(its)


def case(options: argparse.Namespace) -> int:
    """Report on a case file, or on a kept case with its photos."""
    from diagnose.records.casefile import read_case

    reasoner = _reasoner(options)
    if _is_kept(options):
        with _store(options) as store:
            _hand_over_kept(options, reasoner, store, store.case(str(options.file)))
        return DONE
    name, text = _given(options.file)
    found, problems = read_case(name, text, reasoner.base)
    for problem in problems:
        print(problem, file=sys.stderr)
    if found is None:
        raise Misuse(f"{name} cannot be diagnosed until that is mended")
    if not found.case.complaints:
        raise Misuse(f"{name} has no complaint: add one under 'complaints'")
    report = _case_report(options, reasoner, found.case)
    _hand_over(options, reasoner, report)
    return DONE


def _is_kept(options: argparse.Namespace) -> bool:
    """Whether no file but a case in the records bears this name."""
    from diagnose.records.store import default_path

    records = options.records or default_path()
    if str(options.file) == "-" or options.file.exists() or not records.exists():
        return False
    with _store(options) as store:
        return str(options.file) in store.ids()


def _case_report(options: argparse.Namespace, reasoner: Reasoner, case: Case) -> Report:
    """The report of a case, with the plan that the options ask for."""
    from diagnose.reasoning.situation import CannotSuppose
    from diagnose.records.complaints import complaints_of
    from diagnose.report.plan_command import CannotPlan, terms_of
    from diagnose.report.whole import whole

    now = _now()
    try:
        terms = terms_of(reasoner.base, case, options, now) if options.plan else None
        return whole(reasoner, case, now, program(), terms, reasoner.car(complaints_of(case)))
    except (CannotPlan, CannotSuppose) as error:
        raise Misuse(str(error)) from None


# cases


def cases(options: argparse.Namespace) -> int:
    """What is done with the records."""
    from diagnose.records.command import Arguments, run

    reasoner = _reasoner(options, learning=False)
    given = vars(options)
    its = Arguments(
        action=options.action,
        records=options.records,
        cases=tuple(given.get("cases", ())),
        paths=tuple(given.get("paths", ())),
        wanted=_filter(given),
        complaint=given.get("complaint"),
        outcome=_outcome(given),
        **{name: given[name] for name in _PASSED_ON if name in given},
        as_json=given.get("json", False),
    )
    code, text = run(its, reasoner.base, _now(), lambda case, one: _fired(reasoner, case, one))
    print(text, file=sys.stderr if code else sys.stdout)
    return code


_PASSED_ON = (
    "caption",
    "marks",
    "journal",
    "name",
    "plate",
    "erase",
    "with_customers",
    "overwrite",
    "yes",
    "plots",
    "seed",
    "strength",
    "width",
)


def _filter(given: dict[str, Any]) -> Filter:
    from diagnose.records.summary import Filter

    names = ("symptom", "panel", "film", "lot", "installer", "month", "text")
    wanted = {name: given.get(name) or "" for name in names}
    cause = given.get("cause") or "" if "confirmed_by" not in given else ""
    return Filter(**wanted, cause=cause, closed=given.get("closed"))


def _outcome(given: dict[str, Any]) -> Outcome:
    from diagnose.records.case import Outcome

    if "confirmed_by" not in given:
        return Outcome("", "")
    names = ("cause", "confirmed_by", "remedy", "held", "payer", "cost", "note")
    return Outcome(**{name: given[name] for name in names}, also_causes=tuple(given["also"]))


def _fired(reasoner: Reasoner, case: Case, complaint: Complaint) -> list[Fired]:
    """The signs that fire for a complaint, for what they are worth afterwards."""
    from diagnose.reasoning import diagnose
    from diagnose.records.statistics import Fired

    found = reasoner.differential(diagnose.Complaint(complaint.symptom, case.answers(complaint)))
    return [
        Fired(case.id, complaint.number, str(weight.sign.when), standing.cause.id, weight.decibans)
        for standing in found.standings
        for weight in standing.weights
        if weight.sign is not None and weight.counts
    ]


# measure


def _add_measure(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
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

    code, text = run(options.name, options.inputs, options.units, options.json)
    print(text, file=sys.stderr if code else sys.stdout)
    return code


# rules


def _add_rules(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
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
        "Print the JSON Schema of rule files.",
        "diagnose rules schema",
        rules_schema,
    )
    schema.add_argument("--output", type=Path, metavar="FILE")


def rules_schema(options: argparse.Namespace) -> int:
    """The JSON Schema that editors use."""
    from diagnose.knowledge.schema import schema_text

    if options.output:
        options.output.write_text(schema_text(), encoding="utf-8")
    else:
        print(schema_text(), end="")
    return DONE


# practice


def practice(options: argparse.Namespace) -> int:
    """Drills for the apprentice."""
    from diagnose.terminal.practice_run import run

    return run(options)


# serve


def _add_serve(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
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
    its.add_argument("--visitors", type=int, default=4, metavar="N", help="at most so many at once")
    its.add_argument("--idle-minutes", type=float, default=30.0, metavar="M")


def serve(options: argparse.Namespace) -> int:
    """Serve the screens until Ctrl-C."""
    from diagnose.records.store import default_path
    from diagnose.serve.command import run
    from diagnose.serve.settings import Settings

    settings = Settings(
        records=options.records or default_path(),
        rules=options.rules,
        port=options.port,
        network=options.network,
        shared=options.shared,
        visitors=options.visitors,
        idle_minutes=options.idle_minutes,
    )
    try:
        run(settings)
    except OSError as error:
        raise Misuse(f"port {options.port} cannot be used: {error.strerror}") from None
    return DONE


# shared


def _base(options: argparse.Namespace) -> Base:
    from diagnose.knowledge.load import BrokenRules, load

    try:
        return load(options.rules or shipped("rules"), rules_cache())
    except BrokenRules as error:
        raise Misuse(f"the rule base has {len(error.problems)} problems:\n{error}") from None


def _reasoner(options: argparse.Namespace, learning: bool = True) -> Reasoner:
    """A reasoner on the rule base, with the shop's own counts where there are any and wanted."""
    from diagnose.reasoning.diagnose import Reasoner

    base = _base(options)
    if not learning or getattr(options, "no_learning", False):
        return Reasoner(base)
    return Reasoner(base, _learned(options, base))


def _learned(options: argparse.Namespace, base: Base) -> dict[str, tuple[float, ...]]:
    """Shares behind the symptoms of which this shop has confirmed cases."""
    from diagnose.records.store import default_path

    path = getattr(options, "records", None) or default_path()
    if not path.exists():
        return {}
    from diagnose.records.learning import confirmed_causes, learned_priors

    with _store(options) as store:
        outcomes = store.outcomes()
    symptoms = {o.symptom for o in outcomes} & set(base.symptoms)
    return {
        symptom: learned_priors(base, symptom, confirmed_causes(outcomes, symptom))
        for symptom in sorted(symptoms)
    }


def _store(options: argparse.Namespace) -> Store:
    from diagnose.records.database import StoreError
    from diagnose.records.store import Store, default_path

    path = getattr(options, "records", None) or default_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        return Store.open(path)
    except (StoreError, OSError) as error:
        raise Misuse(str(error)) from None


def _given(file: Path) -> tuple[str, str]:
    try:
        if str(file) == "-":
            return "(stdin)", sys.stdin.read()
        return file.name, file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise Misuse(f"{file} cannot be read: {error}") from None


def _now() -> datetime:
    return datetime.now().astimezone()


def _made() -> str:
    return _now().strftime("%Y-%m-%d %H:%M")


def _hand_over(options: argparse.Namespace, reasoner: Reasoner, report: Report) -> None:
    """Print or write a report made of a file."""
    from diagnose.report.handing import CannotHandOver, hand_over

    try:
        hand_over(options, report, reasoner.base)
    except CannotHandOver as error:
        raise Misuse(str(error)) from None


def _hand_over_kept(
    options: argparse.Namespace, reasoner: Reasoner, store: Store, case: Case
) -> None:
    """Print or write the report of a kept case, with its photos and whose vehicle it is."""
    from diagnose.records.store import photo_folder
    from diagnose.report.handing import CannotHandOver, hand_over
    from diagnose.report.pages.photos import photos_of

    report = _case_report(options, reasoner, case)
    found = store.customer(case.id)
    customer = [("Name", found.name), ("Plate", found.plate)] if found else []
    photos = photos_of(store.events(case.id), photo_folder(store.path))
    try:
        hand_over(options, report, reasoner.base, photos, [(k, v) for k, v in customer if v])
    except CannotHandOver as error:
        raise Misuse(str(error)) from None


if __name__ == "__main__":
    sys.exit(main())
