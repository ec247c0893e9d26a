"""The drawing of each check in which the movement of the hand matters."""

from functools import cache

from diagnose.report.drawings.checks.edges import EDGE_CHECKS
from diagnose.report.drawings.checks.film import FILM_CHECKS
from diagnose.report.drawings.checks.paint import PAINT_CHECKS
from diagnose.report.drawings.checks.pull import PULL_CHECKS
from diagnose.report.drawings.drawing import Drawing
from diagnose.report.drawings.scene import Scene, compose

CHECK_SCENES: dict[str, Scene] = {
    scene.id: scene for scene in (*PULL_CHECKS, *EDGE_CHECKS, *FILM_CHECKS, *PAINT_CHECKS)
}


@cache
def check_drawing(check_id: str) -> Drawing | None:
    """Draw how a check is done and read; None for one that needs no drawing."""
    scene = CHECK_SCENES.get(check_id)
    return compose(scene) if scene else None
