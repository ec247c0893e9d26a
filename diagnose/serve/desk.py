"""Where the cases of all visitors are worked on: one thread, one store, one dialogue for each case.

What a form does is an act. All that it writes goes to the disk in one piece, with the mark of the
form, before anything is answered; the same mark again finds itself there and does nothing.
"""

from __future__ import annotations

import asyncio
import gc
from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.journals import LooseJournal
from diagnose.dialogue.pending import Pending, from_data, to_data
from diagnose.dialogue.search import Search
from diagnose.dialogue.visitor_cases import Shelf
from diagnose.knowledge.base import Base
from diagnose.knowledge.words.understanding import Understanding
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case.journal import Event, EventKind
from diagnose.records.store.database import NoCase, StoreError
from diagnose.records.store.store import Store

NEW = "new"
"""Stands for a case that begins with the first thing entered."""

PENDING = "pending"
"""Kept beside the records: what was chosen and stands in no event, of a case or a visitor."""

MARKS = 40
"""Forms that are remembered of what stands in no event."""

DIALOGUES = 32
"""Cases whose reckoning is kept at hand: of all phones at work, and of some that pause."""

Found = TypeVar("Found")


class DraftJournal(LooseJournal):
    """A journal whose new events wait until they are written together.

    A case is opened anew for each page, with all that was added to it: there is never news.
    """

    def __init__(
        self, case_id: str, events: Sequence[Event], clock: Callable[[], datetime]
    ) -> None:
        super().__init__(case_id, clock, events)
        self.data: Mapping[str, Any] = {}
        self.stored = len(events)

    def add(self, kind: EventKind, **fields: Any) -> Event:
        """Append an event, with the mark of the form that is being acted on."""
        return super().add(kind, data={**fields.pop("data", {}), **self.data}, **fields)


@dataclass(frozen=True, slots=True)
class Work:
    """A case at hand. `marks`: forms that counted and left no event."""

    case_id: str
    dialogue: Dialogue
    journal: DraftJournal
    marks: tuple[str, ...] = ()

    @property
    def path(self) -> str:
        """Where its pages are."""
        return f"/case/{self.case_id or NEW}"

    def counted(self, mark: str) -> Event | bool:
        """The first event of a form, True where it left none, False where it did not count yet."""
        event = next((e for e in self.journal.events() if e.data.get("form") == mark), None)
        return event or mark in self.marks


class Desk:
    """All that is done with cases; `do` runs it in the thread that the store belongs to."""

    def __init__(
        self,
        reasoner: Reasoner,
        records: Path,
        clock: Callable[[], datetime],
        shared: bool = False,
    ) -> None:
        self.reasoner = reasoner
        self.clock = clock
        self.records = records
        self._shared = shared
        self._lane = ThreadPoolExecutor(1, "desk")
        self._works: OrderedDict[str, Work] = OrderedDict()
        self._warm: set[str] = set()
        self._closed = False

    async def do(self, what: Callable[[], Found]) -> Found:
        """Run something with the cases, after what was asked for before it.

        Raises StoreError once the records were let go of.
        """
        if self._closed:
            raise StoreError("the pages are being stopped")
        return await asyncio.get_running_loop().run_in_executor(self._lane, what)

    def close(self) -> None:
        """Let go of the records, after what is under way."""
        if self._closed:
            return
        self._closed = True
        self._lane.submit(self._close).result()
        self._lane.shutdown()

    def _close(self) -> None:
        if "store" in self.__dict__:
            self.store.close()

    # All below runs in the desk's own thread

    @cached_property
    def store(self) -> Store:
        """The records."""
        return Store.open(self.records)

    @property
    def base(self) -> Base:
        """The rule base in use."""
        return self.reasoner.base

    @cached_property
    def understanding(self) -> Understanding:
        """What reads own words."""
        return Understanding(self.base)

    @cached_property
    def search(self) -> Search:
        """Finds symptoms and places in whatever words."""
        return Search(lambda: self.understanding)

    def shelf(self, visitor: str) -> Shelf:
        """The cases that a visitor may see."""
        return Shelf(self.store, None if self._shared else visitor)

    def warm(self, symptom: str) -> None:
        """Make ready what a symptom needs, before its first question is asked.

        Making it leaves much behind that only the collector finds, and would find late. What is
        left stays as long as the server, so that the collector need never look through it again.
        """
        if symptom in self._warm:
            return
        self._warm.add(symptom)
        _ = self.reasoner.diagnose(AnsweredComplaint(symptom, {})).choice
        gc.collect()
        gc.freeze()

    def is_warm(self, symptom: str) -> bool:
        """Whether a symptom is ready."""
        return symptom in self._warm

    def open(self, visitor: str, case_id: str) -> Work:
        """A case of a visitor at hand; raises NoCase for what is not there or not theirs."""
        if case_id == NEW:
            opened = Event(1, self.clock(), EventKind.OPENED)
            return self._work("", [opened], self.store.kept(PENDING, visitor))
        if not self.shelf(visitor).has(case_id):
            raise NoCase(case_id)
        events = self.store.events(case_id)
        known = self._works.get(case_id)
        if known is None or tuple(known.journal.events()) != events:
            known = self._work(case_id, events, self.store.kept(PENDING, case_id))
        self._remember(known)
        return known

    def _work(self, case_id: str, events: Sequence[Event], kept: Mapping[str, Any]) -> Work:
        journal = DraftJournal(case_id, events, self.clock)
        shelf = self.shelf("")
        dialogue = Dialogue(
            self.reasoner,
            journal,
            lambda: self.understanding,
            lambda symptom: shelf.closed(self.base, symptom, case_id),
        )
        row = kept.get(PENDING) or {}
        if row.get("state"):
            dialogue.resume(from_data(self.base, row["state"]))
        return Work(case_id, dialogue, journal, tuple(row.get("marks", ())))

    def _remember(self, work: Work) -> None:
        self._works[work.case_id] = work
        self._works.move_to_end(work.case_id)
        while len(self._works) > DIALOGUES:
            self._works.popitem(last=False)

    # Acts

    def act(self, visitor: str, case_id: str, mark: str, doing: Callable[[Work], object]) -> Work:
        """Do what a form says, once; returns the case as it stands then.

        Raises StoreError where it could not be kept: then nothing of it was.
        """
        try:
            return self._act(visitor, case_id, mark, doing)
        except StoreError:
            # Another program may have written to the case between reading and writing it.
            if case_id == NEW:
                raise
            return self._act(visitor, case_id, mark, doing)

    def _act(self, visitor: str, case_id: str, mark: str, doing: Callable[[Work], object]) -> Work:
        work = self._begun_by(visitor, mark) if case_id == NEW else None
        work = work or self.open(visitor, case_id)
        if work.counted(mark):
            return work
        before = work.dialogue.pending()
        with self._undone_if_it_fails(work):
            work.journal.data = {"form": mark}
            doing(work)
            work.journal.data = {}
            return self._keep(visitor, work, mark, before)

    @contextmanager
    def _undone_if_it_fails(self, work: Work) -> Iterator[None]:
        try:
            yield
        except BaseException:
            self._works.pop(work.case_id, None)
            raise

    def _begun_by(self, visitor: str, mark: str) -> Work | None:
        """The case that this very form began."""
        for summary in self.shelf(visitor).open_cases()[:5]:
            work = self.open(visitor, summary.id)
            if work.counted(mark):
                return work
        return None

    def _keep(self, visitor: str, work: Work, mark: str, before: Pending) -> Work:
        """Write what was added, then what is pending."""
        events, case_id = work.journal.events(), work.case_id
        new = len(events) > work.journal.stored
        if new and not case_id:
            case_id = self.store.begin(events[0].at)
            self.shelf(visitor).take(case_id)
            self.store.keep(PENDING, visitor, PENDING, None)
        if new:
            self.store.add(case_id, events)
        after = work.dialogue.pending()
        if not new or after != before:
            marks = (*work.marks, mark)[-MARKS:]
            row = {"state": to_data(after), "marks": list(marks)}
            self.store.keep(PENDING, case_id or visitor, PENDING, row)
        self._works.pop(case_id, None)
        if not case_id:
            return self.open(visitor, NEW)
        work.journal.case_id, work.journal.stored = case_id, len(events)
        if new and after == before:
            marks = work.marks
        kept = replace(work, case_id=case_id, marks=marks)
        self._remember(kept)
        return kept
