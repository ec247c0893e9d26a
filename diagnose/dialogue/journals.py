"""Where the events of a callback go: into a records store, or nowhere but memory."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, Protocol

from diagnose.records.case.journal import Case, Event, EventKind, fold, next_complaint
from diagnose.records.store.store import Store


class Journal(Protocol):
    """Where events go; `add` returns only when the event is safe."""

    def add(self, kind: EventKind, **fields: Any) -> Event:
        """Append an event."""

    def events(self) -> Sequence[Event]:
        """All events so far."""

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

    def add(self, kind: EventKind, **fields: Any) -> Event:
        """Append an event; safe on the disk when this returns."""
        if not self.case_id:
            self.case_id = self._store.begin(self._clock())
            self._begun(self.case_id)
            self._events = list(self._store.events(self.case_id))
        event = self._store.append(self.case_id, self._clock(), kind, **fields)
        self._events.append(event)
        return event

    def events(self) -> Sequence[Event]:
        """All events so far."""
        return self._events

    @property
    def case(self) -> Case:
        """What they add up to."""
        return fold(self.case_id, self._events)


class LooseJournal:
    """A journal in memory only: for a case from a file, and for trying things out."""

    def __init__(self, case_id: str, clock: Callable[[], datetime]) -> None:
        self._clock = clock
        self.case_id = case_id
        self._events: list[Event] = []

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

    @property
    def case(self) -> Case:
        """What they add up to."""
        return fold(self.case_id, self._events)
