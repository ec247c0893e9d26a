"""Pick-up with two rows of seats: the nose of the estate, a cab that ends early, an open bed."""

from diagnose.report.drawings.outlines.cars import ESTATE
from diagnose.report.drawings.outlines.row import Row

_FORWARD = ("front_bumper", "bonnet", "front_wing_*", "a_pillar_*", "headlamp_*", "mirror_*")

_SHARED = tuple(
    (view, sides, panel, points)
    for view, sides, panel, points in ESTATE
    if view == "front" or (view in ("side", "top") and panel in (*_FORWARD, "windscreen"))
)
_SIDE: tuple[Row, ...] = (
    ("side", "both", "sill_*", "142,106 264,106 264,117 142,117"),
    ("side", "both", "front_door_*", "142,58 146,54 204,54 204,106 142,106"),
    ("side", "both", "rear_door_*", "204,54 264,54 264,106 204,106"),
    ("side", "both", "rear_quarter_*", "264,56 374,56 376,90 366,90 360,115 264,115"),
    ("side", "both", "roof", "164,22 190,13 240,13 256,20 248,23 176,20"),
    ("side", "both", "front_side_window_*", "146,54 176,20 200,21 200,54"),
    ("side", "both", "b_pillar_*", "200,21 208,21 208,54 200,54"),
    ("side", "both", "rear_side_window_*", "208,21 242,23 248,54 208,54"),
    ("side", "both", "c_pillar_*", "242,23 248,23 256,20 264,54 248,54"),
    ("side", "both", "boot_lid", "374,54 384,54 386,90 376,90"),
    ("side", "both", "rear_lamp_*", "363,60 376,60 378,86 365,86"),
    ("side", "both", "rear_bumper", "366,90 392,90 392,106 380,115 360,115"),
    ("side", "both", "front_door_handle_*", "180,64 198,64 198,71 180,71"),
    ("side", "both", "rear_door_handle_*", "240,64 258,64 258,71 240,71"),
    ("side", "right", "fuel_flap", "274,66 294,66 294,82 274,82"),
    ("side", "both", "wheel_front", "90,112 27"),
    ("side", "both", "wheel_rear", "322,112 27"),
)
_TOP: tuple[Row, ...] = (
    ("top", "mid", "roof", "156,0 162,56 172,59 242,59 250,55 252,0"),
    ("top", "mid", "rear_window", "252,0 250,55 262,62 266,62 266,0"),
    ("top", "both", "front_door_*", "142,72 142,81 204,82 204,69"),
    ("top", "both", "rear_door_*", "204,69 204,82 264,82 264,68"),
    ("top", "both", "front_side_window_*", "142,72 172,59 200,59 200,69"),
    ("top", "both", "b_pillar_*", "200,59 208,59 208,69 200,69"),
    ("top", "both", "rear_side_window_*", "208,59 238,59 246,68 208,69"),
    ("top", "both", "c_pillar_*", "238,59 242,59 250,55 262,62 264,68 246,68"),
    ("top", "both", "rear_quarter_*", "262,62 270,62 270,70 374,70 374,82 264,82 264,68"),
    ("top", "mid", "boot_lid", "374,0 374,82 378,80 382,74 384,0"),
    ("top", "mid", "rear_bumper", "384,0 382,74 378,80 388,78 393,64 394,0"),
    ("top", "mid", "bed", "266,0 266,62 270,62 270,70 374,70 374,0"),
)
_REAR: tuple[Row, ...] = (
    ("rear", "mid", "roof", "0,11 44,12 56,20 0,20"),
    ("rear", "mid", "rear_window", "0,20 54,20 62,50 0,50"),
    ("rear", "both", "c_pillar_*", "54,20 60,22 75,50 62,50"),
    ("rear", "mid", "boot_lid", "0,50 64,50 64,88 0,88"),
    ("rear", "both", "rear_quarter_*", "64,50 80,50 84,60 85,88 64,88"),
    ("rear", "both", "rear_lamp_*", "66,56 82,57 84,80 66,80"),
    ("rear", "mid", "rear_bumper", "0,88 85,88 85,106 76,115 0,115"),
    ("rear", "both", "mirror_*", "72,40 88,38 89,53 76,52"),
    ("rear", "both", "wheel_rear", "56,115 80,115 80,138 56,138"),
)

PICK_UP = _SIDE + _TOP + _REAR + _SHARED
