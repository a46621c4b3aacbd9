"""Chatter: limits, modes, measuring."""

from .limits import (
    CriticalWidth,
    Lobes,
    compare_tools,
    critical_width,
    dynamic_force,
    limiting_width,
    lobe_curve,
    quiet_speed,
    stability_lobes,
)
from .modes import Mode, work_modes

__all__ = [
    "CriticalWidth",
    "Lobes",
    "Mode",
    "compare_tools",
    "critical_width",
    "dynamic_force",
    "limiting_width",
    "lobe_curve",
    "quiet_speed",
    "stability_lobes",
    "work_modes",
]
