"""The drawing of each symptom, and the sentence in its place."""

from functools import cache

from diagnose.report.drawings.drawing import Drawing
from diagnose.report.drawings.scene import Scene, compose
from diagnose.report.drawings.symptoms.colour import COLOUR
from diagnose.report.drawings.symptoms.damage import DAMAGE
from diagnose.report.drawings.symptoms.edges import EDGES
from diagnose.report.drawings.symptoms.lines import LINES
from diagnose.report.drawings.symptoms.raised import RAISED
from diagnose.report.drawings.symptoms.removal import REMOVAL
from diagnose.report.drawings.symptoms.surface import SURFACE

SYMPTOM_SCENES: dict[str, Scene] = {
    scene.id: scene for scene in (*EDGES, *RAISED, *LINES, *SURFACE, *COLOUR, *DAMAGE, *REMOVAL)
}


@cache
def symptom_drawing(symptom_id: str) -> Drawing | None:
    """Draw a symptom from above and cut through; None for one that has no drawing."""
    scene = SYMPTOM_SCENES.get(symptom_id)
    return compose(scene) if scene else None
