"""The report as pages: one HTML file, a PDF, or plain lines, for whoever reads it.

The modules, from the ground up: `blocks` (what pages are made of), `audience` (what is whose),
`units`, `wording`, `figures` and `photos`, then the pages themselves (`customer`, `technical`,
`correction`), `compose` (which of them, in which order), and the formats `html`, `pdf` and
`plain`. `files` names and writes what was made; `command` is its face on the command line.
"""

from __future__ import annotations

from typing import Literal

from diagnose.report.content.data import Report
from diagnose.report.pages.audience import Audience
from diagnose.report.pages.compose import document
from diagnose.report.pages.setting import Paper, Setting
from diagnose.report.pages.units import Units
from diagnose.report.style import WIDTH, Style

__all__ = ["Audience", "Format", "Paper", "Setting", "Units", "render"]

Format = Literal["html", "pdf", "text", "markdown"]


def render(report: Report, kind: Format, setting: Setting | None = None) -> bytes:
    """The pages of a report as the bytes of a file.

    Raises pdf.CannotPrint where a PDF cannot be made.
    """
    setting = setting or Setting()
    pages = document(report, setting)
    if kind in ("text", "markdown"):
        from diagnose.report.pages.plain import plain

        return plain(pages, Style(True, 0) if kind == "markdown" else Style(False, WIDTH))
    if kind == "html":
        from diagnose.report.pages.html import html

        return html(pages, setting.paper)
    from diagnose.report.pages.pdf import pdf

    return pdf(pages, setting.paper)
