"""Chatter: limits, modes, measuring."""

from .limits import (
    CriticalWidth,
    Lobes,
    critical_width,
    dynamic_force,
    favorable_speed,
    limiting_width,
    lobe_curve,
    quiet_speed,
    stability_lobes,
)
from .modes import (
    Mode,
    receptance,
)

__all__ = [
    "CriticalWidth",
    "Lobes",
    "Mode",
    "critical_width",
    "dynamic_force",
    "favorable_speed",
    "limiting_width",
    "lobe_curve",
    "quiet_speed",
    "receptance",
    "stability_lobes",
]
