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
from .turning import (
    Remedy,
    TurningLimit,
    machine_modes,
    machine_setup,
    turning_limit,
)

__all__ = [
    "CriticalWidth",
    "Lobes",
    "Mode",
    "Remedy",
    "TurningLimit",
    "compare_tools",
    "critical_width",
    "dynamic_force",
    "limiting_width",
    "lobe_curve",
    "machine_modes",
    "machine_setup",
    "quiet_speed",
    "stability_lobes",
    "turning_limit",
    "work_modes",
]
