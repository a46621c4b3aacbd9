"""Cutting force and power."""

from .drive import drive_torque, largest_force, power_at_edge, torque_at_spindle
from .edge import EdgeInCut, TurningForces, deepest_cut, edge_in_cut, turning_forces
from .hardness import hardness_factor
from .kienzle import (
    Components,
    chip_section,
    cutting_force,
    cutting_power,
    force_components,
    specific_cutting_force,
    thin_chip_force,
)

__all__ = [
    "Components",
    "EdgeInCut",
    "TurningForces",
    "chip_section",
    "cutting_force",
    "cutting_power",
    "deepest_cut",
    "drive_torque",
    "edge_in_cut",
    "force_components",
    "hardness_factor",
    "largest_force",
    "power_at_edge",
    "specific_cutting_force",
    "thin_chip_force",
    "torque_at_spindle",
    "turning_forces",
]
