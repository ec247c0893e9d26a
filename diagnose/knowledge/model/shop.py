"""A shop's own figures: rates, film, printing, visits, opening hours, sizes of pieces.

The shipped file is an example in round figures and says so; a shop copies it and puts its own in.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date, time
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from diagnose.knowledge.model import Entry, Id, Text, When
from diagnose.knowledge.model.conditions import Values
from diagnose.knowledge.model.words import DayText

Amount = Annotated[float, Field(ge=0, le=1_000_000)]
"""Money, in the shop's currency."""

HoursOf = Annotated[float, Field(ge=0, le=2000)]
Metres = Annotated[float, Field(ge=0.02, le=12)]
RollWidth = Annotated[float, Field(ge=0.3, le=2.2)]
Percent = Annotated[float, Field(ge=0, le=100)]

DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
Day = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]

_SPAN = re.compile(r"([01]\d|2[0-3]):([0-5]\d)-([01]\d|2[0-3]):([0-5]\d)")


def _opening(value: str) -> str:
    if not _SPAN.fullmatch(value) or value[:5] >= value[6:]:
        raise ValueError(f"'{value}' is no opening time: write it as 08:00-17:00")
    return value


def _country(value: str) -> str:
    if not re.fullmatch("[A-Z]{2}|none", value):
        raise ValueError(f"'{value}' is no country: write its two letters, such as DE, or none")
    return value


def _currency(value: str) -> str:
    if not re.fullmatch(r"[^\s\d]{1,5}", value):
        raise ValueError(f"'{value}' is no currency: write a sign or letters, such as EUR")
    return value


Opening = Annotated[str, AfterValidator(_opening)]
Size = Annotated[tuple[Metres, Metres], Field(description="across and along the vehicle, in m")]


class Labour(Entry):
    """What an hour of work costs."""

    rate: Amount
    of_others: dict[Id, Amount] = Field(
        default_factory=dict, description="rate for remedies that another firm does, by remedy"
    )


class Film(Entry):
    """A film as it is bought, and for which jobs it stands."""

    id: Id
    name: Text
    when: When | None = Field(default=None, description="used where this holds; the last has none")
    price_m2: Amount
    roll_m: RollWidth
    keeps_direction: bool = Field(
        default=False, description="a piece may not be turned to save film"
    )
    order_days: Annotated[int, Field(ge=0, le=60)] = Field(
        default=0, description="working days until it is here; 0 if it lies in the shop"
    )


class Material(Entry):
    """How film is cut from the roll."""

    bleed_m: Annotated[float, Field(ge=0, le=0.3)]
    overlap_m: Annotated[float, Field(ge=0, le=0.1)]
    waste_percent: Percent
    strip_m2: Annotated[float, Field(gt=0, le=5)] = Field(description="film of an inlay or a patch")
    warm_up_hours: HoursOf = Field(description="film and car in the warm bay before laying")


class Printing(Entry):
    """Print and laminate, as the chain that it is."""

    setup_hours: HoursOf
    m2_per_hour: Annotated[float, Field(gt=0, le=500)]
    ink_m2: Amount
    degas_hours: HoursOf = Field(description="hung or loose, until solvent has left the print")
    laminate_m2: Amount
    laminate_roll_m: RollWidth
    laminate_setup_hours: HoursOf
    laminate_m_per_hour: Annotated[float, Field(gt=0, le=1000)]
    settle_hours: HoursOf = Field(description="from laminate to cutting")
    cut_hours_piece: HoursOf
    shipping_days: Annotated[int, Field(ge=0, le=60)] = Field(
        description="working days from the printer to the bay; 0 under one roof"
    )
    shipping: Amount


class Visit(Entry):
    """What it costs when a repair did not hold and the car comes in again."""

    hours: HoursOf
    travel: Amount
    goodwill: Amount = Field(description="a courtesy car, a wash, the owner's trouble")
    most_tries: Annotated[int, Field(ge=0, le=10)] = Field(
        default=2,
        description="tries in place, each judged at another visit, before the piece is laid anew",
    )


class DaysInShop(Entry):
    """What a day costs on which the car stands in the shop."""

    per_day: Amount
    longest_hours: HoursOf = Field(
        description="a wait up to this is spent in the bay; a longer one on the road"
    )


class Further(Entry):
    """What it costs to stop and look further before the piece is laid anew."""

    hours: HoursOf
    laboratory: Amount


class WorkFigures(Entry):
    """How long the work around a remedy takes."""

    post_heat_hours_piece: HoursOf
    look_again_hours: HoursOf = Field(description="the time that each check afterwards takes")
    people: Annotated[int, Field(ge=1, le=10)]
    neighbours: Annotated[int, Field(ge=0, le=10)] = Field(
        description="sound pieces that go with one whose colour would show"
    )
    small_piece_m2: Annotated[float, Field(ge=0, le=50)] = Field(
        description="a piece of this area takes the low end of its hours"
    )
    large_piece_m2: Annotated[float, Field(gt=0, le=50)] = Field(
        description="a piece of this area takes the high end; a larger one goes on in line"
    )
    pieces_low: Annotated[int, Field(ge=1)] = Field(
        description="a set of this many middling pieces takes the low end of its hours"
    )
    pieces_high: Annotated[int, Field(ge=2)] = Field(
        description="a set of this many takes the high end; more goes on in line"
    )


class Amounts(Entry):
    """How much there is of what a remedy is counted by, where nobody measured it."""

    metre: Annotated[float, Field(gt=0)]
    recess: Annotated[float, Field(gt=0)]
    bubble: Annotated[float, Field(gt=0)]


class Holidays(Entry):
    """Days on which the shop is closed besides its weekly ones."""

    country: Annotated[str, AfterValidator(_country)] = "none"
    region: Text | None = Field(default=None, description="a part of the country, by its code")
    closed: tuple[DayText, ...] = ()
    open_all_the_same: tuple[DayText, ...] = ()


class VehicleClass(Entry):
    """Sizes of one kind of vehicle."""

    id: Id
    name: Text
    called: tuple[Text, ...] = Field(default=(), description="words for it in a case's 'vehicle'")
    scale: Annotated[float, Field(gt=0.2, lt=5)] = Field(
        description="on both sides of the sizes under `pieces`"
    )
    film_m2: Annotated[float, Field(gt=0, le=300)] = Field(description="net area of a whole wrap")
    pieces: dict[str, Size] = Field(
        default_factory=dict, description="pieces that are not just larger or smaller"
    )


class Shop(Entry):
    """All of a shop's figures."""

    name: Text
    address: Text | None = Field(default=None, description="as it stands above a letter")
    contact: Text | None = Field(default=None, description="telephone or mail, as for a letter")
    example: bool = Field(description="true: figures for trying out, nobody's own")
    note: Text | None = None
    currency: Annotated[str, AfterValidator(_currency)]
    labour: Labour
    films: Annotated[tuple[Film, ...], Field(min_length=1)]
    material: Material
    printing: Printing
    visit: Visit
    standing: DaysInShop
    look_further: Further
    work: WorkFigures
    amounts: Amounts
    opening: dict[Day, Opening] = Field(min_length=1)
    holidays: Holidays
    vehicle_classes: Annotated[tuple[VehicleClass, ...], Field(min_length=1)]
    pieces: dict[str, Size] = Field(min_length=1, description="across and along, by panel, in m")

    def film(self, values: Values) -> Film:
        """The first film whose condition holds, else the last, which has none."""
        fitting = [f for f in self.films if f.when and f.when.holds(values)]
        return fitting[0] if fitting else self.films[-1]

    def vehicle_class(self, words: str) -> VehicleClass:
        """The class that a description of a vehicle names, else the first one."""
        folded = words.casefold()
        named = [
            (len(word), kind)
            for kind in self.vehicle_classes
            for word in (kind.id.replace("_", " "), kind.name, *kind.called)
            if word.casefold() in folded
        ]
        return max(named, key=lambda pair: pair[0])[1] if named else self.vehicle_classes[0]

    def piece(self, panel: str, kind: VehicleClass) -> Size | None:
        """Size of a piece on a panel, across and along in m; None for a place without one."""
        name = re.sub(r"_(left|right)$", "", panel)
        if name in kind.pieces:
            return kind.pieces[name]
        if name not in self.pieces:
            return None
        across, along = self.pieces[name]
        return across * kind.scale, along * kind.scale

    def opens(self, day: date) -> tuple[time, time] | None:
        """Opening and closing time by the week, or None on a day that is closed each week."""
        text = self.opening.get(DAYS[day.weekday()])  # type: ignore[call-overload]
        if text is None:
            return None
        start, _, end = text.partition("-")
        return time.fromisoformat(start), time.fromisoformat(end)


def closed_days(shop: Shop, years: Sequence[int]) -> frozenset[date]:
    """Days of these years on which the shop is closed besides its weekly ones."""
    given = shop.holidays
    public = public_holidays(given, years) if given.country != "none" else {}
    closed = {*public, *(date.fromisoformat(d) for d in given.closed)}
    return frozenset(closed - {date.fromisoformat(d) for d in given.open_all_the_same})


def knows_holidays(given: Holidays) -> bool:
    """Whether the public holidays of this country, and of its region, are known."""
    import holidays

    known = holidays.list_supported_countries()
    return given.country in known and given.region in (None, *known[given.country])


def public_holidays(given: Holidays, years: Sequence[int]) -> Mapping[date, str]:
    """Public holidays of a country that is known, by the holidays library.

    The library is large and loaded only where a country is named.
    """
    import holidays

    found: Mapping[date, str] = holidays.country_holidays(
        given.country, subdiv=given.region, years=list(years)
    )
    return dict(found)
