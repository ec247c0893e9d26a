"""The drawing of each symptom, and the sentence in its place."""

from functools import cache

from .drawing import Drawing
from .scene import Scene, compose
from .symptoms_colour import COLOUR
from .symptoms_damage import DAMAGE
from .symptoms_edges import EDGES
from .symptoms_lines import LINES
from .symptoms_raised import RAISED
from .symptoms_removal import REMOVAL
from .symptoms_surface import SURFACE

SYMPTOM_SCENES: dict[str, Scene] = {
    scene.id: scene for scene in (*EDGES, *RAISED, *LINES, *SURFACE, *COLOUR, *DAMAGE, *REMOVAL)
}


@cache
def symptom_drawing(symptom_id: str) -> Drawing | None:
    """Draw a symptom from above and cut through; None for one that has no drawing."""
    scene = SYMPTOM_SCENES.get(symptom_id)
    return compose(scene) if scene else None
