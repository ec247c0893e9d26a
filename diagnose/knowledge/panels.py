"""The places of a vehicle: one list for records, rules, drawings and reports."""

from collections.abc import Mapping
from types import MappingProxyType

_BOTH_SIDES = {
    "front_wing": "front wing",
    "front_door": "front door",
    "rear_door": "rear door",
    "sliding_door": "sliding door",
    "rear_quarter": "rear quarter",
    "sill": "sill",
    "rear_door_van": "van's rear door",
    "mirror": "mirror",
    "a_pillar": "A-pillar",
    "side": "side of the body",
    "wheel_arch_front": "front wheel arch",
    "wheel_arch_rear": "rear wheel arch",
    "door_handle_front": "front door handle",
    "door_handle_rear": "rear door handle",
}

PANELS: Mapping[str, str] = MappingProxyType(
    {
        "front_bumper": "Front bumper",
        "bonnet": "Bonnet",
        "roof": "Roof",
        "boot_lid": "Boot lid",
        "tailgate": "Tailgate",
        "rear_bumper": "Rear bumper",
        "fuel_flap": "Fuel flap",
        "glass": "Glass",
        **{
            f"{panel}_{side}": f"{side.capitalize()} {name}"
            for panel, name in _BOTH_SIDES.items()
            for side in ("left", "right")
        },
        "whole_vehicle": "Whole vehicle",
        "other": "Another place",
    }
)
"""Name of each panel by id. Left and right are the driver's, facing forward."""
