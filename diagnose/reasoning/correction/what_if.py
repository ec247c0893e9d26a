"""What if: another figure of the shop, a remedy that has failed, a cause that is known.

Written as it is asked: `labour_rate=80`, `printing.degas_hours=24`, `failed=edge_seal` (of one
complaint: `failed=2:edge_seal`), `cause=pulled_to_edge`; several joined by commas count together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pydantic import ValidationError

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Entry
from diagnose.knowledge.model.shop import Shop
from diagnose.near import near
from diagnose.reasoning.correction.plan import CarPlan, plan_car
from diagnose.reasoning.correction.pricing import Pricer, WorkPlace
from diagnose.reasoning.correction.situation import CannotSuppose, Situation, situations
from diagnose.reasoning.diagnosis import CarDiagnosis

SHORT = {"labour_rate": "labour.rate"}
"""Short names of figures."""


@dataclass(frozen=True, slots=True)
class Supposition:
    """What is supposed: figures of the shop, remedies that failed, a cause."""

    words: str
    figures: tuple[tuple[str, float], ...] = ()
    failed: tuple[tuple[int | None, str], ...] = ()
    cause: str | None = None


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A plan under a supposition, with the prices that it was reckoned with."""

    supposition: Supposition
    pricer: Pricer
    stand: tuple[Situation, ...]
    plan: CarPlan


def parse(text: str, base: Base, shop: Shop) -> Supposition:
    """Read a supposition; raises CannotSuppose with what could be written instead."""
    found = Supposition(text.strip())
    for part in text.split(","):
        name, equals, value = (piece.strip() for piece in part.partition("="))
        if not equals or not name or not value:
            raise CannotSuppose(
                f"'{part.strip()}' supposes nothing: write labour_rate=80, failed=REMEDY or"
                " cause=CAUSE"
            )
        found = _with(found, name, value, base, shop)
    return found


def _with(found: Supposition, name: str, value: str, base: Base, shop: Shop) -> Supposition:
    if name == "cause":
        _known(value, set(base.causes), "cause")
        return replace(found, cause=value)
    if name == "failed":
        number, colon, remedy = value.rpartition(":")
        if colon and not number.isdecimal():
            raise CannotSuppose(f"'{number}' is no number of a complaint: write failed=2:{remedy}")
        _known(remedy, set(base.remedies), "remedy")
        return replace(found, failed=(*found.failed, (int(number) if colon else None, remedy)))
    figure = (SHORT.get(name, name), _number(value))
    with_figure(shop, *figure)
    return replace(found, figures=(*found.figures, figure))


def _known(word: str, known: set[str], kind: str) -> None:
    if word not in known:
        raise CannotSuppose(f"there is no {kind} '{word}'{near(word, known)}")


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not 0 <= value < 1e9:
        raise CannotSuppose(f"'{text}' is no figure: write a number such as 80 or 0.5")
    return value


def with_figure(shop: Shop, path: str, value: float) -> Shop:
    """The shop with one figure changed, such as `labour.rate`; raises CannotSuppose."""
    section, _, key = path.partition(".")
    part = getattr(shop, section, None)
    figures = sorted(_figures(shop))
    if not isinstance(part, Entry) or f"{section}.{key}" not in figures:
        known = set(figures) | set(SHORT)
        raise CannotSuppose(f"the shop has no figure '{path}'{near(path, known)}")
    whole = isinstance(getattr(part, key), int)
    given = int(value) if whole and float(value).is_integer() else value
    try:
        changed = type(part).model_validate({**dict(part), key: given})
    except ValidationError as error:
        said = error.errors(include_url=False)[0]["msg"]
        raise CannotSuppose(f"{path}={value:g} cannot be: {said[0].lower()}{said[1:]}") from None
    return shop.model_copy(update={section: changed})


def _figures(shop: Shop) -> list[str]:
    return [
        f"{section}.{key}"
        for section, part in shop
        if isinstance(part, Entry)
        for key, value in part
        if isinstance(value, int | float) and not isinstance(value, bool)
    ]


def what_if(
    pricer: Pricer, car: CarDiagnosis, places: Sequence[WorkPlace], supposed: Supposition
) -> WhatIf:
    """The plan under a supposition; raises CannotSuppose where it does not fit the case."""
    shop = pricer.shop
    for path, value in supposed.figures:
        shop = with_figure(shop, path, value)
    stand = situations(pricer.base, car, places, supposed.failed, supposed.cause)
    changed = Pricer(pricer.base, shop, pricer.vehicle)
    return WhatIf(supposed, changed, stand, plan_car(changed, stand))
