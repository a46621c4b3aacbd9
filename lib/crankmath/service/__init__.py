"""Loads in service and strength."""

from .loads import (
    BEARING_MODELS,
    Cylinder,
    Pull,
    TurnLoads,
    engine_cylinder,
    evenly_fired,
    rod_forces,
    turn_loads,
)
from .pressures import compressor_pressure, engine_pressure, piston_force, pump_pressure

__all__ = [
    "BEARING_MODELS",
    "Cylinder",
    "Pull",
    "TurnLoads",
    "compressor_pressure",
    "engine_cylinder",
    "engine_pressure",
    "evenly_fired",
    "piston_force",
    "pump_pressure",
    "rod_forces",
    "turn_loads",
]
