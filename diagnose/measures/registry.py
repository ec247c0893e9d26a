"""All measures by id."""

from collections.abc import Mapping
from types import MappingProxyType

from diagnose.measures.model import Measure
from diagnose.measures.subjects import (
    adhesion,
    air,
    bumps,
    film,
    gloss,
    heat,
    life,
    limits,
    pockets,
    printing,
    recess,
    shop,
    shrink,
    thermal,
)

__all__ = ["MEASURES"]

_ALL = (
    *air.MEASURES,
    *film.MEASURES,
    *limits.MEASURES,
    *recess.MEASURES,
    *shrink.MEASURES,
    *thermal.MEASURES,
    *heat.MEASURES,
    *gloss.MEASURES,
    *adhesion.MEASURES,
    *bumps.MEASURES,
    *printing.MEASURES,
    *pockets.MEASURES,
    *life.MEASURES,
    *shop.MEASURES,
)

MEASURES: Mapping[str, Measure] = MappingProxyType({measure.id: measure for measure in _ALL})
