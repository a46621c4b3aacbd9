"""Speeds, passes and tools."""

from .finish import (
    ideal_roughness,
)
from .speeds import (
    TableSpeed,
    bar_mass,
    cutting_time,
    gear_speed,
    removal_rate,
    speed_for,
    spindle_speed,
    surface_speed,
    taylor_fit,
    tool_life,
    unbalanced_speed_limit,
)

__all__ = [
    "TableSpeed",
    "bar_mass",
    "cutting_time",
    "gear_speed",
    "ideal_roughness",
    "removal_rate",
    "speed_for",
    "spindle_speed",
    "surface_speed",
    "taylor_fit",
    "tool_life",
    "unbalanced_speed_limit",
]
