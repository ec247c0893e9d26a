"""`diagnose callback`: on screens or line by line, in a kept case, with its report at the end."""

from __future__ import annotations

import argparse
import sys
from functools import partial
from typing import TYPE_CHECKING

from diagnose.commands import DONE, PROBLEM
from diagnose.options import hand_over_kept, now, reasoner_of
from diagnose.records.store.command import store_of

if TYPE_CHECKING:
    from diagnose.reasoning.diagnose import Reasoner
    from diagnose.records.store.store import Store

MOST_RISEN = 3
"""So many causes on the rise are told before the first question."""


def callback(options: argparse.Namespace) -> int:
    """Ask, diagnose, report."""
    reasoner = reasoner_of(options)
    store = store_of(options.records)
    if options.plain or not (sys.stdin.isatty() and sys.stdout.isatty()):
        return _callback_plain(options, reasoner, store)
    from diagnose.terminal.callback.app import CallbackApp
    from diagnose.terminal.graphics import pictures
    from diagnose.terminal.hangup import ends_with_terminal

    ends_with_terminal()
    app = CallbackApp(reasoner, store, now, resume=not options.new, pictures=pictures())
    case_id = app.run()
    if case_id:
        _with_customer(options, store, case_id)
        print(_kept(store, case_id))
    return DONE


def _with_customer(options: argparse.Namespace, store: Store, case_id: str) -> None:
    """Keep beside a case whose vehicle it is, where that was said."""
    if options.customer or options.plate:
        store.set_customer(case_id, options.customer, options.plate)


def _risen(reasoner: Reasoner, store: Store) -> list[str]:
    """What a callback begins with: closed cases it is reasoned with, and causes on the rise."""
    from diagnose.reasoning.explanation.explain import cause_name
    from diagnose.records.experience.drift import rise_words, rises

    base = reasoner.base
    said = f"Reasoned with closed cases: {base.experience.says}." if base.experience else ""
    found = [rise_words(r, cause_name(base, r.cause) if r.cause in base.causes else r.cause)
             for r in rises(store.outcomes())]  # fmt: skip
    left = len(found) - MOST_RISEN
    more = f"Of {left} more that have become more frequent, see: diagnose cases drift"
    return [line for line in (said, *found[:MOST_RISEN], more if left > 0 else "") if line]


def _kept(store: Store, case_id: str) -> str:
    """That a case is kept, and how to go on with it."""
    unfinished = store.unfinished()
    on = unfinished is not None and unfinished.id == case_id
    further = "diagnose callback goes on with it;\n" if on else ""
    return f"Case {case_id} is kept: {further}diagnose case {case_id} prints its report."


def _callback_plain(options: argparse.Namespace, reasoner: Reasoner, store: Store) -> int:
    from diagnose.dialogue.dialogue import Dialogue
    from diagnose.dialogue.journals import StoredJournal
    from diagnose.dialogue.visitor_cases import Shelf
    from diagnose.records.case.complaints import unknown_here
    from diagnose.terminal.callback.plain import Leave, Plain

    unfinished = None if options.new else store.unfinished()
    if unfinished:
        print(f"Going on with the unfinished case {unfinished.id} (--new starts another).")
    for line in _risen(reasoner, store):
        print(line)
    whose = partial(_with_customer, options, store)
    journal = StoredJournal(store, unfinished.id if unfinished else None, now, whose)
    if unfinished:
        whose(unfinished.id)
    past = partial(Shelf(store).closed, reasoner.base, without=journal.case_id)
    dialogue = Dialogue(reasoner, journal, past=past)
    unknown = unknown_here(reasoner.base, journal.case) if unfinished else ()
    if unknown:
        print(f"Not in these rules, and without weight: {'; '.join(unknown)}.")
    try:
        Plain(dialogue, sys.stdin, sys.stdout).run()
    except Leave:
        kept = _kept(store, journal.case_id) if journal.case_id else "Nothing was entered."
        print(f"\nLeft. {kept}", file=sys.stderr)
        return PROBLEM
    hand_over_kept(options, reasoner, store, dialogue.case)
    return DONE
