"""The ways in which a report is saved by hand: for whom, and as what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.knowledge.base import Base
from diagnose.report.content.data import Report
from diagnose.report.formats.registry import FORMATS
from diagnose.report.pages.audience import Audience

if TYPE_CHECKING:
    from diagnose.report.pages import Setting
    from diagnose.report.pages.photos import Lost, Shown


@dataclass(frozen=True, slots=True)
class Kind:
    """A way to save a report: its name, the ending of the file, the format, and for whom."""

    words: str
    ending: str
    format: str
    audience: Audience = Audience.FILE

    def make(self, report: Report, base: Base, photos: Sequence[Shown | Lost] = ()) -> bytes:
        """The bytes of the file; raises CannotWrite."""
        from diagnose.report.pages import render

        return render(report, self.format, self.setting(report, base, photos))

    def setting(self, report: Report, base: Base, photos: Sequence[Shown | Lost]) -> Setting:
        """What its pages are made with."""
        from diagnose.report.pages import Setting
        from diagnose.report.pages.command import citations

        return Setting(
            audience=self.audience,
            photos=tuple(photos),
            citations=citations(report, base),
            maker=base.role("film_maker"),
        )


def kinds() -> tuple[Kind, ...]:
    """The ways that this installation can make: pages for each reader, then everything else."""
    made = [each for each in FORMATS.values() if each.can_be_made()]
    pages = max((each for each in made if each.pages), key=lambda each: each.name == "pdf")
    ending, name = pages.endings[0], pages.name
    return (
        Kind(f"{pages.words} for the customer", f".customer{ending}", name, Audience.CUSTOMER),
        Kind(f"{pages.words} for the file, with everything", ending, name),
        Kind(f"{pages.words} for the film maker", f".maker{ending}", name, Audience.MAKER),
        *(
            Kind(each.words, each.endings[0], each.name)
            for each in sorted(made, key=lambda each: not each.pages)
            if each is not pages
        ),
    )
