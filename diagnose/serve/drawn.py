"""Drawings for the pages: by name, as files that a browser may keep."""

from __future__ import annotations

from functools import lru_cache

from diagnose.report.drawings import CHECK_SCENES, SYMPTOM_SCENES, as_text
from diagnose.report.drawings.scene import stacked


def alternative(name: str) -> str:
    """The sentence in place of the drawing of a symptom or a check; '' where there is none."""
    return as_text(name) or ""


@lru_cache(maxsize=256)
def drawing(name: str) -> bytes | None:
    """The drawing of a symptom or a check as SVG, its frames one above the other."""
    scene = SYMPTOM_SCENES.get(name) or CHECK_SCENES.get(name)
    return stacked(scene).svg.encode() if scene else None
