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

from diagnose.folders import results_cache, rules_cache, shipped

if TYPE_CHECKING:
    from diagnose.knowledge.base import Base
    from diagnose.rulebook.change.impact import Wanted
    from diagnose.rulebook.change.kept import Kept
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
    from diagnose.rulebook.change.version import read_cases
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
        "Say what a change of the rules does to the worked cases: who moved, how far, and why.",
        "diagnose rules impact HEAD rules/ --watch",
        impact,
    )
    its.add_argument("old", metavar="OLD", help="a folder, or a git revision of NEW's folder")
    its.add_argument("new", type=Path, metavar="NEW", help="a folder of rules")
    its.add_argument("--cases", type=Path, metavar="DIR", action="append", help="worked cases (else"
                     " the shipped ones); may be given several times")  # fmt: skip
    its.add_argument("--band", type=float, default=10, metavar="PERCENT", help="a probability"
                     " that moves by less is left out (10)")  # fmt: skip
    its.add_argument("--asking", action="store_true", help="replay all questions, however many"
                     " cases are touched")  # fmt: skip
    its.add_argument("--watch", action="store_true", help="show it again after each save of a file"
                     " (Ctrl-C ends it)")  # fmt: skip
    its.add_argument("--json", action="store_true", help="the result as JSON")


def impact(options: argparse.Namespace) -> int:
    """Who moved."""
    from diagnose.rulebook.change.impact import Wanted
    from diagnose.rulebook.change.kept import Kept
    from diagnose.rulebook.change.watch import watch

    if not 0 <= options.band <= 100:
        raise MisuseError(f"--band {options.band:g} is no percent: give 0 to 100")
    cases = tuple(options.cases or [shipped("cases")])
    wanted, kept = Wanted(options.band / 100, options.asking), Kept(results_cache())
    with _old_folder(options.old, options.new) as folder:
        old = _base(folder, rules_cache())
        if options.watch:
            watch((options.new, *cases), lambda: _watched(options, old, cases, wanted, kept))
        else:
            _show_impact(options, old, cases, wanted, kept)
    return DONE


def _watched(
    options: argparse.Namespace, old: Base, cases: tuple[Path, ...], wanted: Wanted, kept: Kept
) -> None:
    """The impact of what was saved; of rules that cannot be used, why."""
    print(f"\n{'-' * WIDEST}")
    try:
        _show_impact(options, old, cases, wanted, kept)
    except MisuseError as error:
        print(error)
    print("Waiting for the next save; Ctrl-C ends it.", file=sys.stderr, flush=True)


def _show_impact(
    options: argparse.Namespace, old: Base, cases: tuple[Path, ...], wanted: Wanted, kept: Kept
) -> None:
    from diagnose.rulebook.change import telling
    from diagnose.rulebook.change.impact import compare

    with _progress() as tell:
        found = compare(old, _base(options.new), cases, wanted, kept, tell)
    if options.json:
        _print_json(telling.data(found))
    else:
        print(telling.text(found), end="", flush=True)


@contextmanager
def _progress() -> Iterator[Callable[[int], None]]:
    """How many questions have been replayed, on a terminal that looks at stderr."""
    asked = 0

    def tell(questions: int) -> None:
        nonlocal asked
        asked += questions
        if sys.stderr.isatty() and asked:
            print(f"\r{asked} questions replayed …", end="", file=sys.stderr, flush=True)

    yield tell
    if sys.stderr.isatty() and asked:
        print("\r\033[K", end="", file=sys.stderr, flush=True)


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


def _base(folder: Path, cache: Path | None = None) -> Base:
    from diagnose.knowledge.reading.load import BrokenRules, load

    try:
        return load(folder, cache)
    except BrokenRules as error:
        raise MisuseError(
            f"the rule base in {folder} has {len(error.problems)} problems:\n{error}"
        ) from None


def _print_json(value: object) -> None:
    print(json.dumps(value, ensure_ascii=False, indent=1))
