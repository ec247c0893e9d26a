"""What a shop's figures must be beyond their shape."""

from __future__ import annotations

import re
from collections.abc import Iterator

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import misfit
from diagnose.knowledge.model.shop import Shop, knows_holidays
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.reading.reader import Fault, Meaning, ReadFile, read_file
from diagnose.near import near

EMPTY = "the file is empty: copy the example and change it"


def read_shop(name: str, text: str, base: Base) -> ReadFile[Shop]:
    """Read a shop's figures; every problem at once, each with its place."""
    meanings: tuple[Meaning[Shop], ...] = (
        Meaning(_last_film, ("films",), whole=True),
        Meaning(lambda shop: _films_fit(shop, base), ("films",)),
        Meaning(_panels_known, ("pieces", "vehicle_classes")),
        Meaning(_sizes_scaled, ("pieces", "vehicle_classes")),
        Meaning(lambda shop: _remedies_known(shop, base), ("labour",)),
        Meaning(_country_known, ("holidays",)),
        Meaning(_ends, ("work",)),
    )
    return read_file(name, text, Shop, meanings, EMPTY)


def _last_film(shop: Shop) -> Iterator[Fault]:
    for n, film in enumerate(shop.films):
        last = n == len(shop.films) - 1
        if (film.when is None) != last:
            wanted = "the last film has no 'when', for it stands for all other jobs"
            yield Fault(
                wanted if last else "only the last film stands without 'when'", ("films", n)
            )


def _films_fit(shop: Shop, base: Base) -> Iterator[Fault]:
    for n, film in enumerate(shop.films):
        for test in film.when.tests if film.when else ():
            sentence = misfit(test, base.observables, ())
            if sentence:
                yield Fault(sentence, ("films", n, "when", test.subject))


def _panels_known(shop: Shop) -> Iterator[Fault]:
    known = {re.sub(r"_(left|right)$", "", panel) for panel in PANELS}
    for panel in shop.pieces:
        if panel not in known:
            yield Fault(f"there is no panel '{panel}'{near(panel, known)}", ("pieces", panel))
    for n, kind in enumerate(shop.vehicle_classes):
        for panel in kind.pieces:
            if panel not in known:
                way = ("vehicle_classes", n, "pieces", panel)
                yield Fault(f"there is no panel '{panel}'{near(panel, known)}", way)


def _sizes_scaled(shop: Shop) -> Iterator[Fault]:
    """A class whose scale makes a piece too large or too small to be cut from a roll."""
    for n, kind in enumerate(shop.vehicle_classes):
        for panel, size in shop.pieces.items():
            if panel not in kind.pieces and not all(0.02 <= m * kind.scale <= 12 for m in size):
                said = (
                    f"'{panel}' scaled by {kind.scale:g} is not 0.02 to 12 m: give it its own size"
                )
                yield Fault(said, ("vehicle_classes", n, "scale"))


def _remedies_known(shop: Shop, base: Base) -> Iterator[Fault]:
    for remedy in shop.labour.of_others:
        if remedy not in base.remedies:
            said = f"there is no remedy '{remedy}'{near(remedy, set(base.remedies))}"
            yield Fault(said, ("labour", "of_others", remedy))


def _country_known(shop: Shop) -> Iterator[Fault]:
    holidays = shop.holidays
    if holidays.country == "none":
        if holidays.region:
            yield Fault("a region needs its country", ("holidays", "region"))
        return
    if not knows_holidays(holidays):
        part = f"'{holidays.country}'" + (f" with '{holidays.region}'" if holidays.region else "")
        said = f"no holidays are known for {part}: write none and list 'closed'"
        yield Fault(said, ("holidays",))


def _ends(shop: Shop) -> Iterator[Fault]:
    if shop.work.pieces_low >= shop.work.pieces_high:
        said = "'pieces_high' must be more than 'pieces_low'"
        yield Fault(said, ("work", "pieces_high"))
    if shop.work.small_piece_m2 >= shop.work.large_piece_m2:
        said = "'large_piece_m2' must be more than 'small_piece_m2'"
        yield Fault(said, ("work", "large_piece_m2"))
