"""What the reckoning of a symptom rests on, so that a change is run only where it can be felt.

Two versions of a rule base in which a symptom rests on the same come to the same for every case of
it. What people only read is left out: a reason that is worded better moves nobody.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagnose import caches
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers
from diagnose.knowledge.model import ALL_SYMPTOMS, Cause, Entry, Finding, Observable, Symptom
from diagnose.rulebook.change.difference import meaning

Key = tuple[type[Entry], str]

Named = Symptom | Cause | Observable | Finding

ROOMS = ("knowledge", "measures", "reasoning", "rulebook/change")
"""The code that what a case comes to rests on."""


_IDS = re.compile(r"'([a-z0-9_]+)'")
"""Words in what is said of an entry that may be the id of another."""


class Rests:
    """What each symptom of a rule base rests on, as digests."""

    def __init__(self, base: Base) -> None:
        self._base = base
        self._known = frozenset((*base.observables, *base.findings))
        self._of_all = _short(repr((caches.code(ROOMS), meaning(base.scales), base.intake)))
        self._entries: dict[Key, _Said] = {}
        self._causes: dict[str, str] = {}
        self._digests: dict[str, str] = {}

    def digest(self, symptom: str) -> str:
        """Changes with all that a case of this symptom can feel, and with the program."""
        if symptom not in self._digests:
            self._digests[symptom] = _short("\n".join(self._rests(symptom)))
        return self._digests[symptom]

    def _rests(self, symptom: str) -> Iterator[str]:
        base = self._base
        causes = base.behind(symptom)
        entries: list[Named] = [base.symptoms[symptom], *causes]
        told = [base.estimates[name] for name in (symptom, ALL_SYMPTOMS) if name in base.estimates]
        read = {*base.intake, *(table.check for its in told for table in its.rows)}
        yield self._of_all
        yield from (self._entry(entry).digest for entry in entries)
        for name in self._reached(entries, read):
            yield self._entry(base.observables.get(name) or base.findings[name]).digest
        yield repr(meaning(base.estimates[symptom]) if symptom in base.estimates else ())
        for cause in causes:
            yield self._beside(cause)
            yield repr(tuple(base.mending(cause, symptom)))

    def _entry(self, entry: Named) -> _Said:
        """An entry without what is only read, said once for all symptoms."""
        key = type(entry), entry.id
        if key not in self._entries:
            said = repr(meaning(entry))
            self._entries[key] = _Said(_short(said), self._known.intersection(_IDS.findall(said)))
        return self._entries[key]

    def _reached(self, entries: Sequence[Named], read: set[str]) -> list[str]:
        """Checks, measures and findings that are read or mentioned, and what these mention."""
        base = self._base
        found: set[str] = set()
        new = read.union(*(self._entry(entry).mentions for entry in entries))
        while new:
            found |= new
            its = (base.observables.get(name) or base.findings[name] for name in new)
            new = set().union(*(self._entry(entry).mentions for entry in its)) - found
        return sorted(found)

    def _beside(self, cause: Cause) -> str:
        """What stands of a cause apart from it: estimates over all symptoms, whole complaints."""
        if cause.id not in self._causes:
            base = self._base
            its = base.estimates.get(ALL_SYMPTOMS)
            over_all = [
                (table.check, table.answers, table.usual, table.group, table.of_100[cause.id])
                for table in (its.rows if its else ())
                if cause.id in table.of_100
            ]
            moved = base.whole_cases.get(cause.id)
            self._causes[cause.id] = _short(repr((over_all, meaning(moved) if moved else ())))
        return self._causes[cause.id]


@dataclass(frozen=True, slots=True)
class _Said:
    """An entry as a digest, and the checks, measures and findings that it mentions."""

    digest: str
    mentions: frozenset[str]


def of_record(symptom: str, record: Answers) -> str:
    """Changes with the answers that a case gives."""
    return _short(repr((symptom, sorted(record.items()))))


def _short(said: str) -> str:
    return hashlib.sha256(said.encode()).hexdigest()[:24]
