"""Cutting force and power."""

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
    "chip_section",
    "cutting_force",
    "cutting_power",
    "force_components",
    "specific_cutting_force",
    "thin_chip_force",
]
