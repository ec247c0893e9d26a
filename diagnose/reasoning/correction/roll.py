"""Film for a piece from a roll: bleed, drops, direction and waste."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.knowledge.model.shop import Film, Shop
from diagnose.measures.subjects.shop import film_usage_m

Size = tuple[float, float]
"""Across and along the vehicle, net, in m."""


@dataclass(frozen=True, slots=True)
class FilmNeed:
    """Film for a piece: what is cut from which roll, and how much of it is waste.

    `whole`: for a whole vehicle, a length of the roll of the same area.
    """

    film: str
    size: Size
    roll_m: float
    metres: float
    turned: bool
    whole: bool = False

    @property
    def net_m2(self) -> float:
        """Area of the piece itself."""
        return self.size[0] * self.size[1]

    @property
    def bought_m2(self) -> float:
        """Area taken off the roll."""
        return self.metres * self.roll_m

    @property
    def waste_percent(self) -> float:
        """Share of the film taken that does not stay on the car."""
        return 100 * (1 - self.net_m2 / self.bought_m2)


def film_need(shop: Shop, film: Film, size: Size) -> FilmNeed:
    """Film for a piece; turned on the roll where that saves film and the film allows it."""
    across, along = size
    straight = _metres_of(shop, film, across, along)
    turned = straight if film.keeps_direction else _metres_of(shop, film, along, across)
    saves = turned < straight - 1e-9
    return FilmNeed(film.name, size, film.roll_m, turned if saves else straight, saves)


def whole_need(shop: Shop, film: Film, area_m2: float) -> FilmNeed:
    """Film for a whole vehicle of a net area, with the shop's share of waste."""
    length = area_m2 / film.roll_m
    metres = length * (1 + shop.material.waste_percent / 100)
    return FilmNeed(film.name, (film.roll_m, length), film.roll_m, metres, turned=False, whole=True)


def _metres_of(shop: Shop, film: Film, across: float, along: float) -> float:
    its = shop.material
    return film_usage_m(across, along, film.roll_m, its.bleed_m, its.overlap_m, its.waste_percent)
