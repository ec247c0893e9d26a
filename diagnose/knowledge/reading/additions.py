"""A folder that holds only additions and changes: the shipped rules stay under it.

Its file `additions.yaml` makes it one, and says which shipped entries are changed or taken out.
All other files of the folder hold new entries. What no longer fits since the shipped rules moved
on is told with its place; the rest is read all the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from diagnose.knowledge.marked import ParsedFile, Problem, Spot
from diagnose.knowledge.model import RuleFile
from diagnose.knowledge.reading.merge import Merged, MergedFile, MergedFrom, Parts, Unfit, over
from diagnose.knowledge.soundness.draft import ONCE
from diagnose.knowledge.soundness.walk import NAMED
from diagnose.near import near

NAMES = ("additions.yaml", "additions.yml")
"""The file that makes a folder one of additions, at its top."""

SHIPPED = "shipped:"
"""Before the name of a file that is not of the folder but stays under it."""

WHOLE_CASES = "whole_cases"
"""The section of what whole complaints moved; one file has all of it."""

CHANGES, TAKEN_OUT = "changes", "taken_out"

KIND = "additions"
"""The kind of a problem with what does not fit the shipped rules."""

Place = tuple[int, int]
"""A document and the number of an entry in a section of it."""


def adds(names: Sequence[str] | Mapping[str, Any]) -> bool:
    """Whether files of these names are additions."""
    return any(name in names for name in NAMES)


def put_together(
    documents: Sequence[ParsedFile],
) -> tuple[list[ParsedFile], list[Problem]]:
    """Shipped documents with the changes in them, then what the folder adds; what does not fit."""
    own = [document for document in documents if not document.name.startswith(SHIPPED)]
    said = next(document for document in own if document.name in NAMES)
    made = _Made([d for d in documents if d.name.startswith(SHIPPED)])
    data = said.data if isinstance(said.data, dict) else {}
    made.change(said, data.get(CHANGES))
    made.take_out(said, data.get(TAKEN_OUT))
    rest = {key: value for key, value in data.items() if key not in (CHANGES, TAKEN_OUT)}
    added = [replace(d, data=rest) if d is said else d for d in own if d is not said or rest]
    return [*made.documents, *map(made.own, added)], made.problems


def told_of_shipped(problem: Problem) -> Problem:
    """A problem; of one in a shipped entry, what can be done about it in the folder."""
    if not problem.spot.file.startswith(SHIPPED):
        return problem
    return replace(
        problem, sentence=f"{problem.sentence}; change this entry under {CHANGES} in {NAMES[0]}"
    )


class _Made:
    """Shipped documents while changes are put into them."""

    def __init__(self, shipped: Sequence[ParsedFile]) -> None:
        self.documents = list(shipped)
        self.problems: list[Problem] = []
        self._places = {
            (section, name): (number, at)
            for number, document in enumerate(shipped)
            for section, at, name in _entries(document)
        }

    def change(self, said: ParsedFile, changes: Any) -> None:
        """Put every change into the document that its entry stands in."""
        for section, its in self._sections(said, CHANGES, changes):
            here = MergedFrom(said, (CHANGES, section))
            if section not in NAMED:
                self._whole(section, Merged({section: its}, MergedFrom(said, (CHANGES,))))
            elif not isinstance(its, dict):
                self._tell(here.spot(()), f"'{section}' takes ids with what changes of each")
            else:
                for name, new in its.items():
                    self._entry(section, name, Merged(new, here.at(name)))

    def take_out(self, said: ParsedFile, gone: Any) -> None:
        """Leave out every entry that is named."""
        left_out: dict[int, set[tuple[str, int]]] = {}
        for section, names in self._sections(said, TAKEN_OUT, gone):
            here = MergedFrom(said, (TAKEN_OUT, section))
            if section not in NAMED or not isinstance(names, list):
                self._tell(here.spot(()), f"'{section}' takes a list of ids of entries")
                continue
            for number, name in enumerate(names):
                place = self._found(section, name, here.at(number).spot(()))
                if place is not None:
                    left_out.setdefault(place[0], set()).add((section, place[1]))
        for number, entries in left_out.items():
            self.documents[number] = _without(self.documents[number], entries)
        self._estimates_without(gone if isinstance(gone, dict) else {})

    def _estimates_without(self, gone: Mapping[str, Any]) -> None:
        """Estimates say nothing of what was taken out."""
        names = {section: set(its) for section, its in gone.items() if isinstance(its, list)}
        causes, checks = names.get("causes", set()), names.get("checks", set())
        symptoms = names.get("symptoms", set())
        moves = {"shares": symptoms, "shows": checks}
        for number, document in enumerate(self.documents):
            for section, at, name in list(_entries(document)):
                if section == "estimates" and name in symptoms:
                    self.documents[number] = _without(document, {(section, at)})
                elif section == "estimates" and (causes or checks):
                    self.documents[number] = _estimated(document, at, causes, checks)
            if WHOLE_CASES in (document.data or {}):
                self.documents[number] = _moved(document, causes, moves)

    def own(self, document: ParsedFile) -> ParsedFile:
        """A document of the folder without what the shipped rules have already; that is told."""
        data = document.data
        if not isinstance(data, dict):
            return document
        twice: set[tuple[str, int]] = set()
        for section, at, name in _entries(document):
            if (section, name) in self._places:
                said = (f"'{name}' is shipped: give yours another id, or put what is to differ"
                        f" under {CHANGES} in {NAMES[0]}")  # fmt: skip
                self._tell(document.spot((section, at, "id")), said)
                twice.add((section, at))
        for section in ONCE:
            if section in data:
                said = f"'{section}' is shipped: put what is to differ under {CHANGES}"
                self._tell(document.spot((section,)), said)
        left = replace(document, data={k: v for k, v in data.items() if k not in ONCE})
        return _without(left, twice)

    def _sections(self, said: ParsedFile, word: str, given: Any) -> Iterator[tuple[str, Any]]:
        if given is None:
            return
        if not isinstance(given, dict):
            self._tell(said.spot((word,)), f"'{word}' must be sections of the rules with entries")
            return
        for section, its in given.items():
            if section not in RuleFile.model_fields:
                hint = near(section, set(RuleFile.model_fields))
                self._tell(said.spot((word, section)), f"there is no section '{section}'{hint}")
            elif its is not None:
                yield section, its

    def _found(self, section: str, name: Any, spot: Spot) -> Place | None:
        place = self._places.get((section, name))
        if place is None:
            hint = near(str(name), {n for s, n in self._places if s == section})
            self._tell(spot, f"the shipped {section} have no '{name}' (any more){hint}:"
                             " leave this out, or name another")  # fmt: skip
        return place

    def _entry(self, section: str, name: str, new: Merged) -> None:
        place = self._found(section, name, new.origin.spot(()))
        if place is None:
            return
        if not isinstance(new.value, dict) or "id" in new.value:
            self._tell(new.origin.spot(()), f"'{name}' takes keys with values, and keeps its id")
            return
        self._over(place[0], (section, place[1]), new)

    def _whole(self, section: str, new: Merged) -> None:
        """A change of a section that has no entries by id."""
        for number, document in enumerate(self.documents):
            if section in (document.data or {}):
                return self._over(number, (), new)
        said = f"no '{section}' is shipped: write it in another file of this folder"
        return self._tell(new.origin.spot((section,)), said)

    def _over(self, number: int, way: tuple[str | int, ...], new: Merged) -> None:
        document = self.documents[number]
        unfit: list[Unfit] = []
        whole = Merged(document.data, _origin(document))
        found = _at(whole, way, new, unfit)
        self.documents[number] = MergedFile(document.name, found.value, document.tree, found.origin)
        for its in unfit:
            self._tell(its.spot, its.sentence)

    def _tell(self, spot: Spot, sentence: str) -> None:
        self.problems.append(Problem(spot, sentence, KIND))


def _origin(document: ParsedFile) -> MergedFrom:
    return document.origin if isinstance(document, MergedFile) else MergedFrom(document)


def _at(old: Merged, way: tuple[str | int, ...], new: Merged, unfit: list[Unfit]) -> Merged:
    """A value with `new` put over what stands at the end of a way."""
    if not way:
        return over(old, new, unfit)
    step = way[0]
    inner = _at(Merged(old.value[step], old.origin.at(step)), way[1:], new, unfit)
    value: Any = old.value.copy()
    value[step] = inner.value
    parts = {**old.origin.parts, step: inner.origin}
    return Merged(value, MergedFrom(old.origin.document, old.origin.way, parts))


def _without(document: ParsedFile, gone: set[tuple[str, int]]) -> ParsedFile:
    """A document without some entries; the places of the others stay what they are."""
    if not gone:
        return document
    origin, data = _origin(document), dict(document.data)
    parts = dict(origin.parts)
    for section in {section for section, _ in gone}:
        its = origin.at(section)
        left = [(n, e) for n, e in enumerate(data[section]) if (section, n) not in gone]
        data[section] = [entry for _, entry in left]
        kept: Parts = {number: its.at(n) for number, (n, _) in enumerate(left)}
        parts[section] = MergedFrom(its.document, its.way, kept)
    found = MergedFrom(origin.document, origin.way, parts)
    return MergedFile(document.name, data, document.tree, found)


def _estimated(document: ParsedFile, at: int, causes: set[str], checks: set[str]) -> ParsedFile:
    """A document with an entry of estimates that names none of some causes and checks."""
    origin, data = _origin(document), dict(document.data)
    entry = dict(data["estimates"][at])
    its = origin.at("estimates").at(at)
    rows = [
        (n, row)
        for n, row in enumerate(entry["rows"])
        if row["check"] not in checks and set(row["of_100"]) - causes
    ]
    entry["rows"] = [
        {**row, "of_100": {c: its for c, its in row["of_100"].items() if c not in causes}}
        for _, row in rows
    ]
    kept: Parts = {number: its.at("rows").at(n) for number, (n, _) in enumerate(rows)}
    here = MergedFrom(
        its.document, its.way, {"rows": MergedFrom(its.document, (*its.way, "rows"), kept)}
    )
    data["estimates"] = [*data["estimates"][:at], entry, *data["estimates"][at + 1 :]]
    section = origin.at("estimates")
    parts: Parts = {**section.parts, at: here}
    whole = {**origin.parts, "estimates": MergedFrom(section.document, section.way, parts)}
    found = MergedFrom(origin.document, origin.way, whole)
    return MergedFile(document.name, data, document.tree, found)


def _moved(document: ParsedFile, causes: set[str], gone: Mapping[str, set[str]]) -> ParsedFile:
    """A document with what whole complaints moved, without some causes, and keys by part."""
    each = enumerate(document.data[WHOLE_CASES])
    left = _without(document, {(WHOLE_CASES, at) for at, its in each if its.get("id") in causes})
    entries = [
        entry | {part: _but(entry[part], keys) for part, keys in gone.items() if part in entry}
        for entry in left.data[WHOLE_CASES]
    ]
    data = {**left.data, WHOLE_CASES: entries}
    return MergedFile(left.name, data, left.tree, _origin(left))


def _but(said: Mapping[str, Any], keys: set[str]) -> dict[str, Any]:
    return {key: value for key, value in said.items() if key not in keys}


def _entries(document: ParsedFile) -> Iterator[tuple[str, int, str]]:
    """The entries of a document with an id: section, number within it, id."""
    data = document.data if isinstance(document.data, dict) else {}
    for section in NAMED:
        entries = data.get(section)
        for number, entry in enumerate(entries if isinstance(entries, list) else []):
            if isinstance(entry, dict) and isinstance(entry.get("id"), str):
                yield section, number, entry["id"]
