"""The other words for a place of the vehicle, with its side: fender left, left fender."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.knowledge.model import Wording
from diagnose.knowledge.panels import PANELS, SIDES


def places_called(wording: Wording) -> Mapping[str, tuple[str, ...]]:
    """For each panel the other words for it, as in the shops of another country."""
    found = {panel: words for panel, words in wording.places.items() if panel in PANELS}
    for place, words in wording.places.items():
        for side in SIDES:
            if f"{place}_{side}" in PANELS:
                found[f"{place}_{side}"] = tuple(f"{word} {side}" for word in words)
    return found
