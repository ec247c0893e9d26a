"""The car to be touched: each panel of each view is a link."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from html import escape

from markupsafe import Markup

from diagnose.knowledge.panels import PANELS
from diagnose.report.drawings import svg
from diagnose.report.drawings.panels import SIZES, Panel, panels_of, wheels_of

_VIEWS = {
    "left": "Left side, front at left",
    "top": "From above, front at left",
    "right": "Right side, front at right",
    "front": "Front",
    "rear": "Rear",
}
_SMALL = 34.0
"""A panel narrower than this, in drawing units, is widened under the finger."""


@dataclass(frozen=True, slots=True)
class View:
    """One side of the car."""

    name: str
    words: str
    svg: Markup


@lru_cache(maxsize=512)
def car(body: str, marked: str, link: str) -> tuple[View, ...]:
    """All sides of a vehicle; a touch on a panel leads to `link` and the panel's id."""
    return tuple(
        View(name, words, Markup(_drawn(body, name, words, marked, link)))  # noqa: S704 (own SVG)
        for name, words in _VIEWS.items()
    )


def _drawn(body: str, view: str, words: str, marked: str, link: str) -> str:
    width, height = SIZES[view]
    panels = "".join(_panel(panel, marked, link) for panel in panels_of(body, view))
    wheels = "".join(svg.area(w.outline, "#444", width=2) for w in wheels_of(body, view))
    return (
        f'<svg class="view" viewBox="-4 -4 {width + 8:g} {height + 8:g}" role="group"'
        f' aria-label="{escape(words)}">{panels}<g class="wheels">{wheels}</g></svg>'
    )


def _panel(panel: Panel, marked: str, link: str) -> str:
    """A panel as a link; a small one has a broad unseen rim, for fingers are broad."""
    kind = "marked" if panel.id == marked else "glass" if panel.is_glass else "panel"
    data = svg.outline(panel.outline, closed=True)
    rim = f'<path class="rim" d="{data}"/>' if _breadth(panel) < _SMALL else ""
    here = ' aria-current="true"' if panel.id == marked else ""
    return (
        f'<a href="{escape(link)}{panel.id}" aria-label="{escape(PANELS[panel.id])}"{here}>'
        f'<path class="{kind}" d="{data}"/>{rim}</a>'
    )


def _breadth(panel: Panel) -> float:
    """The shorter side of the box round a panel."""
    xs, ys = [x for x, _ in panel.outline], [y for _, y in panel.outline]
    return min(max(xs) - min(xs), max(ys) - min(ys))
