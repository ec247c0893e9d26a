"""Where the events of a callback go: into a records store, or nowhere but memory."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from typing import Any, Protocol

from diagnose.records.case.journal import Case, Event, EventKind, fold, next_complaint
from diagnose.records.store.database import Behind, NoCase, StoreError
from diagnose.records.store.store import Store

_OF_A_CHECK = (EventKind.ANSWERED, EventKind.TAKEN_BACK, EventKind.SET_ASIDE)
_OF_ALL = (EventKind.CONCLUDED, EventKind.UNDONE)
"""What means the case as the person saw it, and no other."""


class ChangedElsewhere(StoreError):
    """What was to be entered no longer fits, for another program changed the case meanwhile."""

    def __init__(self) -> None:
        super().__init__(
            "another program changed this case meanwhile, and what you entered now no longer fits:"
            " it was not taken, and the other's stands"
        )


class Journal(Protocol):
    """Where events go; `add` returns only when the event is safe."""

    def add(self, kind: EventKind, **fields: Any) -> Event:
        """Append an event."""

    def events(self) -> Sequence[Event]:
        """All events so far."""

    def news(self) -> Sequence[Event]:
        """What another program added since this was last asked."""

    @property
    def case(self) -> Case:
        """What they add up to."""


class StoredJournal:
    """The journal of a case in a records store, with a clock from the edge.

    Without a case id the case is begun with its first event, so that leaving at once leaves none.
    """

    def __init__(
        self,
        store: Store,
        case_id: str | None,
        clock: Callable[[], datetime],
        begun: Callable[[str], object] = lambda case_id: None,
    ) -> None:
        self._store = store
        self._clock = clock
        self._begun = begun
        self.case_id = case_id or ""
        self._events = list(store.events(case_id)) if case_id else []
        self._news: list[Event] = []

    def add(self, kind: EventKind, **fields: Any) -> Event:
        """Append an event; safe on the disk when this returns.

        What another program added before it is taken in first; raises ChangedElsewhere where both
        are about the same thing.
        """
        if not self.case_id:
            self.case_id = self._store.begin(self._clock())
            self._begun(self.case_id)
            self._events = list(self._store.events(self.case_id))
        event = self._append(kind, fields)
        self._events.append(event)
        return event

    def _append(self, kind: EventKind, fields: dict[str, Any]) -> Event:
        while True:
            count = len(self._events)
            try:
                return self._store.append(self.case_id, self._clock(), kind, count, **fields)
            except Behind:
                self._catch_up()
            except NoCase as error:
                words = f"case {self.case_id} was deleted by another program meanwhile"
                raise StoreError(words) from error
            if any(_meets(event, kind, fields) for event in self._events[count:]):
                raise ChangedElsewhere

    def _catch_up(self) -> None:
        stored = self._store.events(self.case_id)
        self._news += stored[len(self._events) :]
        self._events = list(stored)

    def news(self) -> Sequence[Event]:
        """What another program added since this was last asked, the first first."""
        if self.case_id and self._store.changed_elsewhere():
            with suppress(NoCase):
                self._catch_up()
        found, self._news = self._news, []
        return found

    def events(self) -> Sequence[Event]:
        """All events so far."""
        return self._events

    @property
    def case(self) -> Case:
        """What they add up to."""
        return fold(self.case_id, self._events)


class LooseJournal:
    """A journal in memory only: for a case from a file, and for trying things out."""

    def __init__(
        self, case_id: str, clock: Callable[[], datetime], events: Sequence[Event] = ()
    ) -> None:
        self._clock = clock
        self.case_id = case_id
        self._events = list(events)

    def add(self, kind: EventKind, **fields: Any) -> Event:
        """Append an event."""
        event = Event(len(self._events) + 1, self._clock(), kind, **fields)
        if kind is EventKind.COMPLAINED and event.complaint is None:
            event = replace(event, complaint=next_complaint(self._events))
        self._events.append(event)
        return event

    def events(self) -> Sequence[Event]:
        """All events so far."""
        return self._events

    def news(self) -> Sequence[Event]:
        """Nobody else writes to it."""
        return ()

    @property
    def case(self) -> Case:
        """What they add up to."""
        return fold(self.case_id, self._events)


def _meets(there: Event, kind: EventKind, fields: Mapping[str, Any]) -> bool:
    """Whether what another program added is about the same thing as what is to be added."""
    complaint, key = fields.get("complaint"), fields.get("key", "")
    if kind in _OF_ALL or there.kind is EventKind.UNDONE:
        return True
    if there.kind is EventKind.COMPLAINED:
        return complaint is not None and there.complaint == complaint
    if kind in _OF_A_CHECK:
        return there.kind in _OF_A_CHECK and (there.key, there.complaint) == (key, complaint)
    return kind is EventKind.NOTED and there.kind is kind and there.key == key
