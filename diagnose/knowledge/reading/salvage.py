"""What can still be looked at in a document with faults, so that all faults are told at once.

A slip in one entry says nothing about the names used in the others, and a misspelt strength nothing
about the check beside it. What is mended here serves for finding further faults only; no base is
ever made of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from copy import deepcopy
from typing import Any

from pydantic_core import ErrorDetails

from diagnose.knowledge.marked import Problem

Way = Sequence[str | int]
"""A way into a document, such as ('causes', 3, 'signs', 0, 'strength')."""

SOME_NUMBER = 50
"""What stands for a number that was written as a word."""


def one_each(faults: Iterable[ErrorDetails]) -> list[ErrorDetails]:
    """The faults, those of one word that fits none of several lists of words made one."""
    found: dict[object, ErrorDetails] = {}
    for fault in faults:
        listed = fault["type"] == "literal_error"
        key = fault["loc"][:-1] if listed and str(fault["loc"][-1]).startswith("literal[") else None
        if key is None or key not in found:
            found[key or len(found)] = fault
            continue
        words = (found[key], fault)
        expected = ", ".join(str(f.get("ctx", {}).get("expected", "")) for f in words)
        found[key] = {**found[key], "ctx": {"expected": expected}}
    return list(found.values())


def passing(data: Mapping[str, Any], faults: Iterable[ErrorDetails]) -> dict[str, Any]:
    """The data with unknown keys left out, and with a word or a number that may stand.

    What that does not mend stays as it is.
    """
    left = deepcopy(dict(data))
    for fault in faults:
        way = _real(left, fault["loc"])
        if not way:
            continue
        holder = _at(left, way[:-1])
        if fault["type"] == "extra_forbidden":
            holder.pop(way[-1])
        elif fault["type"] in ("literal_error", "enum"):
            expected = str(fault.get("ctx", {}).get("expected", ""))
            holder[way[-1]] = re.findall(r"'([^']*)'", expected)[0]
        elif fault["type"] in ("greater_than_equal", "less_than_equal"):
            bounds = fault.get("ctx", {})
            holder[way[-1]] = bounds.get("ge", bounds.get("le"))
        elif fault["type"] in ("float_type", "int_type", "of_100"):
            holder[way[-1]] = SOME_NUMBER
        elif fault["type"] == "string_type" and isinstance(fault["input"], int | float):
            holder[way[-1]] = str(fault["input"])
    return left


def weighing(faults: Iterable[Way]) -> list[Way]:
    """Those faults that lie where strengths and shares are; a remedy of a cause has none."""
    found = []
    for way in faults:
        match list(way)[:3]:
            case ["causes", int(_), str(field)] if field not in (
                "shows",
                "signs",
                "ruled_out_when",
            ):
                continue
        found.append(way)
    return found


_NAMED = re.compile(r"""\b(?:id|group):[ ]*["']?([^"',{}\[\]\n]*[^"',{}\[\]\s])""")


def names_in(text: str) -> frozenset[str]:
    """The ids and the groups that stand in a text which cannot be read as a whole."""
    return frozenset(_NAMED.findall(text))


def _real(data: Any, way: Way) -> Way:
    """The part of a way that exists: it may end in the name of a type that was tried."""
    for length in range(len(way)):
        if _at(data, way[: length + 1]) is None:
            return way[:length]
    return way


def _at(data: Any, way: Way) -> Any:
    """What stands at the end of a way; None where it leads nowhere."""
    for step in way:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def without(data: Mapping[str, Any], faults: Iterable[Way]) -> dict[str, Any] | None:
    """Leave out every entry that a fault lies in; None where one lies in no single entry."""
    broken: set[Way] = set()
    for way in faults:
        match list(way)[:2]:
            case [str(section), int(place)]:
                broken.add((section, place))
            case _:
                return None
    return {section: _kept(section, entries, broken) for section, entries in data.items()}


def _kept(section: str, entries: Any, broken: set[Way]) -> Any:
    if not isinstance(entries, list):
        return entries
    return [entry for place, entry in enumerate(entries) if (section, place) not in broken]


def ids_at(data: Mapping[str, Any], faults: Iterable[Way]) -> frozenset[str]:
    """The ids of the entries in which faults lie."""
    entries = (_at(data, list(way)[:2]) for way in faults)
    found = (entry.get("id") for entry in entries if isinstance(entry, dict))
    return frozenset(name for name in found if isinstance(name, str))


def not_of(lost: Iterable[str], problems: Iterable[Problem]) -> list[Problem]:
    """Those problems that name no entry that was left out."""
    names = "|".join(map(re.escape, sorted(lost)))
    if not names:
        return list(problems)
    said = re.compile(rf"(?<![a-z0-9_])(?:{names})(?![a-z0-9_])")
    return [problem for problem in problems if not said.search(problem.sentence)]
