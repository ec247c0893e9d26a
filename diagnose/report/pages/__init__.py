"""The report as pages for whoever reads it, in any format.

The modules, from the ground up: `audience` (what is whose), `units`, `wording`, `figures` and
`photos`, then the pages themselves (`customer`, `technical`, `correction`), `compose` (which of
them, in which order), and `command`, their face on the command line.
"""

from __future__ import annotations

from diagnose.report.content.data import Report
from diagnose.report.formats.blocks import Paper
from diagnose.report.formats.registry import FORMATS
from diagnose.report.pages.audience import Audience
from diagnose.report.pages.compose import document
from diagnose.report.pages.setting import Setting
from diagnose.report.pages.units import Units

__all__ = ["Audience", "Paper", "Setting", "Units", "render"]


def render(report: Report, kind: str, setting: Setting | None = None) -> bytes:
    """A report in a format, by its name, as the bytes of a file.

    Raises files.CannotWrite where it cannot be made.
    """
    setting = setting or Setting()
    made = FORMATS[kind]
    return made.render(document(report, setting, made.pages), setting.paper)
