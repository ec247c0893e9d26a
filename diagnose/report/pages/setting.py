"""What pages are made with, beside the report."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.report.formats.blocks import Paper
from diagnose.report.pages.audience import Audience
from diagnose.report.pages.photos import Lost, Shown
from diagnose.report.pages.units import Units


@dataclass(frozen=True, slots=True)
class Setting:
    """Who reads, on which paper, in which units, with which pictures.

    `citations`: the sources in full by id, listed at the end; `customer`: name and plate, shown on
    the pages for the customer and for the file; `maker`: the payer that the film's maker is, for
    whom pages for the maker are cut.
    """

    audience: Audience = Audience.FILE
    paper: Paper = Paper.A4
    units: Units = Units.METRIC
    drawings: bool = True
    photos: tuple[Shown | Lost, ...] = ()
    citations: Mapping[str, str] = field(default_factory=dict)
    customer: tuple[tuple[str, str], ...] = ()
    maker: str = ""

    @property
    def page_one(self) -> bool:
        """Whether the page in plain words comes first."""
        return self.audience is not Audience.MAKER

    @property
    def prices(self) -> bool:
        """Whether money and dates of the shop are shown."""
        return self.audience is not Audience.MAKER
