"""What a remedy costs in a shop: hours, film, printing, standing, looking again.

Hours come from the rule base, prices from the shop's figures, sizes from the panel or as typed in.
Money is in the shop's currency; 'likely' stands between the low and the high end of the hours.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Remedy
from diagnose.knowledge.model.conditions import FOUND, Values
from diagnose.knowledge.model.shop import Film, Shop, VehicleClass
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.correction.roll import FilmNeed, Size, film_need, whole_need
from diagnose.reasoning.correction.schedule import BAY, LAMINATOR, PRINTER, WorkStage

UNKNOWN_SIZE: Size = (1.0, 1.0)
"""Taken for a place of no known size, and said so."""

WHOLE = "whole_vehicle"
"""A complaint of this place lies on all pieces."""


@dataclass(frozen=True, slots=True)
class WorkPlace:
    """A complaint as the shop sees it; `size` None where nobody knows it."""

    number: int
    panel: str
    values: Values
    size: Size | None


@dataclass(frozen=True, slots=True)
class Price:
    """What a remedy costs; `hours` low, likely, high; the rest in money."""

    hours: tuple[float, float, float]
    rate: float
    film: float = 0.0
    printing: float = 0.0
    standing: float = 0.0
    looking: float = 0.0
    needs: tuple[FilmNeed, ...] = ()
    assumed: tuple[str, ...] = ()

    @property
    def labour(self) -> float:
        """The likely hours at the rate."""
        return self.hours[1] * self.rate

    @property
    def likely(self) -> float:
        """The sum, with the likely hours."""
        return self.labour + self.film + self.printing + self.standing + self.looking

    @property
    def low(self) -> float:
        """The sum, with the low end of the hours."""
        return self.likely - (self.hours[1] - self.hours[0]) * self.rate

    @property
    def high(self) -> float:
        """The sum, with the high end of the hours."""
        return self.likely + (self.hours[2] - self.hours[1]) * self.rate


@dataclass(frozen=True, slots=True)
class Pricer:
    """Prices remedies for one vehicle in one shop."""

    base: Base
    shop: Shop
    vehicle: VehicleClass

    def price(self, remedy: Remedy, places: Sequence[WorkPlace]) -> Price:
        """The price of a remedy that serves these complaints at once."""
        pieces = self._pieces(remedy, places)
        needs = self._needs(remedy, places, pieces)
        print_it = self.printed(remedy, places)
        hours = self._hours(remedy, places, pieces)
        rate = self.shop.labour.of_others.get(remedy.id, self.shop.labour.rate)
        film, looking = self._film_price(remedy, places, needs), self._looking(remedy)
        printing = self._printing(remedy, needs) if print_it and needs else 0.0
        standing = self._standing(remedy, self._bay_hours(remedy, hours[1], needs))
        return Price(
            hours, rate, film, printing, standing, looking, needs, self._assumed(remedy, places)
        )

    def after_failure(self, remedy: Remedy) -> float:
        """What the next visit costs once the remedy did not hold; 0 if that shows at once."""
        if remedy.look_again_hours < self.base.scales.acting.another_visit_hours:
            return 0.0
        visit = self.shop.visit
        return visit.hours * self.shop.labour.rate + visit.travel + visit.goodwill

    def looking_further(self) -> float:
        """What it costs to stop and look further, before anything is laid."""
        further = self.shop.look_further
        return further.hours * self.shop.labour.rate + further.laboratory

    def stages(self, remedy: Remedy, places: Sequence[WorkPlace]) -> tuple[WorkStage, ...]:
        """The remedy as a chain of stages, from the first print or order to its rest."""
        price = self.price(remedy, places)
        work, film = self.shop.work, self._film(places)
        in_bay = self._bay_hours(remedy, price.hours[1], price.needs) / work.people
        before = in_bay * remedy.before_waiting_percent / 100
        waiting = WorkStage("wait", self._waits(remedy), "clock")
        if not price.needs:
            first, then = (WorkStage("work", h, "work", BAY) for h in (before, in_bay - before))
            return (first, waiting, then)
        rests_after = remedy.before_waiting_percent == 100 or remedy.reprint == "yes"
        taken_off = WorkStage("take off and make ready", before, "work", BAY)
        laying = in_bay if rests_after else in_bay - before
        chained = self.printed(remedy, places)
        chain = self._print_chain(price.needs) if chained else ()
        return (
            *(() if rests_after else (taken_off, waiting)),
            WorkStage("film comes in", film.order_days, "days"),
            *chain,
            WorkStage("warm up", self.shop.material.warm_up_hours, "clock"),
            WorkStage("lay", laying, "work", BAY),
            WorkStage("post-heat", work.post_heat_hours_piece * len(price.needs), "work", BAY),
            *((waiting,) if rests_after else ()),
        )

    def _bay_hours(self, remedy: Remedy, hours: float, needs: Sequence[FilmNeed]) -> float:
        """Work in the bay: the hours of a reprint hold those at the machines as well."""
        if remedy.reprint != "yes":
            return hours
        least = self.base.scales.acting.least_laying_hours
        return max(least, hours - self._machine_hours(needs))

    @staticmethod
    def _waits(remedy: Remedy) -> float:
        """Hours of rest in or after the bay: a reprint's are those of drying the print."""
        return 0.0 if remedy.reprint == "yes" else remedy.waits_hours

    def _print_chain(self, needs: Sequence[FilmNeed]) -> tuple[WorkStage, ...]:
        its = self.shop.printing
        area, metres = sum(n.bought_m2 for n in needs), sum(n.metres for n in needs)
        return (
            WorkStage("print", its.setup_hours + area / its.m2_per_hour, "work", PRINTER),
            WorkStage("degas", its.degas_hours, "clock"),
            WorkStage("laminate", self._laminate_hours(metres), "work", LAMINATOR),
            WorkStage("settle", its.settle_hours, "clock"),
            WorkStage("cut", its.cut_hours_piece * len(needs), "work"),
            WorkStage("ship", its.shipping_days, "days"),
        )

    def _laminate_hours(self, metres: float) -> float:
        its = self.shop.printing
        return its.laminate_setup_hours + metres / its.laminate_m_per_hour

    def _film(self, places: Sequence[WorkPlace]) -> Film:
        return self.shop.film(places[0].values)

    def _pieces(self, remedy: Remedy, places: Sequence[WorkPlace]) -> tuple[Size, ...]:
        """The pieces that a remedy lays; none for a strip or without film."""
        sizes = self._sizes(places)
        if remedy.film == "piece":
            return tuple(sizes)
        if remedy.film == "set":
            more = self.shop.work.neighbours if len(sizes) == 1 else 0
            return (*sizes, *sizes[:1] * more)
        return ()

    def _needs(
        self, remedy: Remedy, places: Sequence[WorkPlace], pieces: Sequence[Size]
    ) -> tuple[FilmNeed, ...]:
        """Film by piece, or for the whole vehicle."""
        film = self._film(places)
        all_of_it = pieces and any(place.panel == WHOLE and not place.size for place in places)
        if remedy.film == "vehicle" or all_of_it:
            return (whole_need(self.shop, film, self.vehicle.film_m2),)
        return tuple(film_need(self.shop, film, size) for size in pieces)

    def _sizes(self, places: Sequence[WorkPlace]) -> list[Size]:
        """The pieces that lie at these places; a whole vehicle is cut into middling ones."""
        found: list[Size] = []
        for place in one_each_panel(places):
            whole = place.panel == WHOLE and not place.size
            found += self._whole() if whole else [place.size or UNKNOWN_SIZE]
        return found

    def _whole(self) -> list[Size]:
        area = self.vehicle.film_m2
        count = max(1, round(area / self._middling))
        return [(math.sqrt(area / count),) * 2] * count

    @property
    def _middling(self) -> float:
        return (self.shop.work.small_piece_m2 + self.shop.work.large_piece_m2) / 2

    def _hours(
        self, remedy: Remedy, places: Sequence[WorkPlace], pieces: Sequence[Size]
    ) -> tuple[float, float, float]:
        low, high = remedy.hours.low, remedy.hours.high
        work, beyond = self.shop.work, self.base.scales.acting.beyond_size_percent / 100
        if remedy.film == "set":
            count = sum(map(_area, pieces)) / self._middling
            return _between(low, high, count, (work.pieces_low, work.pieces_high), beyond)
        if remedy.hours.per == "piece" and (remedy.film == "piece" or remedy.kind == "removal"):
            ends = (work.small_piece_m2, work.large_piece_m2)
            areas = map(_area, self._sizes(places))
            return _summed([_between(low, high, area, ends, beyond) for area in areas])
        middle = (low + high) / 2
        if remedy.film == "vehicle":
            scaled = middle * self.vehicle.film_m2 / self.shop.vehicle_classes[0].film_m2
            return _about(scaled, low, high, beyond)
        count = self._count(remedy, places)
        return low * count, middle * count, high * count

    def _count(self, remedy: Remedy, places: Sequence[WorkPlace]) -> float:
        """How many of what the hours are counted by."""
        amounts = self.shop.amounts
        match remedy.hours.per:
            case "metre":
                return sum(self._metres(p) for p in places)
            case "recess":
                return amounts.recess * sum(map(self._pieces_at, places))
            case "bubble":
                return amounts.bubble * sum(map(self._pieces_at, places))
            case "piece":
                return sum(map(self._pieces_at, one_each_panel(places)))
        return 1

    def printed(self, remedy: Remedy, places: Sequence[WorkPlace]) -> bool:
        """Whether a remedy asks for a new print here."""
        if remedy.reprint == "yes":
            return True
        role = self.base.role("printed")
        is_print = any(place.values.get(role) == FOUND for place in places)
        return remedy.reprint == "if_printed" and is_print

    def _metres(self, place: WorkPlace) -> float:
        """Edge to work on in metres: as measured, else what is usual at such a place."""
        length = place.values.get(self.base.role("edge_length"))
        if isinstance(length, Quantity):
            return max(0.1, length.middle / 1000)
        return self._edge(place) * self._pieces_at(place)

    def _edge(self, place: WorkPlace) -> float:
        """Metres taken for an edge that nobody measured: none is longer than its piece."""
        usual = self.shop.amounts.metre
        return min(usual, max(place.size)) if place.size else usual

    def _pieces_at(self, place: WorkPlace) -> int:
        return len(self._sizes([place]))

    def _film_price(
        self, remedy: Remedy, places: Sequence[WorkPlace], needs: Sequence[FilmNeed]
    ) -> float:
        film = self._film(places)
        area = sum(need.bought_m2 for need in needs)
        if remedy.film == "strip":
            area = self.shop.material.strip_m2 * len(places)
        return area * film.price_m2

    def _printing(self, remedy: Remedy, needs: Sequence[FilmNeed]) -> float:
        """Ink, laminate, shipping, and the work at the machines."""
        its = self.shop.printing
        area, metres = sum(n.bought_m2 for n in needs), sum(n.metres for n in needs)
        laminate = metres * its.laminate_roll_m * its.laminate_m2
        work = 0.0 if remedy.reprint == "yes" else self._machine_hours(needs)
        return work * self.shop.labour.rate + area * its.ink_m2 + laminate + its.shipping

    def _machine_hours(self, needs: Sequence[FilmNeed]) -> float:
        """Work at printer, laminator and cutter; a remedy that is a reprint counts it already."""
        its = self.shop.printing
        area, metres = sum(n.bought_m2 for n in needs), sum(n.metres for n in needs)
        printing = its.setup_hours + area / its.m2_per_hour
        return printing + self._laminate_hours(metres) + its.cut_hours_piece * len(needs)

    def _standing(self, remedy: Remedy, hours: float) -> float:
        """The days on which the car stands in the shop, begun days in parts."""
        its = self.shop.standing
        waits = self._waits(remedy)
        in_bay = waits if waits <= its.longest_hours else 0.0
        days = hours / self.shop.work.people / day_hours(self.shop) + in_bay / 24
        return days * its.per_day

    def _looking(self, remedy: Remedy) -> float:
        looks = remedy.look_again_hours > 0
        return self.shop.work.look_again_hours * self.shop.labour.rate if looks else 0.0

    def _assumed(self, remedy: Remedy, places: Sequence[WorkPlace]) -> tuple[str, ...]:
        found = []
        if remedy.film in ("piece", "set") or remedy.kind == "removal":
            for place in places:
                if place.size is None and place.panel == WHOLE:
                    found.append(
                        f"the whole vehicle: {self.vehicle.film_m2:g} m² in middling pieces"
                    )
                elif place.size is None:
                    found.append("the size of the piece is not known: 1 × 1 m taken")
        if remedy.film == "set" and len(one_each_panel(places)) == 1:
            found.append(
                f"{self.shop.work.neighbours} sound neighbour of the same size goes with it"
            )
        if remedy.hours.per == "metre":
            for place in places:
                if self.base.role("edge_length") not in place.values:
                    each = " a piece" if place.panel == WHOLE else ""
                    found.append(f"length not measured: {self._edge(place):.2g} m{each} taken")
        return tuple(dict.fromkeys(found))


def _area(size: Size) -> float:
    return size[0] * size[1]


def _between(
    low: float, high: float, at: float, ends: tuple[float, float], beyond: float
) -> tuple[float, float, float]:
    """Hours from low to high as `at` goes from one end to the other, and on in line beyond it."""
    share = max(0.0, (at - ends[0]) / (ends[1] - ends[0]))
    return _about(low + share * (high - low), low, high, beyond)


def _about(likely: float, low: float, high: float, beyond: float) -> tuple[float, float, float]:
    """The hours of a job of known size with what the size leaves open of the span low to high.

    `beyond`: the share of the spread that the size does not explain, 0 to 1.
    """
    factor: float = (high / low) ** (beyond / 2) if low > 0 else 1.0
    return likely / factor, likely, likely * factor


def _summed(each: Sequence[tuple[float, float, float]]) -> tuple[float, float, float]:
    lows, likely, highs = zip(*each, strict=True)
    return sum(lows), sum(likely), sum(highs)


def one_each_panel(places: Sequence[WorkPlace]) -> list[WorkPlace]:
    """One complaint of each panel: a panel takes one piece, however many complaints it has."""
    found: Mapping[str, WorkPlace] = {place.panel: place for place in reversed(places)}
    return [place for place in places if found[place.panel] is place]


def day_hours(shop: Shop) -> float:
    """Opening hours of an average open day."""
    spans = [text.partition("-") for text in shop.opening.values()]
    return sum(_clock(end) - _clock(start) for start, _, end in spans) / len(spans)


def _clock(text: str) -> float:
    hour, _, minute = text.partition(":")
    return int(hour) + int(minute) / 60
