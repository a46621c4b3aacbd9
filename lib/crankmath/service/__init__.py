"""Loads in service and strength."""

from .loads import (
    BEARING_MODELS,
    Cylinder,
    Pull,
    TurnLoads,
    compressor_pressure,
    engine_cylinder,
    engine_pressure,
    piston_force,
    pump_pressure,
    rod_forces,
    turn_loads,
)

__all__ = [
    "BEARING_MODELS",
    "Cylinder",
    "Pull",
    "TurnLoads",
    "compressor_pressure",
    "engine_cylinder",
    "engine_pressure",
    "piston_force",
    "pump_pressure",
    "rod_forces",
    "turn_loads",
]
