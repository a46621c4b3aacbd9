"""Speeds, passes and tools."""

from .inserts import Insert, usual_inserts
from .shifts import Shift, finishing_step, shift_table
from .speeds import (
    TableSpeed,
    cutting_time,
    feed_for_roughness,
    gear_speed,
    ideal_roughness,
    removal_rate,
    speed_for,
    spindle_speed,
    surface_speed,
    taylor_fit,
    tool_life,
    unbalance_pull,
    unbalanced_speed_limit,
    wide_tool_roughness,
)

__all__ = [
    "Insert",
    "Shift",
    "TableSpeed",
    "cutting_time",
    "feed_for_roughness",
    "finishing_step",
    "gear_speed",
    "ideal_roughness",
    "removal_rate",
    "shift_table",
    "speed_for",
    "spindle_speed",
    "surface_speed",
    "taylor_fit",
    "tool_life",
    "unbalance_pull",
    "unbalanced_speed_limit",
    "usual_inserts",
    "wide_tool_roughness",
]
