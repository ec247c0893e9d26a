"""Reading a shop's figures as strictly as the rule base: every problem at once, at its place."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter, ValidationError

from diagnose.knowledge import marked
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import misfit
from diagnose.knowledge.marked import Document, Problem, Spot
from diagnose.knowledge.model.shop import Shop, knows_holidays
from diagnose.knowledge.near import near
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.reading.load import shape_problem, tuples
from diagnose.knowledge.reading.salvage import passing


@dataclass(frozen=True, slots=True)
class ShopReading:
    """What came of reading: a shop, or the problems."""

    shop: Shop | None
    problems: tuple[Problem, ...]


def read_shop(name: str, text: str, base: Base) -> ShopReading:
    """Read a shop's figures; every problem at once, each with its place."""
    document, problems = marked.read(name, text)
    if document.data is None and not problems:
        problems = [Problem(Spot(name, 1, 1), "the file is empty: copy the example and change it")]
    if problems:
        return ShopReading(None, tuple(sorted(problems)))
    shop, sound = _shaped(document, problems)
    problems += _meant(document, shop, sound, base)
    return ShopReading(None if problems else shop, tuple(sorted(problems)))


def _shaped(document: Document, problems: list[Problem]) -> tuple[Shop, frozenset[str]]:
    """The shop, and its sections that are sound in shape; the others are not in it."""
    try:
        return Shop.model_validate(tuples(document.data)), frozenset(Shop.model_fields)
    except ValidationError as error:
        faults = error.errors(include_url=False)
    problems += [shape_problem(document, fault, Shop) for fault in faults]
    data = document.data if isinstance(document.data, dict) else {}
    return _salvaged(tuples(passing(data, faults)))


def _salvaged(data: Mapping[str, Any]) -> tuple[Shop, frozenset[str]]:
    """What of a file with faults of shape can be looked at all the same."""
    found = {}
    for name, field in Shop.model_fields.items():
        if name in data:
            section: TypeAdapter[Any] = TypeAdapter(field.annotation or object)
            with suppress(ValidationError):
                found[name] = section.validate_python(data[name])
    return Shop.model_construct(_fields_set=None, **found), frozenset(found)


def _meant(document: Document, shop: Shop, sound: frozenset[str], base: Base) -> Iterator[Problem]:
    for needs, check in _CHECKS:
        for sentence, *path in check(shop, base) if sound.issuperset(needs) else ():
            yield Problem(document.spot(path), sentence, "meaning")


Fault = tuple[Any, ...]
"""A sentence, then the way to the place."""


def _films_fit(shop: Shop, base: Base) -> Iterator[Fault]:
    for n, film in enumerate(shop.films):
        last = n == len(shop.films) - 1
        if (film.when is None) != last:
            wanted = "the last film has no 'when', for it stands for all other jobs"
            yield (wanted if last else "only the last film stands without 'when'", "films", n)
        for test in film.when.tests if film.when else ():
            sentence = misfit(test, base.observables, ())
            if sentence:
                yield (sentence, "films", n, "when", test.subject)


def _panels_known(shop: Shop, _: Base) -> Iterator[Fault]:
    known = {re.sub(r"_(left|right)$", "", panel) for panel in PANELS}
    for panel in shop.pieces:
        if panel not in known:
            yield (f"there is no panel '{panel}'{near(panel, known)}", "pieces", panel)
    for n, kind in enumerate(shop.vehicle_classes):
        for panel in kind.pieces:
            if panel not in known:
                path = ("vehicle_classes", n, "pieces", panel)
                yield (f"there is no panel '{panel}'{near(panel, known)}", *path)


def _sizes_scaled(shop: Shop, _: Base) -> Iterator[Fault]:
    """A class whose scale makes a piece too large or too small to be cut from a roll."""
    for n, kind in enumerate(shop.vehicle_classes):
        for panel, size in shop.pieces.items():
            if panel not in kind.pieces and not all(0.02 <= m * kind.scale <= 12 for m in size):
                said = (
                    f"'{panel}' scaled by {kind.scale:g} is not 0.02 to 12 m: give it its own size"
                )
                yield (said, "vehicle_classes", n, "scale")


def _remedies_known(shop: Shop, base: Base) -> Iterator[Fault]:
    for remedy in shop.labour.of_others:
        if remedy not in base.remedies:
            said = f"there is no remedy '{remedy}'{near(remedy, set(base.remedies))}"
            yield (said, "labour", "of_others", remedy)


def _country_known(shop: Shop, _: Base) -> Iterator[Fault]:
    given = shop.holidays
    if given.country == "none":
        if given.region:
            yield ("a region needs its country", "holidays", "region")
        return
    if not knows_holidays(given):
        part = f"'{given.country}'" + (f" with '{given.region}'" if given.region else "")
        yield (f"no holidays are known for {part}: write none and list 'closed'", "holidays")


def _ends(shop: Shop, _: Base) -> Iterator[Fault]:
    if shop.work.pieces_low >= shop.work.pieces_high:
        yield ("'pieces_high' must be more than 'pieces_low'", "work", "pieces_high")
    if shop.work.small_piece_m2 >= shop.work.large_piece_m2:
        said = "'large_piece_m2' must be more than 'small_piece_m2'"
        yield (said, "work", "large_piece_m2")


_CHECKS: tuple[tuple[tuple[str, ...], Callable[[Shop, Base], Iterator[Fault]]], ...] = (
    (("films",), _films_fit),
    (("pieces", "vehicle_classes"), _panels_known),
    (("pieces", "vehicle_classes"), _sizes_scaled),
    (("labour",), _remedies_known),
    (("holidays",), _country_known),
    (("work",), _ends),
)
"""What is checked of the meaning, each with the sections that it looks at."""
