"""The cases that the person at the screen may see, and the few things kept beside them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from diagnose.dialogue.journals import StoredJournal
from diagnose.knowledge.base import Base
from diagnose.records.case.journal import Case
from diagnose.records.experience.nearness import PastComplaint
from diagnose.records.experience.past import of_shop, past_of
from diagnose.records.store.store import Store
from diagnose.records.store.summary import ASKING, CaseSummary, Filter

VISITOR, SETTING = "visitor", "setting"
"""What is kept in the store: whose a case is, and how a person likes the screens."""


class Shelf:
    """The cases of one owner in a store; an owner of None sees them all."""

    def __init__(self, store: Store, owner: str | None = None) -> None:
        self._store = store
        self._owner = owner

    def journal(self, case_id: str | None, clock: Callable[[], datetime]) -> StoredJournal:
        """The journal of a case; None is a new one, begun with its first event."""
        return StoredJournal(self._store, case_id, clock, self.take)

    def take(self, case_id: str) -> None:
        """From now on it is one of this owner's."""
        if self._owner is not None:
            self._store.keep(VISITOR, self._owner, case_id, True)

    def has(self, case_id: str) -> bool:
        """Whether this owner may see a case."""
        if self._owner is None:
            return case_id in self._store.ids()
        return case_id in self._store.kept(VISITOR, self._owner)

    def unfinished(self) -> Case | None:
        """The last changed case in which questions were begun and not concluded."""
        if self._owner is None:
            return self._store.unfinished()
        asking = [c for c in self.open_cases() if c.standing == ASKING]
        return self._store.case(asking[0].id) if asking else None

    def open_cases(self) -> tuple[CaseSummary, ...]:
        """The cases without an outcome, the last changed first."""
        found = self._store.list(Filter(closed=False))
        if self._owner is None:
            return found
        own = self._store.kept(VISITOR, self._owner)
        return tuple(c for c in found if c.id in own)

    def past(self, base: Base, case: Case) -> tuple[PastComplaint, ...]:
        """Closed complaints that a case may be like; of one owner among several the worked ones."""
        return past_of(base, case, self._store if self._owner is None else None)

    def closed(self, base: Base, symptom: str, without: str = "") -> tuple[PastComplaint, ...]:
        """The shop's own closed complaints of a symptom; none where one sees own cases only."""
        return tuple(of_shop(base, self._store, symptom, without)) if self._owner is None else ()

    def colours(self) -> str:
        """The set of colours last chosen, or ''."""
        return str(self._store.kept(SETTING, self._owner or "").get("colours", ""))

    def keep_colours(self, name: str) -> None:
        """Remember the set of colours."""
        self._store.keep(SETTING, self._owner or "", "colours", name)
