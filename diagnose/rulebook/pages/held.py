"""What else an entry holds: words that it is found by, roles, numbers that the program reads.

Beside what its page tells in sentences; together they leave out nothing that stands in the file.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby
from typing import Any

from diagnose.knowledge.model import (
    Cause,
    Caution,
    Check,
    Entry,
    Finding,
    Observable,
    Payer,
    Remedy,
    Symptom,
)
from diagnose.rulebook.pages.page import Block, ItemList, Words, joined
from diagnose.rulebook.pages.wording import Library


def held(library: Library, entry: Entry) -> Block:
    """All of it as a part of the page."""
    return Block("Also held", ItemList(tuple(_items(library, entry))))


def _items(library: Library, entry: Entry) -> Iterator[Words]:
    match entry:
        case Symptom():
            yield from _symptom(library, entry)
        case Remedy():
            yield from _remedy(library, entry)
        case Cause():
            yield from _counted_once(library, entry)
        case Observable():
            yield from _observable(entry)
        case Caution() if entry.owner:
            yield (f"whoever owns or drives the car is told: {entry.owner}",)
        case _:
            pass
    if isinstance(entry, Caution | Payer | Check | Finding) and entry.role:
        yield (f"role: {entry.role}",)


def _symptom(library: Library, symptom: Symptom) -> Iterator[Words]:
    yield (f"group: {symptom.group}",)
    if symptom.look_first:
        yield ("looked at first: ", *library.refs(symptom.look_first))
    for check, answer in symptom.shows.items():
        said = library.says(check, answer)
        yield ("shown by its own look: ", library.ref(check), f": {said}")
    for check, shares in symptom.usual.items():
        yield ("usual here: ", library.ref(check), f": {_shares(shares)}")
    yield from _named("phrases", symptom.phrases)
    mending = [r.id for r in library.base.remedies.values() if _mends(r, symptom)]
    yield ("remedies that mend it: ", *library.refs(mending))


def _mends(remedy: Remedy, symptom: Symptom) -> bool:
    return not remedy.mends or bool({symptom.id, symptom.group} & set(remedy.mends))


def _remedy(library: Library, remedy: Remedy) -> Iterator[Words]:
    mended = library.symptoms(remedy.mends) if remedy.mends else ("any symptom",)
    yield ("mends: ", *mended)
    if remedy.waits_hours:
        yield (f"hours of waiting within it: {remedy.waits_hours:g}",)
    if remedy.look_again_hours:
        yield (f"looked at again after: {remedy.look_again_hours:g} h",)


def _counted_once(library: Library, cause: Cause) -> Iterator[Words]:
    grouped = sorted((e.group, e.check) for e in cause.shows if e.group)
    for group, entries in groupby(grouped, key=lambda its: its[0]):
        checks = dict.fromkeys(check for _, check in entries)
        yield (f"counted once ({group}): ", *library.refs(list(checks)))


def _observable(its: Observable) -> Iterator[Words]:
    yield from _named("in this order", its.ordered)
    for word, answer in its.answers.items():
        days = "{:g} to {:g} days".format(*answer.days) if answer.days else ""
        more = "; ".join(m for m in (answer.step, days, ", ".join(answer.phrases)) if m)
        yield (f"{word}, '{answer.says}': {more}".removesuffix(": "),)
    if isinstance(its, Check):
        yield from _named("headed", its.headers)
        yield from _named("words", [f"{w} ({low:g} to {high:g})" for w, (low, high) in
                                    its.words.items()])  # fmt: skip
        if its.several:
            yield ("several answers can be right together",)
        if its.nothing:
            yield (f"none, '{its.nothing.says}': {', '.join(its.nothing.phrases)}",)
        if its.between:
            since, until = (" or ".join(days) for days in (its.between.since, its.between.until))
            yield (f"answered by the days from {since} to {until}".replace("_", " "),)


def _named(label: str, words: Any) -> Iterator[Words]:
    if words:
        yield (f"{label}: ", *joined([(str(word),) for word in words]))


def _shares(shares: Mapping[str, float]) -> str:
    return ", ".join(f"{word} {share:g} %" for word, share in shares.items())
