"""Speeds, passes and tools."""

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
    "TableSpeed",
    "cutting_time",
    "feed_for_roughness",
    "gear_speed",
    "ideal_roughness",
    "removal_rate",
    "speed_for",
    "spindle_speed",
    "surface_speed",
    "taylor_fit",
    "tool_life",
    "unbalance_pull",
    "unbalanced_speed_limit",
    "wide_tool_roughness",
]
