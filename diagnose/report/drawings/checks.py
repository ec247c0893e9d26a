"""The drawing of each check in which the movement of the hand matters."""

from functools import cache

from .checks_edges import EDGE_CHECKS
from .checks_film import FILM_CHECKS
from .checks_paint import PAINT_CHECKS
from .checks_pull import PULL_CHECKS
from .drawing import Drawing
from .scene import Scene, compose

CHECK_SCENES: dict[str, Scene] = {
    scene.id: scene for scene in (*PULL_CHECKS, *EDGE_CHECKS, *FILM_CHECKS, *PAINT_CHECKS)
}


@cache
def check_drawing(check_id: str) -> Drawing | None:
    """Draw how a check is done and read; None for one that needs no drawing."""
    scene = CHECK_SCENES.get(check_id)
    return compose(scene) if scene else None
