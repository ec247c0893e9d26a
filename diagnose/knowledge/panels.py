"""The places of a vehicle: one list for records, rules, drawings and reports."""

from collections.abc import Mapping
from types import MappingProxyType

SIDES = ("left", "right")

_ONE = {
    "front_bumper": "Front bumper",
    "bonnet": "Bonnet",
    "roof": "Roof",
    "front_wall": "Front wall",
    "boot_lid": "Boot lid or tailgate",
    "tailgate": "Tailgate",
    "rear_bumper": "Rear bumper",
    "fuel_flap": "Fuel or charging flap",
    "windscreen": "Windscreen",
    "rear_window": "Rear window",
    "glass": "Glass",
}
_ON_BOTH_SIDES = {
    "front_wing": "Front wing",
    "front_door": "Front door",
    "rear_door": "Rear door",
    "sliding_door": "Sliding door",
    "rear_door_van": "Rear door of the van",
    "side": "Side of the body",
    "rear_quarter": "Rear quarter",
    "sill": "Sill",
    "mirror": "Mirror",
    "a_pillar": "A-pillar",
    "b_pillar": "B-pillar",
    "c_pillar": "C-pillar",
    "d_pillar": "D-pillar",
    "wheel_arch_front": "Front wheel arch",
    "wheel_arch_rear": "Rear wheel arch",
    "front_door_handle": "Front door handle",
    "rear_door_handle": "Rear door handle",
    "front_side_window": "Front side window",
    "rear_side_window": "Rear side window",
    "quarter_window": "Quarter window",
    "rear_window": "Rear window",
    "headlamp": "Headlamp",
    "rear_lamp": "Rear lamp",
}

PANELS: Mapping[str, str] = MappingProxyType(
    {
        **_ONE,
        **{
            f"{panel}_{side}": f"{name}, {side}"
            for panel, name in _ON_BOTH_SIDES.items()
            for side in SIDES
        },
        "whole_vehicle": "Whole vehicle",
        "other": "Another place",
    }
)
"""Name of each panel by id. Left and right are the driver's, facing forward."""


def sideless(panel: str) -> str:
    """A panel without its side: both front doors are 'front_door'."""
    return panel.removesuffix("_left").removesuffix("_right")
