"""What the reckoning of a symptom rests on, so that a change is run only where it can be felt.

Two versions of a rule base in which a symptom rests on the same come to the same for every case of
it. What people only read is left out: a reason that is worded better moves nobody.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence

from diagnose import caches
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers
from diagnose.knowledge.model import ALL_SYMPTOMS, Cause, Entry, Finding, Observable, Symptom
from diagnose.knowledge.model.conditions import Condition
from diagnose.knowledge.soundness.walk import parts
from diagnose.rulebook.change.difference import meaning

Key = tuple[type[Entry], str]

Named = Symptom | Cause | Observable | Finding

ROOMS = ("knowledge", "measures", "reasoning", "rulebook/change")
"""The code that what a case comes to rests on."""


class Rests:
    """What each symptom of a rule base rests on, as digests."""

    def __init__(self, base: Base) -> None:
        self._base = base
        self._said: dict[Key, str] = {}
        self._known = frozenset((*base.observables, *base.findings))
        self._mentions: dict[Key, frozenset[str]] = {}
        self._digests: dict[str, str] = {}

    def digest(self, symptom: str) -> str:
        """Changes with all that a case of this symptom can feel, and with the program."""
        if symptom not in self._digests:
            self._digests[symptom] = _short("\n".join(self._rests(symptom)))
        return self._digests[symptom]

    def _rests(self, symptom: str) -> Iterator[str]:
        base = self._base
        causes = base.behind(symptom)
        asked_first = [base.checks[name] for name in base.intake]
        entries: list[Named] = [base.symptoms[symptom], *causes]
        yield caches.code(ROOMS)
        yield repr((meaning(base.scales), base.intake))
        yield from map(self._meaning, entries)
        told = [base.estimates[name] for name in (symptom, ALL_SYMPTOMS) if name in base.estimates]
        estimated = [base.observables[table.check] for its in told for table in its.rows]
        yield from map(self._meaning, self._reached([*entries, *asked_first, *estimated]))
        yield repr(meaning(base.estimates[symptom]) if symptom in base.estimates else ())
        yield repr(list(_over_all(base, causes)))
        moved = (base.whole_cases.get(cause.id) for cause in causes)
        yield repr([meaning(its) if its else () for its in moved])
        yield repr([tuple(base.mending(cause, symptom)) for cause in causes])

    def _meaning(self, entry: Named) -> str:
        """An entry without what is only read, said once for all symptoms."""
        key = type(entry), entry.id
        if key not in self._said:
            self._said[key] = repr(meaning(entry))
        return self._said[key]

    def _reached(self, entries: Sequence[Named]) -> list[Named]:
        """Checks, measures and findings that entries mention, and those that these mention."""
        base = self._base
        found: dict[str, Named] = {}
        waiting = list(entries)
        while waiting:
            for name in self._mentioned(waiting.pop()) - found.keys():
                entry = base.observables.get(name) or base.findings[name]
                found[name] = entry
                waiting.append(entry)
        return [found[name] for name in sorted(found)]

    def _mentioned(self, entry: Named) -> frozenset[str]:
        """What an entry mentions, looked for once for all symptoms."""
        key = type(entry), entry.id
        if key not in self._mentions:
            self._mentions[key] = self._known.intersection(_words(entry))
        return self._mentions[key]


def of_record(symptom: str, record: Answers) -> str:
    """Changes with the answers that a case gives."""
    return _short(repr((symptom, sorted(record.items()))))


def _short(said: str) -> str:
    return hashlib.sha256(said.encode()).hexdigest()[:24]


def _words(entry: Entry) -> Iterator[str]:
    """Every word of an entry that may be the id of another."""
    for _, part in parts(entry):
        for _, value in part:
            if isinstance(value, Condition):
                yield from value.subjects()
            elif isinstance(value, str):
                yield value
            elif isinstance(value, dict):
                yield from value
                yield from (item for item in value.values() if isinstance(item, str))
            elif isinstance(value, tuple):
                yield from (item for item in value if isinstance(item, str))


def _over_all(base: Base, causes: Sequence[Cause]) -> Iterator[object]:
    """What was estimated of some causes over all their symptoms."""
    its = base.estimates.get(ALL_SYMPTOMS)
    for table in its.rows if its else ():
        numbers = [table.of_100.get(cause.id) for cause in causes]
        yield table.check, table.answers, table.usual, table.group, numbers
