"""One value put over another, with the place of every part of what comes of it.

Keys with values are taken key by key: what the newer names is as it says, `~` takes a key out, what
it does not name stays. A list is written whole, or as what to leave out of it and what to put
behind it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from diagnose.knowledge.marked import ParsedFile, Spot

Way = tuple[str | int, ...]

WITHOUT, MORE = "without", "more"
"""What to leave out of a list, and what to put behind it."""


Parts = Mapping[str | int, "MergedFrom"]


@dataclass(frozen=True, slots=True)
class MergedFrom:
    """Where a value is from: a way into a document; `parts` that are from elsewhere."""

    document: ParsedFile
    way: Way = ()
    parts: Parts = field(default_factory=dict)

    def spot(self, path: Sequence[str | int]) -> Spot:
        """The place of a part of the value."""
        if path and path[0] in self.parts:
            return self.parts[path[0]].spot(path[1:])
        return self.document.spot((*self.way, *path))

    @property
    def first(self) -> Spot:
        """The place of the first of its parts, else its own."""
        return next((part.first for part in self.parts.values()), self.spot(()))

    def at(self, step: str | int) -> MergedFrom:
        """Where a part is from."""
        return self.parts.get(step) or MergedFrom(self.document, (*self.way, step))


@dataclass(frozen=True, slots=True)
class MergedFile(ParsedFile):
    """A document of which parts stand in another one."""

    origin: MergedFrom

    def spot(self, path: Sequence[str | int]) -> Spot:
        """The place of a part, in whichever document it stands."""
        return self.origin.spot(path)

    def changed(self, path: Sequence[str | int]) -> Spot | None:
        """Where what is put over a part of the file begins; None where nothing is."""
        origin = self.origin
        for step in path:
            origin = origin.at(step)
        return next((part.first for part in origin.parts.values()), None)


class Merged(NamedTuple):
    """What came of putting one value over another, and where its parts are from."""

    value: Any
    origin: MergedFrom


class Unfit(NamedTuple):
    """What does not fit: a sentence, and the place of it."""

    spot: Spot
    sentence: str


def over(old: Merged, new: Merged, unfit: list[Unfit]) -> Merged:
    """`new` put over `old`, keys with values both; what does not fit is told and left out."""
    value, parts = dict(old.value), dict(old.origin.parts)
    for key, wanted in new.value.items():
        here = Merged(wanted, new.origin.at(key))
        if wanted is None:
            parts.pop(key, None)
            if value.pop(key, here) is here:
                said = f"there is no '{key}' to take out (any more): leave this line out"
                unfit.append(Unfit(here.origin.spot(()), said))
            continue
        found = here
        if key in value:
            found = _put(Merged(value[key], old.origin.at(key)), here, key, unfit)
        value[key], parts[key] = found
    return Merged(value, MergedFrom(old.origin.document, old.origin.way, parts))


def _put(old: Merged, new: Merged, key: str, unfit: list[Unfit]) -> Merged:
    match old.value, new.value:
        case dict(), dict():
            return over(old, new, unfit)
        case list(), dict() if new.value and set(new.value) <= {WITHOUT, MORE}:
            return _listed(old, new, unfit)
        case list(), list():
            return new
        case (list(), _) | (_, list()) | (dict(), _) | (_, dict()):
            wanted = _shape(old.value)
            unfit.append(Unfit(new.origin.spot(()), f"'{key}' is {wanted}: write it so"))
            return old
    return new


def _shape(value: Any) -> str:
    """How a value is written, in words."""
    if isinstance(value, list):
        return f"a list there; here the whole list, or {WITHOUT} and {MORE} with a list each"
    return "keys with values there" if isinstance(value, dict) else "one word or number there"


def _listed(old: Merged, new: Merged, unfit: list[Unfit]) -> Merged:
    """A list without some of its items and with more behind them."""
    for word in (WITHOUT, MORE):
        if not isinstance(new.value.get(word, []), list):
            unfit.append(Unfit(new.origin.spot((word,)), f"'{word}' takes a list"))
            return old
    gone: set[int] = set()
    for number, word in enumerate(new.value.get(WITHOUT, [])):
        hit = {at for at, item in enumerate(old.value) if word in _names(item)}
        gone |= hit
        if not hit:
            said = f"nothing in the list is of '{word}' (any more): look at it anew"
            unfit.append(Unfit(new.origin.spot((WITHOUT, number)), said))
    left = [(item, old.origin.at(at)) for at, item in enumerate(old.value) if at not in gone]
    more = new.origin.at(MORE)
    left += [(item, more.at(at)) for at, item in enumerate(new.value.get(MORE, []))]
    parts: Parts = {number: origin for number, (_, origin) in enumerate(left)}
    return Merged(
        [item for item, _ in left], MergedFrom(new.origin.document, new.origin.way, parts)
    )


def _names(item: Any) -> Iterator[Any]:
    """What an item of a list may be called by: itself, an id in it, what it asks for."""
    if not isinstance(item, dict):
        yield item
        return
    for key, value in item.items():
        if key != "because":
            yield from value if isinstance(value, list) else [value]
    if isinstance(asked := item.get("when"), dict):
        yield from asked
