"""A report in lines, as a terminal shows it, at any width."""

from __future__ import annotations

from diagnose.report.content.data import Report
from diagnose.report.formats.plain import words
from diagnose.report.lines.case import document
from diagnose.report.style import WIDTH, Style


def text(report: Report, width: int = WIDTH) -> str:
    """The report as plain text; width 0 leaves lines unbroken."""
    return words(document(report), Style(False, width))


def markdown(report: Report) -> str:
    """The report as Markdown."""
    return words(document(report), Style(True, 0))
