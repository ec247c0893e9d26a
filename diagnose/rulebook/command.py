"""`diagnose rules …`: check, show, atlas and impact."""

from __future__ import annotations

import argparse
import json
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.folders import shipped

if TYPE_CHECKING:
    from diagnose.knowledge.base import Base
    from diagnose.rulebook.pages.atlas import Lessons

Parsers = argparse._SubParsersAction
Run = Callable[[argparse.Namespace], int]

DONE, PROBLEM, MISUSE = 0, 1, 2

WIDEST = 100


class MisuseError(Exception):
    """Input that cannot be used; one clear sentence with what to do."""


def add_parsers(parts: Parsers[argparse.ArgumentParser]) -> None:
    """Add the parts of `rules` that are at home here."""
    _add_check(parts)
    _add_show(parts)
    _add_atlas(parts)
    _add_impact(parts)


def _part(
    parts: Parsers[argparse.ArgumentParser], name: str, says: str, example: str, run: Run
) -> argparse.ArgumentParser:
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


def _with_rules(its: argparse.ArgumentParser) -> None:
    its.add_argument("--rules", type=Path, metavar="DIR", help="a rule base of your own")
    its.add_argument("--json", action="store_true", help="the result as JSON")


# check


def _add_check(parts: Parsers[argparse.ArgumentParser]) -> None:
    its = _part(
        parts,
        "check",
        "Check a rule base: first that it can be used, then what it means and where it is weak.",
        "diagnose rules check --rules my/ --strict",
        check,
    )
    _with_rules(its)
    its.add_argument("--strict", action="store_true", help="warnings fail as errors do")
    its.add_argument("--weakest", type=int, default=10, metavar="N", help="rows of the tables of"
                     " what is weak (10)")  # fmt: skip
    its.add_argument("--notes", action="store_true", help="show notes too, which never fail")
    its.add_argument("--explain", metavar="KIND", help="why a kind of problem matters, with"
                     " examples; 'all' lists them")  # fmt: skip


def check(options: argparse.Namespace) -> int:
    """Every problem of a rule base, each with its place, and what is weak."""
    from diagnose.knowledge.reading.load import read
    from diagnose.rulebook.judgement import judge

    if options.explain:
        return _explain(options.explain)
    reading = read(options.rules or shipped("rules"))
    if reading.base is None:
        if options.json:
            _print_json({"problems": [judge.problem_data(p) for p in reading.problems]})
        else:
            print("\n".join(map(str, reading.problems)))
            count = len(reading.problems)
            print(f"{count} problem{'s' * (count != 1)}: the rule base cannot be used.")
        return PROBLEM
    found = judge.judge(reading.base)
    if options.json:
        _print_json(judge.data(found, options.weakest))
    else:
        print(judge.text(found, options.weakest, options.notes), end="")
    fails = found.number("error") or (options.strict and found.number("warning"))
    return PROBLEM if fails else DONE


def _explain(kind: str) -> int:
    from diagnose.knowledge.near import near
    from diagnose.rulebook.judgement.judge import ALL, manual

    known = {anomaly.id: anomaly for anomaly in ALL}
    if kind == "all":
        for anomaly in ALL:
            print(f"{anomaly.severity:8} {anomaly.id}: {anomaly.why}")
        return DONE
    if kind not in known:
        raise MisuseError(f"no kind of problem is called '{kind}'{near(kind, set(known))}")
    print(manual(known[kind]), end="")
    return DONE


# show


def _add_show(parts: Parsers[argparse.ArgumentParser]) -> None:
    its = _part(
        parts,
        "show",
        "Show a cause, symptom, check, remedy, payer, caution, finding, measure or source.",
        "diagnose rules show pulled_to_edge",
        show,
    )
    its.add_argument("id", nargs="?", metavar="ID", help="without it, everything by id and name")
    _with_rules(its)


def show(options: argparse.Namespace) -> int:
    """The page of an entry."""
    from diagnose.rulebook.pages import page as pages_data
    from diagnose.rulebook.pages.entries import NoEntryError, listing, page
    from diagnose.rulebook.pages.render import text
    from diagnose.rulebook.pages.wording import Library

    base = _base(options.rules or shipped("rules"))
    if options.id is None:
        entries = listing(base)
        if options.json:
            _print_json([{"kind": k, "id": i, "name": n} for k, i, n in entries])
        else:
            print("\n".join(f"{kind:8} {entry}: {name}" for kind, entry, name in entries))
        return DONE
    try:
        found = page(Library(base), options.id)
    except NoEntryError as error:
        raise MisuseError(str(error)) from None
    if options.json:
        _print_json(pages_data.data(found))
    else:
        print(text(found, min(shutil.get_terminal_size().columns, WIDEST)), end="")
    return DONE


# atlas


def _add_atlas(parts: Parsers[argparse.ArgumentParser]) -> None:
    its = _part(
        parts,
        "atlas",
        "Write the whole rule base as one linked HTML document, to read through and to print.",
        "diagnose rules atlas --output atlas.html",
        atlas,
    )
    its.add_argument("--rules", type=Path, metavar="DIR", help="a rule base of your own")
    its.add_argument("--cases", type=Path, metavar="DIR", help="worked cases whose lessons stand"
                     " with their causes (else the shipped ones)")  # fmt: skip
    its.add_argument("--output", type=Path, metavar="FILE", help="a file that does not exist yet")


def atlas(options: argparse.Namespace) -> int:
    """The book."""
    from diagnose.rulebook.pages.atlas import atlas as made

    base = _base(options.rules or shipped("rules"))
    words = made(base, _lessons(base, options.cases or shipped("cases")))
    if options.output is None:
        print(words, end="")
        return DONE
    try:
        with options.output.open("x", encoding="utf-8") as file:
            file.write(words)
    except FileExistsError:
        raise MisuseError(f"{options.output} exists already: give another name") from None
    except OSError as error:
        raise MisuseError(f"{options.output} cannot be written: {error.strerror}") from None
    print(f"Written to {options.output}.")
    return DONE


def _lessons(base: Base, folder: Path) -> Lessons:
    """What the readable cases of a folder taught, by cause."""
    from diagnose.rulebook.change.impact import read_cases
    from diagnose.rulebook.pages.atlas import Lesson

    found: dict[str, list[Lesson]] = {}
    for case in read_cases(base, folder).cases:
        lesson = case.facts.get("lesson")
        causes = [c.outcome.cause for c in case.complaints if c.outcome]
        for cause in dict.fromkeys(causes) if lesson else ():
            its = Lesson(case.facts.get("title", case.id), lesson or "")
            found.setdefault(cause, []).append(its)
    return found


# impact


def _add_impact(parts: Parsers[argparse.ArgumentParser]) -> None:
    its = _part(
        parts,
        "impact",
        "Say what a change of the rules does to the worked cases: who moved, and how far.",
        "diagnose rules impact HEAD rules/",
        impact,
    )
    its.add_argument("old", metavar="OLD", help="a folder, or a git revision of NEW's folder")
    its.add_argument("new", type=Path, metavar="NEW", help="a folder of rules")
    its.add_argument("--cases", type=Path, metavar="DIR", help="worked cases (else the shipped"
                     " ones)")  # fmt: skip
    its.add_argument("--band", type=float, default=10, metavar="PERCENT", help="a probability"
                     " that moves by less is left out (10)")  # fmt: skip
    its.add_argument("--json", action="store_true", help="the result as JSON")


def impact(options: argparse.Namespace) -> int:
    """Who moved."""
    from diagnose.rulebook.change import impact as impacts

    if not 0 <= options.band <= 100:
        raise MisuseError(f"--band {options.band:g} is no percent: give 0 to 100")
    new = _base(options.new)
    with _old_folder(options.old, options.new) as folder:
        old = _base(folder)
        cases = options.cases or shipped("cases")
        found = impacts.compare(old, new, cases, options.band / 100)
    if options.json:
        _print_json(impacts.data(found))
    else:
        print(impacts.text(found), end="")
    return DONE


@contextmanager
def _old_folder(old: str, new: Path) -> Iterator[Path]:
    """The folder of the old rules: as named, or taken out of git under a revision."""
    from diagnose.rulebook.change.revision import NoRevisionError, taken_out

    if Path(old).is_dir():
        yield Path(old)
        return
    try:
        with taken_out(old, new) as folder:
            yield folder
    except NoRevisionError as error:
        raise MisuseError(str(error)) from None


# shared


def _base(folder: Path) -> Base:
    from diagnose.knowledge.reading.load import BrokenRules, load

    try:
        return load(folder)
    except BrokenRules as error:
        raise MisuseError(
            f"the rule base in {folder} has {len(error.problems)} problems:\n{error}"
        ) from None


def _print_json(value: object) -> None:
    print(json.dumps(value, ensure_ascii=False, indent=1))
