"""A document as Markdown."""

from __future__ import annotations

from diagnose.report.formats.blocks import Document, Paper
from diagnose.report.formats.plain import words
from diagnose.report.style import Style


def render(document: Document, paper: Paper) -> bytes:
    """The document as UTF-8 bytes; paper has no say in lines."""
    return words(document, Style(True, 0)).encode()
