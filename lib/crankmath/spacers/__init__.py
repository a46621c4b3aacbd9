"""Squeeze between centers and the spacers that take it."""

from .gaps import FeltGap, Pack, felt_gap, shim_pack
from .misfits import (
    SqueezeBudget,
    best_misfit,
    gripped_misfit,
    gripping_thrust,
    misfit_limits,
    runout_for_misfit,
    squeeze_budget,
    whole_steps,
)
from .spacer_plan import Spacer, largest_diameter
from .squeezed import Squeezed, squeeze, squeeze_pins
from .thrust import (
    center_pressure,
    center_thrust_limit,
    closure_thrust,
    holding_thrust,
    screw_thrust,
    spring_thrust,
)

__all__ = [
    "FeltGap",
    "Pack",
    "SqueezeBudget",
    "Spacer",
    "Squeezed",
    "best_misfit",
    "center_pressure",
    "center_thrust_limit",
    "closure_thrust",
    "felt_gap",
    "holding_thrust",
    "largest_diameter",
    "gripped_misfit",
    "gripping_thrust",
    "misfit_limits",
    "squeeze_budget",
    "runout_for_misfit",
    "screw_thrust",
    "shim_pack",
    "spring_thrust",
    "squeeze",
    "squeeze_pins",
    "whole_steps",
]
