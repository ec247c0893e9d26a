"""`diagnose practice`: what the options ask for, on screens or line by line."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from importlib import import_module
from pathlib import Path
from random import Random

from diagnose.folders import rules_cache, shipped
from diagnose.knowledge.reading.load import BrokenRules, load
from diagnose.practice import command
from diagnose.practice.command import DONE, PROBLEM, USAGE, Result
from diagnose.practice.exam_page import html, text
from diagnose.practice.progress.apprentice import Desk
from diagnose.practice.progress.apprentice_records import BadName, Book
from diagnose.practice.session.judge import Judge
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.store.database import StoreError
from diagnose.records.store.store import Store, default_path


def run(options: argparse.Namespace) -> int:
    """Do what the options say; the exit code."""
    path = options.records or default_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with Store.open(path) as store:
            return _run(options, store)
    except BrokenRules as error:
        return _said((USAGE, f"the rule base has {len(error.problems)} problems:\n{error}"))
    except (StoreError, OSError, BadName) as error:
        return _said((USAGE, str(error)))


def _run(options: argparse.Namespace, store: Store) -> int:
    if options.action == "apprentices":
        return _said(command.apprentices(options, store))
    if options.action == "export":
        code, words = command.export(options, store)
        return _handed(options, words + "\n") if code == DONE else _said((code, words))
    if options.action == "erase":
        return _said(command.erase(options, store))
    base = load(options.rules or shipped("rules"), rules_cache())
    if options.action == "progress":
        return _said(command.progress(options, base, store, _now()))
    worked, problems = command.read_cases(options.cases or shipped("cases"), base)
    for problem in problems:
        print(f"diagnose: {problem}", file=sys.stderr)
    bank = command.bank_of(base, worked, store)
    random = Random(options.seed)  # noqa: S311 (draws cases, keeps no secret)
    judge = Judge(Reasoner(base))
    desk = Desk(judge, bank, Book(store, options.apprentice), _now, random, options.grade)
    if options.action == "result":
        return _result(options, desk)
    return _practise(options, desk, store)


def _practise(options: argparse.Namespace, desk: Desk, store: Store) -> int:
    if options.plain or not (sys.stdin.isatty() and sys.stdout.isatty()):
        code = _plain(options, desk)
    else:
        # What the screens need is asked for before they open, not in the midst of them.
        import_module("diagnose.terminal.practice.progress")
        from diagnose.dialogue.visitor_cases import Shelf
        from diagnose.terminal.hangup import ends_with_terminal
        from diagnose.terminal.practice.app import PracticeApp

        ends_with_terminal()
        PracticeApp(desk, Shelf(store), options.action).run()
        code = DONE
    if code == DONE and options.action == "exam" and options.output and not desk.exam_begun():
        return _result(options, desk)
    return code


def _plain(options: argparse.Namespace, desk: Desk) -> int:
    from diagnose.terminal.callback.plain import Leave
    from diagnose.terminal.practice.plain import PlainPractice

    try:
        PlainPractice(desk, sys.stdin, sys.stdout).run(options.action)
    except Leave:
        print("\nLeft. What was begun is kept; start again to go on.", file=sys.stderr)
        return DONE if options.action is None else PROBLEM
    return DONE


def _result(options: argparse.Namespace, desk: Desk) -> int:
    found = desk.last_result()
    if found is None:
        return _said((USAGE, f"{desk.book.name} has not finished an exam yet"))
    base = desk.judge.base
    is_page = options.format == "html" or _is_page(options.output)
    return _handed(options, html(base, found) if is_page else text(base, found))


def _is_page(output: Path | None) -> bool:
    return output is not None and output.suffix.lower() in (".html", ".htm")


def _handed(options: argparse.Namespace, words: str) -> int:
    """Print, or write to a file that does not exist yet."""
    if not options.output:
        print(words, end="")
        return DONE
    try:
        with options.output.open("x", encoding="utf-8") as file:
            file.write(words)
    except FileExistsError:
        return _said((USAGE, f"{options.output} exists already: give another name"))
    print(f"Written to {options.output}.")
    return DONE


def _said(result: Result) -> int:
    code, words = result
    if code == DONE:
        print(words)
    else:
        print(f"diagnose: {words}", file=sys.stderr)
    return code


def _now() -> datetime:
    return datetime.now().astimezone()
