"""`diagnose claims`: a backlog classified in one go."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from datetime import date
from pathlib import Path
from shutil import get_terminal_size
from typing import TYPE_CHECKING, Any

from diagnose.commands import (
    DONE,
    PROBLEM,
    Misuse,
    Parsers,
    add_command,
    add_rules,
    has_problems,
)
from diagnose.files import new, text_of, write
from diagnose.folders import program, shipped
from diagnose.knowledge.reading.command import base_of

if TYPE_CHECKING:
    import polars as pl

    from diagnose.claims.job import Job
    from diagnose.claims.letters import Letters
    from diagnose.claims.mapping.mapping import Mapped
    from diagnose.claims.policy.policy import Policy
    from diagnose.claims.results.summary import Summary
    from diagnose.claims.table.source import ClaimsTable
    from diagnose.knowledge.base import Base

NARROW = 76
"""Columns of a terminal from which a bar stands beside the numbers."""

EXAMPLE_POLICY = "policies/example_policy.yml"
LETTER = "policies/letter.txt"


def add_parser(commands: Parsers[argparse.ArgumentParser]) -> argparse.ArgumentParser:
    """Add the command and its options."""
    its = add_command(
        commands,
        "claims",
        "Classify a table of warranty claims.",
        "diagnose claims backlog.xlsx --propose ours.yaml   then correct it\n"
        "         diagnose claims backlog.xlsx --mapping ours.yaml --policy terms.yaml\n"
        "exit code: 0 every row decided, 1 some set aside, 2 the input cannot be used",
        run,
        more="For each row the cause class, the payer under your terms, the grounds, and what to"
        " ask for. The last day of a term is inside it: 24 months from 3 May 2025 end on 3 May"
        " 2027. Terms run from the handover, else from the day of laying.",
        interrupted="Interrupted; the same command with --resume goes on from here.",
    )
    its.add_argument("file", nargs="?", type=Path, metavar="FILE", help="CSV, TSV, XLSX, ODS,"
                     " Parquet or JSON lines")  # fmt: skip
    its.add_argument("--output", type=Path, metavar="FILE", help="where to write; the ending says"
                     " the kind (as given: beside FILE, as FILE.classified)")  # fmt: skip
    its.add_argument("--mapping", type=Path, metavar="FILE", help="which of your columns says what")
    its.add_argument("--propose", type=Path, metavar="FILE", help="write a first mapping, by the"
                     " likeness of headers and values, and stop")  # fmt: skip
    its.add_argument("--policy", type=Path, metavar="FILE", help="your terms (else the example)")
    its.add_argument("--template", type=Path, metavar="FILE", help="write an empty spreadsheet"
                     " with a column for each fact, and stop")  # fmt: skip
    its.add_argument("--letters", type=Path, metavar="FOLDER", help="write a page a claim, as"
                     " HTML and PDF")  # fmt: skip
    its.add_argument("--letter-template", type=Path, metavar="FILE", help="the text of that page"
                     " (else the one in rules/policies)")  # fmt: skip
    its.add_argument("--settled", type=Path, metavar="FILE", help="what an earlier run wrote: what"
                     " was settled there is marked, and not paid again")  # fmt: skip
    its.add_argument("--sheet", default="", metavar="NAME", help="the sheet to read (else the"
                     " widest table)")  # fmt: skip
    its.add_argument("--header", type=int, default=0, metavar="ROW", help="the row that names the"
                     " columns (else it is looked for)")  # fmt: skip
    its.add_argument("--encoding", default="", metavar="NAME", help="of a text file, such as"
                     " latin-1 (else it is found out)")  # fmt: skip
    its.add_argument("--resume", action="store_true", help="go on where a run was interrupted")
    its.add_argument("--dask", metavar="ADDRESS", help="decide on this Dask scheduler, or on"
                     " 'local'")  # fmt: skip
    its.add_argument("--json", action="store_true", help="the summary as JSON")
    add_rules(its)
    return its


def run(options: argparse.Namespace) -> int:
    """Run the command; returns its exit code."""
    # One thread for each product of arrays: pieces are decided side by side already, and more
    # threads than processors only wait for each other.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _has_packages()
    base = base_of(options.rules)
    if options.template:
        return _template(options.template, base)
    if options.file is None:
        raise Misuse("give a table of claims, or --template FILE for an empty one")
    table = _table(options)
    if options.propose:
        return _propose(options.propose, table, base)
    job, policy_text = _job(options, base, table)
    summary = _work(options, job, policy_text)
    _told(options, job, summary)
    return PROBLEM if summary.aside else DONE


def _has_packages() -> None:
    from importlib.util import find_spec

    needed = ("polars", "fastexcel", "xlsxwriter", "rapidfuzz", "rich")
    lacking = [name for name in needed if not find_spec(name)]
    if lacking:
        raise Misuse(f"claims need {', '.join(lacking)}: run  pip install 'diagnose-wraps[claims]'")


def _table(options: argparse.Namespace) -> ClaimsTable:
    from diagnose.claims.table.layout import WantedColumn
    from diagnose.claims.table.source import table

    if options.header < 0:
        raise Misuse("rows count from 1: give --header a row such as 4")
    found = table(options.file, WantedColumn(options.sheet, options.header, options.encoding))
    if said := found.layout.told():
        print(said, file=sys.stderr)
    return found


def _template(path: Path, base: Base) -> int:
    from diagnose.claims.mapping.template import write_template

    if path.suffix.lower() != ".xlsx":
        raise Misuse(f"{path.name}: the template is a spreadsheet, give a name in .xlsx")
    new(path)
    try:
        columns = write_template(path, base)
    except OSError as error:
        raise Misuse(f"{path} cannot be written: {error.strerror}") from None
    print(f"Written to {path}: {columns} columns. Take out those that you do not need.")
    return DONE


def _propose(path: Path, table: ClaimsTable, base: Base) -> int:
    from diagnose.claims.mapping import propose, written

    new(path)
    piece = next(table.pieces(), None)
    if piece is None:
        raise Misuse(f"{table.path.name} has no row from which a mapping could be proposed")
    with _progress(len(table.names), "columns") as tell:
        proposed = propose.propose(base, piece.frame, tell)
    mapping = proposed.mapping
    strange = written.not_understood(base, mapping, piece.frame)
    write(path, written.write(proposed, piece.frame, strange).encode())
    print(
        f"Written to {path}: {len(mapping.columns)} columns proposed, {len(mapping.ignored)}"
        " passed on only. Read it through before you use it."
    )
    return DONE


def _job(options: argparse.Namespace, base: Base, table: ClaimsTable) -> tuple[Job, str]:
    from diagnose.claims.job import Job
    from diagnose.claims.table.write import WRITTEN, written

    mapping = _mapping(options, base, table)
    policy, text = _policy(options, base)
    given: Path = options.file
    output = options.output or given.with_name(f"{given.stem}.classified{given.suffix}")
    if output.suffix.lower() not in WRITTEN:
        raise Misuse(f"{output.name}: give a name that ends in {', '.join(WRITTEN)}")
    for path in written(output):
        new(path)
    before = _earlier(options.settled, mapping, base)
    today = date.today()
    letters = _letters(options, base, today)
    job = Job(
        table, output, base, mapping, policy, program(), today=today, earlier=before,
        letters=letters,
    )  # fmt: skip
    return job, text


def _letters(options: argparse.Namespace, base: Base, today: date) -> Letters | None:
    if options.letters is None:
        return None
    from diagnose.claims.letters import BadLetter, Letters

    path = options.letter_template or shipped("rules") / LETTER
    try:
        return Letters.into(options.letters, text_of(path)[1], base, today)
    except BadLetter as error:
        raise Misuse(f"{path.name}: {error}") from None


def _earlier(path: Path | None, mapping: Mapped, base: Base) -> pl.DataFrame | None:
    if path is None:
        return None
    from diagnose.claims.table.source import table
    from diagnose.claims.whole import earlier

    its = table(path)
    lacking = [name for name in ("decision", "symptom_named") if name not in its.names]
    if lacking:
        raise Misuse(f"{path.name} has no column '{lacking[0]}': give what an earlier run wrote")
    return earlier(its, mapping, base)


def _mapping(options: argparse.Namespace, base: Base, table: ClaimsTable) -> Mapped:
    from diagnose.claims.mapping import mapping

    if options.mapping:
        read, problems = mapping.read(*text_of(options.mapping), base, table.names)
        if read is None:
            raise has_problems(options.mapping.name, problems)
    else:
        read = mapping.by_name(base, table.names)
    if not read.has_words:
        raise Misuse(_no_symptom(table))
    return read


def _no_symptom(table: ClaimsTable) -> str:
    from diagnose.claims.table.text import one_line

    name, row = table.path.name, table.layout.header
    shown = ", ".join(f"'{one_line(n, 24)}'" for n in table.names[:4])
    return (
        f"no column of {name} is known to tell the symptom. Row {row} reads {shown}. If that is no"
        " header, name its row with --header (and the sheet with --sheet); else run  diagnose"
        f" claims {name} --propose mapping.yaml,  correct it, and give it as --mapping"
    )


def _policy(options: argparse.Namespace, base: Base) -> tuple[Policy, str]:
    from diagnose.claims.policy import policy
    from diagnose.claims.policy.gaps import gaps

    path = options.policy or shipped("rules") / EXAMPLE_POLICY
    name, text = text_of(path)
    read, problems = policy.read(name, text, base)
    if read is None:
        raise has_problems(name, problems)
    for sentence in gaps(base, read):
        print(f"{name}: {sentence}", file=sys.stderr)
    if not options.policy:
        told = f"No --policy given: the example's terms are used. Copy {path} to write your own."
        print(told, file=sys.stderr)
    return read, text


def _work(options: argparse.Namespace, job: Job, policy_text: str) -> Summary:
    from diagnose.claims.run import run as run_job

    try:
        total = job.table.roughly()
        with _others(options, job, policy_text) as decide, _progress(total, "rows") as tell:
            return run_job(job, options.resume, tell, decide)
    except OSError as error:
        sentence = f"{job.output} cannot be written: {error.strerror or error}"
        raise Misuse(sentence) from None


@contextmanager
def _others(options: argparse.Namespace, job: Job, policy_text: str) -> Iterator[Any]:
    """What decides the pieces elsewhere than in this process, if anything does."""
    from diagnose.claims.elsewhere import setup
    from diagnose.claims.processes import WithHelper, many

    rules = options.rules or shipped("rules")
    name = options.policy.name if options.policy else EXAMPLE_POLICY
    its = setup(job, rules, name, policy_text)
    if options.dask:
        from importlib.util import find_spec

        if not find_spec("distributed"):
            raise Misuse("--dask needs Dask: run  pip install 'diagnose-wraps[dask]'")
        from diagnose.claims.on_dask import OnDask

        with OnDask(its, options.dask) as decide:
            yield decide
    elif many(job.table.roughly() // job.size):
        yield WithHelper(job, its)
    else:
        yield None


def _told(options: argparse.Namespace, job: Job, summary: Summary) -> None:
    from diagnose.claims.results import summary as summaries
    from diagnose.claims.table.write import written

    if options.json:
        print(json.dumps(summary.data(), ensure_ascii=False, indent=1))
    else:
        print(summaries.text(summary, get_terminal_size((100, 24)).columns))
    names = ", ".join(str(path) for path in written(job.output))
    print(f"Written to {names}.", file=sys.stderr)


def _progress(total: int, what: str) -> AbstractContextManager[Callable[[int], None]]:
    """A bar on a terminal; nothing in a pipe."""
    if not sys.stderr.isatty():
        return nullcontext(lambda done: None)
    return _bar(total, what)


@contextmanager
def _bar(total: int, what: str) -> Iterator[Callable[[int], None]]:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, ProgressColumn, Task, TimeRemainingColumn
    from rich.text import Text

    class Speed(ProgressColumn):
        """What is done, and in a second."""

        def render(self, task: Task) -> Text:
            speed = f", {task.speed:,.0f} a second" if task.speed else ""
            return Text(f"{int(task.completed):,} {what}{speed}")

    class Left(TimeRemainingColumn):
        """The time left, with a word for it."""

        def render(self, task: Task) -> Text:
            return super().render(task).append(" left")

    console = Console(stderr=True, no_color="NO_COLOR" in os.environ)
    drawn = (BarColumn(30),) if console.width >= NARROW else ()
    with Progress(*drawn, Speed(), Left(compact=True), console=console) as bar:
        task = bar.add_task("claims", total=total)
        yield lambda done: bar.advance(task, done)
