"""The blank: bar, layout, center holes, locked-in stress."""

from .bar import SHAPES, Bar, pin_places, smallest_bar, stock_bar, web_corners
from .center_holes import center_hole, hole_room, hole_with_room, throw_plate
from .layout import (
    center_layout,
    handwheel_lead,
    handwheel_moves,
    pin_axis,
    swing_check,
    turning_balance,
)
from .locked_in_stress import bow, bow_with_scatter, release, stress_profile, surface_stress

__all__ = [
    "SHAPES",
    "Bar",
    "bow",
    "bow_with_scatter",
    "center_hole",
    "center_layout",
    "handwheel_lead",
    "handwheel_moves",
    "hole_room",
    "hole_with_room",
    "pin_axis",
    "pin_places",
    "release",
    "smallest_bar",
    "stock_bar",
    "stress_profile",
    "surface_stress",
    "swing_check",
    "throw_plate",
    "turning_balance",
    "web_corners",
]
