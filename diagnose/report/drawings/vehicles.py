"""The kinds of vehicle that are drawn, and which of them a description means.

No maker's shape: a body that has every panel a complaint can lie on.
"""

import re

from diagnose.report.drawings.outlines.cars import ESTATE, SALOON
from diagnose.report.drawings.outlines.heavy import BUS, LORRY, TRAILER
from diagnose.report.drawings.outlines.pickups import PICK_UP
from diagnose.report.drawings.outlines.row import Row
from diagnose.report.drawings.outlines.vans import CAMPER, VAN

OUTLINES: dict[str, tuple[Row, ...]] = {
    "saloon": SALOON,
    "estate": ESTATE,
    "pick-up": PICK_UP,
    "van": VAN,
    "camper": CAMPER,
    "bus": BUS,
    "lorry": LORRY,
    "trailer": TRAILER,
}
VEHICLES = tuple(OUTLINES)

# The first that is called so: a camper trailer is a trailer, a box van has the body of a lorry.
_CALLED = (
    ("pick-up", r"pick-?up|\bute\b"),
    ("trailer", r"trailer|caravan"),
    ("camper", r"camper|motor-?home"),
    ("bus", r"\bbus\b|\bcoach\b"),
    ("lorry", r"lorry|truck|\bbox\b"),
    ("van", r"\bvan\b|minibus"),
    ("estate", r"estate|\bsuv\b|off-road|hatch|city car|mini|crossover"),
)


def vehicle_class(words: str) -> str:
    """The drawn kind that a description of a vehicle fits best; a saloon where none is said."""
    folded = words.casefold()
    return next((name for name, called in _CALLED if re.search(called, folded)), "saloon")
