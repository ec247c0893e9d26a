"""The report as the command line asks for it."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from itertools import chain

from diagnose.knowledge.base import Base
from diagnose.reasoning.explanation.explain import Reason
from diagnose.reasoning.explanation.reckoned import Measured
from diagnose.report.content.data import Report
from diagnose.report.pages import Audience, Paper, Setting, Units, render
from diagnose.report.pages.photos import Lost, Shown


def made(
    kind: str,
    options: argparse.Namespace,
    report: Report,
    base: Base,
    photos: Sequence[Shown | Lost] = (),
    customer: Sequence[tuple[str, str]] = (),
) -> bytes:
    """The bytes of a report in a format, with only what is its reader's.

    Raises files.CannotWrite where they cannot be made.
    """
    setting = Setting(
        audience=Audience(options.audience),
        paper=Paper(options.paper),
        units=Units(options.units),
        photos=tuple(photos),
        citations=citations(report, base),
        customer=tuple(customer),
        maker=base.role("film_maker"),
    )
    return render(report, kind, setting)


def citations(report: Report, base: Base) -> dict[str, str]:
    """What it takes to find each source that a report cites, in the order of citing."""
    lists = (
        said.source
        for c in report.complaints
        for said in chain[Reason | Measured](c.reasons_for, c.reasons_against, c.measured)
    )
    cited = dict.fromkeys(source for sources in lists for source in sources)
    return {
        name: f"{base.sources[name].citation} ({base.sources[name].reading})"
        for name in cited
        if name in base.sources
    }
