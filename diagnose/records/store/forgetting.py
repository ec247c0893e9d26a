"""Forgetting a customer: where name, plate and number stand, also in free text, and taking it out.

A name and a plate are looked for in all cases. In the customer's own cases every part of the name
goes too, with telephone numbers and addresses of mail: nobody else's stand there.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.records.case.journal import Customer, Event, EventKind
from diagnose.records.store.store import Store
from diagnose.typed import on_one_line

GONE = "[forgotten]"
"""Stands where it stood."""

SHORTEST = 3
"""Letters of a part of a name that is looked for by itself."""

FEWEST_DIGITS = 7
"""Of a telephone number."""

_NUMBER = re.compile(r"(?<![\w.])\+?\(?\d[\d\s/().\-]{5,}\d(?!\w)")
_DATE = re.compile(r"(?:\d{4}([-./])\d{1,2}\1\d{1,2}|\d{1,2}([-./])\d{1,2}\2\d{4})")
_MAIL = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
_SAID = ("note", "confirmed_by")
"""What is written freely in the data of an outcome."""
_NO_TEXT_OF_PEOPLE = ("film", "lot", "installer", "laid_on", "handed_on", "seen_on", "grade")


@dataclass(frozen=True, slots=True)
class Stand:
    """A text of a case in which something of the customer stands, and what it becomes."""

    case_id: str
    number: int
    where: str
    text: str
    becomes: str


@dataclass(frozen=True, slots=True)
class Traces:
    """All that is to be forgotten: the customer beside which cases, and which texts.

    `perhaps`: texts of other cases in which no more than a part of the name stands; they stay.
    """

    customers: Mapping[str, Customer]
    stands: tuple[Stand, ...]
    words: tuple[re.Pattern[str], ...]
    perhaps: tuple[Stand, ...] = ()

    @property
    def cases(self) -> tuple[str, ...]:
        """The cases in which anything stands."""
        return tuple(dict.fromkeys((*self.customers, *(s.case_id for s in self.stands))))


def traces(store: Store, name: str = "", plate: str = "", case_id: str = "") -> Traces:
    """Where a customer stands, who is named by name, by plate, or by a case."""
    known = store.customers()
    own = {
        case: customer
        for case, customer in known.items()
        if case == case_id
        or (name.strip() and _same(customer.name, name))
        or (plate.strip() and _same(customer.plate, plate))
    }
    names = {name, *(c.name for c in own.values())}
    plates = {plate, *(c.plate for c in own.values())}
    everywhere = [p for p in (*map(_name, names), *map(_plate, plates)) if p]
    parts = [p for n in names for p in re.findall(r"[^\W\d_]+", n) if len(p) >= SHORTEST]
    events = {case: store.events(case) for case in store.ids()}
    numbers = {n for case in own for e in events[case] for t in _texts(e) for n in _numbers(t[1])}
    everywhere += [_exactly(n) for n in sorted(numbers)]
    here = [*everywhere, *(_exactly(part) for part in dict.fromkeys(parts))]
    stands = tuple(
        stand
        for case, journal in events.items()
        for event in journal
        for stand in _stands(case, event, here if case in own else everywhere)
    )
    gone = {(stand.case_id, stand.number, stand.where) for stand in stands}
    perhaps = tuple(
        stand
        for case, journal in events.items()
        if case not in own
        for event in journal
        for stand in _stands(case, event, [_exactly(part) for part in parts])
        if (stand.case_id, stand.number, stand.where) not in gone
    )
    return Traces(own, stands, tuple(here), perhaps)


def lines(found: Traces) -> Iterator[str]:
    """What would go, line by line: the customer of which cases, and which texts."""
    for case_id, customer in found.customers.items():
        yield on_one_line(f"- case {case_id}, the customer: {customer.name} {customer.plate}")
    for stand in found.stands:
        told = f"- case {stand.case_id}, {stand.where}: '{stand.text}' becomes '{stand.becomes}'"
        yield on_one_line(told)
    for stand in found.perhaps:
        yield on_one_line(
            f"- perhaps the same customer, and left alone: case {stand.case_id}, {stand.where}:"
            f" '{stand.text}'"
        )
    if found.perhaps:
        yield "a part of the name by itself, such as --name SURNAME --erase, takes these too"


def forget(store: Store, found: Traces) -> None:
    """Take it out of the records, and of the copies that were made of them before a change."""
    changed: dict[str, dict[int, Event]] = {}
    for case_id in {stand.case_id for stand in found.stands}:
        its = [stand for stand in found.stands if stand.case_id == case_id]
        journal = {event.number: event for event in store.events(case_id)}
        for stand in its:
            journal[stand.number] = _without(journal[stand.number], stand)
        changed[case_id] = {stand.number: journal[stand.number] for stand in its}
    store.forget_customers(tuple(found.customers), changed, lambda text: taken(text, found.words))


def taken(text: str, words: Iterable[re.Pattern[str]]) -> str:
    """A text without what is to be forgotten."""
    for word in words:
        text = word.sub(GONE, text)
    return text


def _stands(case_id: str, event: Event, words: Sequence[re.Pattern[str]]) -> Iterator[Stand]:
    for where, text in _texts(event):
        becomes = taken(text, words)
        if becomes != text:
            yield Stand(case_id, event.number, where, text, becomes)


def _texts(event: Event) -> Iterator[tuple[str, str]]:
    """The free texts of an event, each with where it stands."""
    match event.kind:
        case EventKind.NOTED if event.key not in _NO_TEXT_OF_PEOPLE:
            yield event.key, event.text
        case EventKind.PHOTO_ADDED:
            yield "caption", event.text
        case EventKind.REMEDY_DONE | EventKind.CHECKED_AGAIN:
            yield "text", event.text
        case EventKind.CLOSED:
            for key in _SAID:
                yield key, str(event.data.get(key, ""))


def _without(event: Event, stand: Stand) -> Event:
    if event.kind is EventKind.CLOSED:
        return replace(event, data={**event.data, stand.where: stand.becomes})
    return replace(event, text=stand.becomes)


def _same(one: str, other: str) -> bool:
    """Whether two names or plates are the same, however spaced."""
    plain = [re.sub(r"[\W_]+", "", text).casefold() for text in (one, other)]
    return plain[0] == plain[1] != ""


def _name(name: str) -> re.Pattern[str] | None:
    """A whole name, in its order or the other way round, with whatever between its parts."""
    parts = [re.escape(part) for part in name.split()]
    if not parts:
        return None
    ways = {r"[\s,.]+".join(parts), r"[\s,.]+".join((parts[-1], *parts[:-1]))}
    return re.compile(rf"\b(?:{'|'.join(sorted(ways))})\b", re.IGNORECASE)


def _plate(plate: str) -> re.Pattern[str] | None:
    """A plate, however its groups are parted."""
    parts = [re.escape(part) for part in re.findall(r"\d+|[^\W\d_]+", plate)]
    spaced = r"[\s-]*".join(parts)
    return re.compile(rf"\b{spaced}\b", re.IGNORECASE) if parts else None


def _numbers(text: str) -> Collection[str]:
    """Telephone numbers and addresses of mail; no dates."""
    without = _DATE.sub(" | ", text)
    found = {its.group().strip() for its in _NUMBER.finditer(without)}
    return {n for n in found if sum(map(str.isdigit, n)) >= FEWEST_DIGITS} | {
        *_MAIL.findall(without)
    }


def _exactly(text: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(text)}(?!\w)", re.IGNORECASE)
