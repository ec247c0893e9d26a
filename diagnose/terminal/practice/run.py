"""`diagnose practice`: what the options ask for, on screens or line by line."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from importlib import import_module
from pathlib import Path
from random import Random

from diagnose.commands import DONE, PROBLEM, Misuse, refuse, tell
from diagnose.files import cases_folder, hand_over
from diagnose.folders import shipped
from diagnose.knowledge.reading.command import base_of
from diagnose.practice import command, trainer_page
from diagnose.practice.exam_page import html, text
from diagnose.practice.progress.apprentice import ApprenticeDesk
from diagnose.practice.progress.apprentice_records import Book
from diagnose.practice.session.judge import Judge
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.store.command import records_read, store_of
from diagnose.records.store.store import Store

_READING = ("progress", "trainer", "result", "apprentices", "export", "erase")
"""What makes no records where there are none."""


def run(options: argparse.Namespace) -> int:
    """Do what the options say; the exit code."""
    if options.action in _READING:
        records_read(options.records)
    with store_of(options.records) as store:
        return _run(options, store)


def _run(options: argparse.Namespace, store: Store) -> int:
    if options.action == "apprentices":
        return tell((DONE, command.apprentices(store)))
    if options.action == "export":
        hand_over(command.export(options, store) + "\n", options.output)
        return DONE
    if options.action == "erase":
        return tell((DONE, command.erase(options, store)))
    base = base_of(options.rules)
    if options.action == "progress":
        return tell((DONE, command.progress(options, base, store, _now())))
    worked, problems = command.read_cases(_cases(options), base)
    for problem in problems:
        refuse(problem)
    bank = command.bank_of(base, worked, store)
    random = Random(options.seed)  # noqa: S311 (draws cases, keeps no secret)
    judge = Judge(Reasoner(base))
    desk = ApprenticeDesk(judge, bank, Book(store, options.apprentice), _now, random, options.grade)
    if options.action == "trainer":
        return _trainer(options, desk)
    if options.action == "result":
        return _result(options, desk)
    return _practise(options, desk, store)


def _cases(options: argparse.Namespace) -> Path:
    """The folder of worked cases, which has to hold some."""
    return cases_folder(options.cases or shipped("cases"), below=False)


def _practise(options: argparse.Namespace, desk: ApprenticeDesk, store: Store) -> int:
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


def _plain(options: argparse.Namespace, desk: ApprenticeDesk) -> int:
    from diagnose.terminal.callback.plain import Leave
    from diagnose.terminal.practice.plain import PlainPractice

    try:
        PlainPractice(desk, sys.stdin, sys.stdout).run(options.action)
    except Leave:
        print("\nLeft. What was begun is kept; start again to go on.", file=sys.stderr)
        return DONE if options.action is None else PROBLEM
    return DONE


def _result(options: argparse.Namespace, desk: ApprenticeDesk) -> int:
    found = desk.last_result()
    if found is None:
        raise Misuse(f"{desk.book.name} has not finished an exam yet")
    base = desk.judge.base
    is_page = options.format == "html" or _is_page(options.output)
    hand_over(html(base, found) if is_page else text(base, found), options.output)
    return DONE


def _trainer(options: argparse.Namespace, desk: ApprenticeDesk) -> int:
    if desk.book.is_empty:
        raise command.nobody(desk.book.name)
    is_page = options.format == "html" or _is_page(options.output)
    render = trainer_page.html if is_page else trainer_page.text
    page = render(desk.judge, desk.book.name, desk.progress, desk.clock())
    hand_over(page, options.output)
    return DONE


def _is_page(output: Path | None) -> bool:
    return output is not None and output.suffix.lower() in (".html", ".htm")


def _now() -> datetime:
    return datetime.now().astimezone()
