"""Drawings for the pages: by name, as files that a browser may keep."""

from __future__ import annotations

from functools import lru_cache

from diagnose.report.drawings import as_text, check_drawing, symptom_drawing


def alternative(name: str) -> str:
    """The sentence in place of the drawing of a symptom or a check; '' where there is none."""
    return as_text(name) or ""


@lru_cache(maxsize=256)
def drawing(name: str) -> bytes | None:
    """The drawing of a symptom or a check as SVG."""
    found = symptom_drawing(name) or check_drawing(name)
    return found.svg.encode() if found else None
